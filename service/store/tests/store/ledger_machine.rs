//! The ledger as a state machine: random bookings and reservations against a plain model of the shelf.

use std::collections::BTreeMap;

use catalogue::{Code, Money, PartKey, Quantity};
use chrono::{DateTime, TimeDelta, Utc};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Config, TestRunner};
use store::{AsOf, LotFilter, NewReservations, PostingKind, ReservationLine, Store, StoreError};

use crate::databases::Database;
use crate::ledger::{booking, lot, reserving};
use crate::sheets::{SHOP, put};

on_both_databases!(the_ledger_does_what_a_plain_model_of_the_shelf_does);

const BINS: [&str; 2] = ["A1", "A2"];

#[derive(Debug, Clone)]
enum Step {
    Receive { bin: usize, count: i64, value: i64 },
    Issue { job: usize, bin: usize, count: i64 },
    Return { bin: usize, count: i64 },
    Adjust { bin: usize, by: i64 },
    Transfer { from: usize, count: i64 },
    Scrap { bin: usize, count: i64 },
    Reserve { job: usize, bin: Option<usize>, count: i64, hours: Option<i64> },
    Release { which: usize },
    Wait { hours: i64 },
}

fn step() -> impl Strategy<Value = Step> {
    let (bin, job, count) = (0..2_usize, 0..3_usize, 1..6_i64);
    prop_oneof![
        3 => (bin.clone(), 1..9_i64, 0..50_000_i64).prop_map(|(bin, count, value)| Step::Receive { bin, count, value }),
        3 => (job.clone(), bin.clone(), count.clone()).prop_map(|(job, bin, count)| Step::Issue { job, bin, count }),
        1 => (bin.clone(), count.clone()).prop_map(|(bin, count)| Step::Return { bin, count }),
        2 => (bin.clone(), -4..4_i64).prop_map(|(bin, by)| Step::Adjust { bin, by }),
        2 => (bin.clone(), count.clone()).prop_map(|(from, count)| Step::Transfer { from, count }),
        1 => (bin.clone(), count.clone()).prop_map(|(bin, count)| Step::Scrap { bin, count }),
        4 => (job, proptest::option::of(bin), count, proptest::option::of(1..30_i64))
            .prop_map(|(job, bin, count, hours)| Step::Reserve { job, bin, count, hours }),
        2 => (0..8_usize).prop_map(|which| Step::Release { which }),
        1 => (1..20_i64).prop_map(|hours| Step::Wait { hours }),
    ]
}

#[derive(Debug, Clone)]
struct Held {
    number: String,
    job: usize,
    bin: usize,
    open: i64,
    until: Option<DateTime<Utc>>,
}

/// What the shelf should hold: pieces by bin, and what is spoken for.
#[derive(Debug, Default)]
struct Model {
    pieces: [i64; 2],
    values: [i64; 2],
    reserved: Vec<Held>,
}

impl Model {
    fn reserved(&self, bin: usize) -> i64 {
        self.reserved.iter().filter(|held| held.bin == bin).map(|held| held.open).sum()
    }

    fn free(&self, bin: usize) -> i64 {
        self.pieces[bin] - self.reserved(bin)
    }

    fn own(&self, job: usize, bin: usize) -> i64 {
        self.reserved.iter().filter(|held| (held.job, held.bin) == (job, bin)).map(|held| held.open).sum()
    }

    fn issue(&mut self, job: usize, bin: usize, count: i64) {
        self.pieces[bin] -= count;
        let mut left = count;
        for held in self.reserved.iter_mut().filter(|held| (held.job, held.bin) == (job, bin)) {
            let taken = held.open.min(left);
            held.open -= taken;
            left -= taken;
        }
        self.reserved.retain(|held| held.open > 0);
    }

    fn expire(&mut self, now: DateTime<Utc>) {
        self.reserved.retain(|held| held.until.is_none_or(|until| until > now));
    }
}

struct Machine<'a> {
    store: &'a Store,
    part: String,
    model: Model,
    now: DateTime<Utc>,
    /// Pieces by bin after each sequence number.
    history: BTreeMap<i64, [i64; 2]>,
}

impl Machine<'_> {
    async fn book(&mut self, job: Option<usize>, bin: usize, kind: PostingKind, fits: bool) {
        let paper = job.map(|job| format!("J-{job}"));
        let booked = self
            .store
            .book(&booking(paper.as_deref(), self.now, &[(lot(BINS[bin], &self.part), kind)]))
            .await;
        match booked {
            Ok(movements) => {
                assert!(fits, "should have been refused: {:?}", self.model);
                for movement in &movements {
                    let bin = usize::from(movement.bin.as_str() == BINS[1]);
                    self.model.values[bin] = movement.carrying_value.raw();
                }
            }
            Err(StoreError::NotAvailable(shortage)) => {
                assert!(!fits, "{shortage}: {:?}", self.model);
                assert!(shortage.available() < shortage.wanted);
            }
            Err(error) => panic!("{error}"),
        }
    }

    async fn take(&mut self, step: &Step) {
        let of = Quantity::whole;
        self.model.expire(self.now);
        match *step {
            Step::Receive { bin, count, value } => {
                let before = (self.model.pieces[bin], self.model.values[bin]);
                let kind = PostingKind::Receive { quantity: of(count), value: Money::from_raw(value) };
                self.book(None, bin, kind, true).await;
                self.model.pieces[bin] += count;
                // The mean is the nearest ten-thousandth to the worth of all by their number.
                let (all, worth) = (before.0 + count, before.0 * before.1 + count * value);
                assert!((self.model.values[bin] * all - worth).abs() * 2 <= all, "{before:?} {step:?}");
            }
            Step::Return { bin, count } => {
                self.book(None, bin, PostingKind::Return { quantity: of(count), value: None }, true).await;
                self.model.pieces[bin] += count;
            }
            Step::Issue { job, bin, count } => {
                let fits = count <= self.model.free(bin) + self.model.own(job, bin);
                self.book(Some(job), bin, PostingKind::Issue { quantity: of(count) }, fits).await;
                if fits {
                    self.model.issue(job, bin, count);
                }
            }
            Step::Adjust { by: 0, .. } => {}
            Step::Adjust { bin, by } => {
                let fits = -by <= self.model.free(bin) || by > 0;
                self.book(None, bin, PostingKind::Adjust { difference: of(by), value: None }, fits).await;
                self.model.pieces[bin] += if fits { by } else { 0 };
            }
            Step::Transfer { from, count } => {
                let fits = count <= self.model.free(from);
                let to = Code::from_stored(BINS[1 - from]);
                self.book(None, from, PostingKind::Transfer { quantity: of(count), to }, fits).await;
                if fits {
                    self.model.pieces[from] -= count;
                    self.model.pieces[1 - from] += count;
                }
            }
            Step::Scrap { bin, count } => {
                let fits = count <= self.model.free(bin);
                self.book(None, bin, PostingKind::Scrap { quantity: of(count) }, fits).await;
                self.model.pieces[bin] -= if fits { count } else { 0 };
            }
            Step::Reserve { job, bin, count, hours } => self.reserve(job, bin, count, hours).await,
            Step::Release { which } => {
                if self.model.reserved.is_empty() {
                    return;
                }
                let held = self.model.reserved.remove(which % self.model.reserved.len());
                let freed = self.store.release(&held.number, "olaf", self.now).await.unwrap();
                assert_eq!(freed.open, Quantity::ZERO);
            }
            Step::Wait { hours } => {
                self.now += TimeDelta::hours(hours);
                self.store.release_expired(self.now).await.unwrap();
                self.model.expire(self.now);
            }
        }
    }

    async fn reserve(&mut self, job: usize, bin: Option<usize>, count: i64, hours: Option<i64>) {
        let until = hours.map(|hours| self.now + TimeDelta::hours(hours));
        let plain = reserving(&format!("J-{job}"), self.now, &self.part, count);
        let lines = plain
            .lines
            .iter()
            .map(|line| ReservationLine { bin: bin.map(|bin| Code::from_stored(BINS[bin])), ..line.clone() });
        let wanted = NewReservations { expires_at: until, lines: lines.collect(), ..plain.clone() };
        let bins = bin.map_or(vec![0, 1], |bin| vec![bin]);
        let free: i64 = bins.iter().map(|bin| self.model.free(*bin)).sum();
        match self.store.reserve(&wanted).await {
            Ok(made) => {
                assert!(count <= free, "{:?}", self.model);
                assert_eq!(made.iter().map(|one| one.open.raw()).sum::<i64>(), count * 1000);
                self.model.reserved.extend(made.iter().map(|one| Held {
                    number: one.number.clone(),
                    job,
                    bin: usize::from(one.lot.bin.as_str() == BINS[1]),
                    open: one.open.raw() / 1000,
                    until,
                }));
            }
            Err(StoreError::NotAvailable(shortage)) => {
                assert!(count > free, "{shortage}: {:?}", self.model);
                assert_eq!(shortage.available(), Quantity::whole(free));
            }
            Err(error) => panic!("{error}"),
        }
    }

    async fn check(&mut self) {
        let filter =
            LotFilter { part: Some(PartKey::from_stored(self.part.as_str())), bin: None, empty: true };
        let lots = self.store.list_lots(&filter, None, 10).await.unwrap();
        for (bin, name) in BINS.iter().enumerate() {
            let found = lots.iter().find(|lot| lot.bin.as_str() == *name);
            let (pieces, reserved) =
                found.map_or((0, 0), |lot| (lot.quantity.raw() / 1000, lot.reserved.raw() / 1000));
            assert_eq!(
                (pieces, reserved),
                (self.model.pieces[bin], self.model.reserved(bin)),
                "{:?}",
                self.model
            );
        }
        let sequence = self.store.revisions().await.unwrap().ledger;
        self.history.insert(sequence, self.model.pieces);
    }

    /// Every balance on the way comes out again from the movements.
    async fn check_history(&self) {
        let filter =
            LotFilter { part: Some(PartKey::from_stored(self.part.as_str())), bin: None, empty: true };
        for (sequence, pieces) in &self.history {
            let past = self.store.past_balances(AsOf::Sequence(*sequence), &filter, None, 10).await.unwrap();
            for (bin, name) in BINS.iter().enumerate() {
                let found = past.iter().find(|past| past.lot.bin.as_str() == *name);
                assert_eq!(found.map_or(0, |past| past.quantity.raw() / 1000), pieces[bin], "{sequence}");
            }
        }
    }
}

async fn the_ledger_does_what_a_plain_model_of_the_shelf_does(database: Database) {
    const CASES: usize = 12;
    put(&database.store, SHOP).await;
    let rows: String = (0..CASES).map(|case| format!("\n NORRWALD | CASE{case} | Case")).collect();
    put(&database.store, &[("parts", &format!("maker | number | name{rows}"))]).await;
    let mut runner = TestRunner::new_with_rng(Config::default(), TestRunner::deterministic().new_rng());
    for case in 0..CASES {
        let steps = proptest::collection::vec(step(), 5..25).new_tree(&mut runner).unwrap().current();
        let mut machine = Machine {
            store: &database.store,
            part: format!("NORRWALD/CASE{case}"),
            model: Model::default(),
            now: Utc::now(),
            history: BTreeMap::new(),
        };
        for step in &steps {
            machine.take(step).await;
            machine.check().await;
        }
        machine.check_history().await;
    }
    let movements = database.store.list_movements(0, 10_000).await.unwrap();
    let sequences: Vec<i64> = movements.iter().map(|movement| movement.sequence).collect();
    assert_eq!(sequences, (1..=sequences.len() as i64).collect::<Vec<_>>(), "no gaps");
}
