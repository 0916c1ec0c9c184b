//! The ledger: pieces move by bookings alone, and what is reserved stays for its job.

use std::collections::BTreeSet;

use catalogue::{Code, Mark, Money, PartKey, Quantity};
use chrono::{DateTime, TimeDelta, Utc};
use store::{
    AsOf, Booking, Lot, LotFilter, Movement, MovementFilter, NewReservations, Posting, PostingKind,
    Reservation, ReservationEnd, ReservationFilter, ReservationLine, Store, StoreError,
};

use crate::databases::Database;
use crate::sheets::{SHOP, put};

on_both_databases!(
    a_movement_knows_paper_who_and_batch,
    a_booking_is_all_or_nothing,
    a_past_balance_is_made_again_from_the_movements,
    what_is_reserved_stays_for_its_job,
    a_reservation_ends_when_its_time_is_over,
    of_many_who_want_the_last_pieces_as_many_get_them_as_there_are,
    bookings_across_the_same_lots_do_not_block_each_other,
);

pub(crate) fn lot(bin: &str, part: &str) -> Lot {
    Lot { part: PartKey::from_stored(part), bin: Code::from_stored(bin), mark: Mark::default() }
}

pub(crate) fn booking(paper: Option<&str>, at: DateTime<Utc>, lines: &[(Lot, PostingKind)]) -> Booking {
    let posting = |(lot, kind): &(Lot, PostingKind)| Posting {
        lot: lot.clone(),
        kind: kind.clone(),
        batch: "B-7".into(),
        reason: "test".into(),
    };
    Booking {
        by: "ruth".into(),
        at,
        paper: paper.map(str::to_owned),
        postings: lines.iter().map(posting).collect(),
    }
}

pub(crate) fn reserving(job: &str, at: DateTime<Utc>, part: &str, quantity: i64) -> NewReservations {
    NewReservations {
        job: job.into(),
        by: "ruth".into(),
        at,
        expires_at: None,
        lines: vec![ReservationLine {
            part: PartKey::from_stored(part),
            bin: None,
            mark: None,
            quantity: Quantity::whole(quantity),
        }],
    }
}

const SEAL: &str = "VESSICK/VK101";

async fn book(store: &Store, lines: &[(Lot, PostingKind)]) -> Result<Vec<Movement>, StoreError> {
    store.book(&booking(None, Utc::now(), lines)).await
}

fn issue(count: i64) -> PostingKind {
    PostingKind::Issue { quantity: Quantity::whole(count) }
}

fn receive(count: i64, value: &str) -> PostingKind {
    PostingKind::Receive { quantity: Quantity::whole(count), value: Money::parse(value).unwrap() }
}

/// Quantity, reserved and value of a lot.
async fn held(store: &Store, lot: &Lot) -> (i64, i64, String) {
    let filter = LotFilter { part: Some(lot.part.clone()), bin: Some(lot.bin.clone()), empty: true };
    let lots = store.list_lots(&filter, None, 10).await.unwrap();
    let one = lots
        .first()
        .map(|lot| (lot.quantity.raw() / 1000, lot.reserved.raw() / 1000, lot.carrying_value.to_string()));
    one.unwrap_or((0, 0, String::new()))
}

fn shortage(result: Result<impl std::fmt::Debug, StoreError>) -> String {
    match result {
        Err(StoreError::NotAvailable(shortage)) => shortage.to_string(),
        other => panic!("{other:?}"),
    }
}

async fn a_movement_knows_paper_who_and_batch(database: Database) {
    let store = &database.store;
    put(store, SHOP).await;
    let at = Utc::now();
    let booked = store.book(&booking(Some("J-000001"), at, &[(lot("A1", SEAL), issue(2))])).await.unwrap();
    assert_eq!(booked.len(), 1);
    assert_eq!((booked[0].sequence, booked[0].quantity), (3, Quantity::whole(-2)));
    assert_eq!(booked[0].carrying_value, Money::parse("9.75").unwrap());
    let filter = MovementFilter { paper: Some("J-000001".into()), ..Default::default() };
    assert_eq!(store.find_movements(&filter, 0, 10).await.unwrap(), booked);
    let filter =
        MovementFilter { batch: Some("B-7".into()), part: Some(PartKey::from_stored(SEAL)), ..filter };
    assert_eq!(store.find_movements(&filter, 2, 10).await.unwrap(), booked);
    assert_eq!((booked[0].who.as_str(), booked[0].paper.as_deref()), ("ruth", Some("J-000001")));
    // An import says who, too.
    assert_eq!(store.list_movements(0, 1).await.unwrap()[0].who, "keeper");
}

async fn a_booking_is_all_or_nothing(database: Database) {
    let store = &database.store;
    put(store, SHOP).await;
    let seal = lot("A1", SEAL);
    let refused = book(store, &[(seal.clone(), receive(5, "1")), (lot("A2", SEAL), issue(1))]).await;
    assert_eq!(
        shortage(refused),
        "1 × VESSICK/VK101 are wanted from bin A2, 0 are available: 0 lie there, 0 of them reserved for other jobs"
    );
    let stranger =
        book(store, &[(seal.clone(), issue(1)), (lot("A1", "VESSICK/NONE"), receive(1, "1"))]).await;
    assert!(matches!(stranger, Err(StoreError::PartNotFound(_))), "{stranger:?}");
    let nowhere = book(store, &[(seal.clone(), issue(1)), (lot("Z9", SEAL), receive(1, "1"))]).await;
    assert!(matches!(nowhere, Err(StoreError::BinNotFound(_))), "{nowhere:?}");
    assert_eq!(held(store, &seal).await, (3, 0, "9.75".into()));
    assert_eq!(store.revisions().await.unwrap().ledger, 2);
    // A refused booking leaves no gap.
    let to = PostingKind::Transfer { quantity: Quantity::ONE, to: Code::from_stored("A2") };
    let booked = book(store, &[(seal.clone(), to), (lot("A2", SEAL), receive(1, "11.75"))]).await.unwrap();
    assert_eq!(booked.iter().map(|movement| movement.sequence).collect::<Vec<_>>(), [3, 4, 5]);
    assert_eq!(held(store, &lot("A2", SEAL)).await, (2, 0, "10.75".into()));
    assert_eq!(held(store, &seal).await, (2, 0, "9.75".into()));
}

async fn a_past_balance_is_made_again_from_the_movements(database: Database) {
    let store = &database.store;
    put(store, SHOP).await;
    let seal = lot("A1", SEAL);
    let later = Utc::now() + TimeDelta::hours(1);
    store.book(&booking(None, later, &[(seal.clone(), receive(1, "13.75"))])).await.unwrap();
    store.book(&booking(None, later + TimeDelta::hours(1), &[(seal.clone(), issue(4))])).await.unwrap();
    let filter = LotFilter { part: Some(seal.part.clone()), ..Default::default() };
    let at = |as_of| {
        let filter = filter.clone();
        async move {
            let found = store.past_balances(as_of, &filter, None, 10).await.unwrap();
            found
                .iter()
                .map(|past| (past.quantity.raw() / 1000, past.carrying_value.to_string()))
                .collect::<Vec<_>>()
        }
    };
    assert_eq!(at(AsOf::Sequence(0)).await, []);
    assert_eq!(at(AsOf::Sequence(2)).await, [(3, "9.75".to_owned())]);
    assert_eq!(at(AsOf::Sequence(3)).await, [(4, "10.75".to_owned())]);
    assert_eq!(at(AsOf::Sequence(4)).await, []);
    assert_eq!(at(AsOf::Instant(later)).await, [(4, "10.75".to_owned())]);
    let everything = LotFilter { empty: true, ..Default::default() };
    let all = store.past_balances(AsOf::Sequence(4), &everything, None, 10).await.unwrap();
    assert_eq!(all.len(), 2);
    let rest = store.past_balances(AsOf::Sequence(4), &everything, Some(&all[0].lot), 10).await.unwrap();
    assert_eq!(rest, all[1..]);
}

async fn what_is_reserved_stays_for_its_job(database: Database) {
    let store = &database.store;
    put(store, SHOP).await;
    let (seal, now) = (lot("A1", SEAL), Utc::now());
    let made = store.reserve(&reserving("J-1", now, SEAL, 2)).await.unwrap();
    assert_eq!((made[0].number.as_str(), made[0].open), ("RS-000001", Quantity::whole(2)));
    assert_eq!(held(store, &seal).await, (3, 2, "9.75".into()));
    assert_eq!(
        shortage(store.reserve(&reserving("J-2", now, SEAL, 2)).await),
        "2 × VESSICK/VK101 are wanted, 1 are available: 3 lie there, 2 of them reserved for other jobs"
    );
    let of = |job: &str, count| booking(Some(job), now, &[(lot("A1", SEAL), issue(count))]);
    shortage(store.book(&of("J-2", 2)).await);
    store.book(&of("J-1", 1)).await.unwrap();
    assert_eq!(held(store, &seal).await, (2, 1, "9.75".into()));
    store.book(&of("J-1", 2)).await.unwrap();
    assert_eq!(held(store, &seal).await, (0, 0, "9.75".into()));
    let used = store.reservation("RS-000001").await.unwrap().unwrap();
    assert_eq!((used.ended, used.ended_by.as_deref()), (Some(ReservationEnd::Issued), Some("ruth")));
    let again = store.release("RS-000001", "ruth", now).await;
    assert!(matches!(again, Err(StoreError::ReservationEnded(_))), "{again:?}");
    let none = store.release("RS-000009", "ruth", now).await;
    assert!(matches!(none, Err(StoreError::ReservationNotFound(_))), "{none:?}");
}

async fn a_reservation_ends_when_its_time_is_over(database: Database) {
    let store = &database.store;
    put(store, SHOP).await;
    let now = Utc::now();
    let short =
        NewReservations { expires_at: Some(now - TimeDelta::seconds(1)), ..reserving("J-1", now, SEAL, 3) };
    store.reserve(&short).await.unwrap();
    let lots = store.load_stock(&[PartKey::from_stored(SEAL)]).await.unwrap().lots;
    assert_eq!(lots[0].reserved, Quantity::ZERO);
    let day =
        NewReservations { expires_at: Some(now + TimeDelta::days(1)), ..reserving("J-1", now, SEAL, 3) };
    store.reserve(&day).await.unwrap();
    let live = ReservationFilter { live: true, ..Default::default() };
    assert_eq!(store.list_reservations(&live, None, 10).await.unwrap().len(), 1);
    shortage(store.reserve(&reserving("J-2", now + TimeDelta::hours(23), SEAL, 1)).await);
    let made = store.reserve(&reserving("J-2", now + TimeDelta::days(1), SEAL, 1)).await.unwrap();
    let of_job = ReservationFilter { job: Some("J-1".into()), ..Default::default() };
    let ended: Vec<_> = store.list_reservations(&of_job, None, 10).await.unwrap();
    assert!(
        ended.iter().all(|one| one.ended == Some(ReservationEnd::Expired) && one.ended_by.is_none()),
        "{ended:?}"
    );
    let freed = store.release(&made[0].number, "olaf", now).await.unwrap();
    assert_eq!((freed.ended, freed.ended_by.as_deref()), (Some(ReservationEnd::Released), Some("olaf")));
    assert_eq!(held(store, &lot("A1", SEAL)).await, (3, 0, "9.75".into()));
    let made = store.reserve(&reserving("J-3", now, SEAL, 2)).await.unwrap();
    assert_eq!(store.release_job("J-3", "olaf", now).await.unwrap().len(), 1);
    assert_eq!(
        store.list_reservations(&live, Some("RS-000001"), 10).await.unwrap(),
        Vec::<Reservation>::new()
    );
    assert_eq!(made[0].lot, lot("A1", SEAL));
}

async fn of_many_who_want_the_last_pieces_as_many_get_them_as_there_are(database: Database) {
    let store = &database.store;
    put(store, SHOP).await;
    book(store, &[(lot("A2", SEAL), receive(7, "9.75"))]).await.unwrap();
    // Twenty want one each, half by reserving and half by taking; ten are there.
    let tasks: Vec<_> = (0..20)
        .map(|turn| {
            let store = store.clone();
            tokio::spawn(async move {
                let job = format!("J-{turn}");
                if turn % 2 == 0 {
                    return store.reserve(&reserving(&job, Utc::now(), SEAL, 1)).await.map(|_| ());
                }
                for bin in ["A1", "A2"] {
                    match store.book(&booking(Some(&job), Utc::now(), &[(lot(bin, SEAL), issue(1))])).await {
                        Err(StoreError::NotAvailable(_)) => {}
                        other => return other.map(|_| ()),
                    }
                }
                store.book(&booking(Some(&job), Utc::now(), &[(lot("A2", SEAL), issue(1))])).await.map(|_| ())
            })
        })
        .collect();
    let mut got = 0;
    for task in tasks {
        match task.await.unwrap() {
            Ok(()) => got += 1,
            refused => {
                shortage(refused);
            }
        }
    }
    assert_eq!(got, 10);
    let (a1, a2) = (held(store, &lot("A1", SEAL)).await, held(store, &lot("A2", SEAL)).await);
    assert_eq!((a1.0 + a2.0, a1.0 + a2.0), (a1.1 + a2.1, 10 - issued(store).await));
}

async fn issued(store: &Store) -> i64 {
    let movements = store.list_movements(0, 1_000).await.unwrap();
    let sequences: Vec<i64> = movements.iter().map(|movement| movement.sequence).collect();
    assert_eq!(sequences, (1..=sequences.len() as i64).collect::<Vec<_>>(), "no gaps");
    movements.iter().filter(|movement| movement.kind == store::MovementKind::Issue).count() as i64
}

async fn bookings_across_the_same_lots_do_not_block_each_other(database: Database) {
    let store = &database.store;
    put(store, SHOP).await;
    let lots = [lot("A1", SEAL), lot("A2", "VESSICK/VK20"), lot("A2", "VESSICK/VK30")];
    let fill: Vec<_> = lots.iter().map(|lot| (lot.clone(), receive(100, "1"))).collect();
    book(store, &fill).await.unwrap();
    let tasks: Vec<_> = (0..12)
        .map(|turn| {
            let store = store.clone();
            let mut order: Vec<(Lot, PostingKind)> = lots.iter().map(|lot| (lot.clone(), issue(1))).collect();
            order.rotate_left(turn % 3);
            tokio::spawn(async move { book(&store, &order).await.unwrap() })
        })
        .collect();
    let mut sequences = BTreeSet::new();
    for task in tasks {
        sequences.extend(task.await.unwrap().iter().map(|movement| movement.sequence));
    }
    assert_eq!(sequences, (6..42).collect());
    assert_eq!(held(store, &lots[1]).await.0, 88);
}
