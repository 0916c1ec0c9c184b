//! Events: written with the change they tell of, numbered without holes, never skipped by a reader with a cursor.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use catalogue::event::EventKind;
use chrono::{DateTime, NaiveDate, Utc};
use sea_orm::{ConnectionTrait, Database as Connect};
use store::{
    EventFilter, ImportState, NewJobStep, NewQuote, NewReservations, ReservationLine, Revisions, Store,
    StoredEvent,
};

use crate::databases::Database;
use crate::sheets::{SHOP, put};

on_both_databases!(
    a_reader_with_a_cursor_skips_no_event_while_sixteen_write,
    a_change_that_is_undone_leaves_no_event_and_no_hole,
    the_feed_is_narrowed_by_subject_and_kind,
    events_are_only_added_to,
    an_import_tells_what_it_changed,
);

const WRITERS: usize = 16;
const ROUNDS: usize = 12;

fn quote() -> NewQuote {
    NewQuote {
        created_at: "2026-11-25T10:11:12Z".parse::<DateTime<Utc>>().unwrap(),
        valid_until: NaiveDate::from_ymd_opt(2026, 12, 24).unwrap(),
        revisions: Revisions { structure: 1, price: 2, ledger: 3 },
        engine: "0.1.0".into(),
        request: "{}".into(),
        frozen: "{}".into(),
        answer: "{}".into(),
        parts: [].into(),
    }
}

fn step(kind: &str) -> NewJobStep {
    NewJobStep {
        kind: kind.into(),
        state: "enquiry".into(),
        by: "M. Brandl".into(),
        at: "2026-11-25T10:11:12Z".parse().unwrap(),
        detail: "{}".into(),
    }
}

async fn all(store: &Store) -> Vec<StoredEvent> {
    store.events(0, &EventFilter::default(), 100_000).await.unwrap()
}

/// What a writer does in a round: papers of different series, among them changes that are refused half-way.
async fn write(store: &Store, writer: usize, round: usize) -> usize {
    match (writer + round) % 3 {
        0 => {
            store.insert_quote(quote()).await.unwrap();
            1
        }
        1 => {
            let number = store.insert_job(step("open")).await.unwrap();
            store.add_job_step(&number, 1, step("estimate"), Default::default()).await.unwrap();
            // Decided on a state that is gone: undone, with the number it would have had.
            assert!(store.add_job_step(&number, 1, step("strip"), Default::default()).await.is_err());
            2
        }
        _ => {
            let paper = store.create_import().await.unwrap();
            store.finish_import(paper.id, ImportState::Failed, "{}").await.unwrap();
            2
        }
    }
}

async fn a_reader_with_a_cursor_skips_no_event_while_sixteen_write(database: Database) {
    // Two instances over one database.
    let stores = [database.store.clone(), Store::open(&database.url).await.unwrap()];
    let left = Arc::new(AtomicUsize::new(WRITERS));
    let mut writers = Vec::new();
    for writer in 0..WRITERS {
        let (store, left) = (stores[writer % 2].clone(), left.clone());
        writers.push(tokio::spawn(async move {
            let mut written = 0;
            for round in 0..ROUNDS {
                written += write(&store, writer, round).await;
            }
            left.fetch_sub(1, Ordering::SeqCst);
            written
        }));
    }
    let mut read: Vec<StoredEvent> = Vec::new();
    let mut pieces = 0;
    loop {
        let done = left.load(Ordering::SeqCst) == 0;
        let after = read.last().map_or(0, |event| event.sequence);
        let piece = database.store.events(after, &EventFilter::default(), 7).await.unwrap();
        pieces += 1;
        if piece.is_empty() && done {
            break;
        }
        read.extend(piece);
    }
    let mut written = 0;
    for writer in writers {
        written += writer.await.unwrap();
    }
    let sequences: Vec<i64> = read.iter().map(|event| event.sequence).collect();
    let wanted: Vec<i64> = (1..=i64::try_from(written).unwrap()).collect();
    assert_eq!(sequences, wanted, "in order, without holes, each once, in {pieces} pieces");
    let ids: std::collections::BTreeSet<&String> = read.iter().map(|event| &event.id).collect();
    assert_eq!(ids.len(), written);
    assert_eq!(read, all(&database.store).await);
    assert_eq!(database.store.last_event().await.unwrap(), sequences[sequences.len() - 1]);
}

async fn a_change_that_is_undone_leaves_no_event_and_no_hole(database: Database) {
    assert_eq!(database.store.last_event().await.unwrap(), 0);
    let number = database.store.insert_job(step("open")).await.unwrap();
    let refused = database.store.add_job_step(&number, 7, step("strip"), Default::default()).await;
    assert!(refused.is_err());
    let none = NewReservations {
        job: number.clone(),
        by: "M. Brandl".into(),
        at: Utc::now(),
        expires_at: None,
        lines: vec![ReservationLine {
            part: catalogue::PartKey::from_stored("VESSICK/NONE"),
            bin: None,
            mark: None,
            quantity: catalogue::Quantity::from_raw(1_000),
        }],
    };
    assert!(database.store.reserve(&none).await.is_err());
    database.store.insert_quote(quote()).await.unwrap();
    let events = all(&database.store).await;
    let told: Vec<(i64, &str, &str)> =
        events.iter().map(|event| (event.sequence, event.kind.as_str(), event.subject.as_str())).collect();
    assert_eq!(told, [(1, "job.opened", "jobs/J-000001"), (2, "quote.stored", "quotes/Q-000001")]);
}

async fn the_feed_is_narrowed_by_subject_and_kind(database: Database) {
    for _ in 0..3 {
        let number = database.store.insert_job(step("open")).await.unwrap();
        database.store.add_job_step(&number, 1, step("estimate"), Default::default()).await.unwrap();
    }
    let read = async |after, filter: EventFilter, limit| -> Vec<i64> {
        let events = database.store.events(after, &filter, limit).await.unwrap();
        events.iter().map(|event| event.sequence).collect()
    };
    let of_job = EventFilter { subject: Some("jobs/J-000002".into()), kinds: None };
    assert_eq!(read(0, of_job.clone(), 10).await, [3, 4]);
    assert_eq!(read(3, of_job.clone(), 10).await, [4]);
    let opened = EventFilter { subject: None, kinds: Some(vec![EventKind::JobOpened]) };
    assert_eq!(read(1, opened, 1).await, [3]);
    let both = EventFilter { kinds: Some(vec![EventKind::JobChanged, EventKind::QuoteStored]), ..of_job };
    assert_eq!(read(0, both, 10).await, [4]);
    let none = EventFilter { subject: None, kinds: Some(vec![]) };
    assert!(read(0, none, 10).await.is_empty());
}

async fn events_are_only_added_to(database: Database) {
    database.store.insert_quote(quote()).await.unwrap();
    let db = Connect::connect(&database.url).await.unwrap();
    for change in ["UPDATE events SET kind = 'x'", "DELETE FROM events"] {
        let refused = db.execute_unprepared(change).await.unwrap_err().to_string();
        assert!(refused.contains("events is only added to"), "{refused}");
    }
    let source = all(&database.store).await[0].source.clone();
    assert_eq!(uuid::Uuid::parse_str(&source).unwrap().get_version_num(), 4, "{source}");
}

async fn an_import_tells_what_it_changed(database: Database) {
    put(&database.store, SHOP).await;
    let events = all(&database.store).await;
    let kinds: Vec<&str> = events.iter().map(|event| event.kind.as_str()).collect();
    assert_eq!(kinds.last(), Some(&"catalogue.changed"), "{kinds:?}");
    let changed: serde_json::Value = serde_json::from_str(&events[events.len() - 1].data).unwrap();
    assert!(changed["sheets"].as_array().unwrap().iter().any(|sheet| sheet["added"].as_u64() > Some(0)));
    put(&database.store, SHOP).await;
    assert_eq!(all(&database.store).await.len(), events.len(), "the same again changes nothing");
}
