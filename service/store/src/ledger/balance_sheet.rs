//! Postings held against balances: a pure table of what lies in the lots that a booking touches.
//!
//! A balance never falls below zero, nor below what is reserved for others. What comes in at another value gives the lot
//! the weighted mean of both (common practice, no source), rounded half up to a ten-thousandth.

use std::collections::BTreeMap;
use std::fmt;

use catalogue::{Code, Mark, Money, PartKey, Quantity};

use super::MovementKind;
use super::posting::{Lot, Posting, PostingKind};
use crate::error::StoreError;

/// Most pieces that a lot may hold: thousandths of it still fit any sum of lots.
const HELD_MAX: i64 = 1_000_000_000_000;

/// What lies in a lot.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Held {
    /// How many.
    pub(super) quantity: Quantity,
    /// What of it is reserved, for whatever job.
    pub(super) reserved: Quantity,
    /// What each is carried at.
    pub(super) value: Money,
}

/// More was wanted than is free.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shortage {
    /// The part.
    pub part: PartKey,
    /// The bin; `None`: in all bins together.
    pub bin: Option<Code>,
    /// The mark; empty: none or any.
    pub mark: Mark,
    /// How many were wanted.
    pub wanted: Quantity,
    /// How many lie there.
    pub balance: Quantity,
    /// How many of them are reserved for other jobs.
    pub reserved: Quantity,
}

impl Shortage {
    /// How many could have been had.
    pub fn available(&self) -> Quantity {
        self.balance - self.reserved
    }
}

impl fmt::Display for Shortage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} × {}", self.wanted, self.part)?;
        if !self.mark.0.is_empty() {
            write!(f, " with the mark {}", self.mark.0)?;
        }
        match &self.bin {
            Some(bin) => write!(f, " are wanted from bin {bin}")?,
            None => write!(f, " are wanted")?,
        }
        write!(
            f,
            ", {} are available: {} lie there, {} of them reserved for other jobs",
            self.available(),
            self.balance,
            self.reserved
        )
    }
}

/// A movement that follows from a posting.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Entry {
    /// The lot.
    pub(super) lot: Lot,
    /// Why pieces moved.
    pub(super) kind: MovementKind,
    /// How many came; below zero: went.
    pub(super) quantity: Quantity,
    /// What each piece of the lot is carried at after it.
    pub(super) value: Money,
}

/// The lots of a booking.
#[derive(Debug, Clone, Default)]
pub(super) struct BalanceSheet {
    /// What lies in them.
    pub(super) lots: BTreeMap<Lot, Held>,
    /// What of it is still reserved for the booking's own paper.
    pub(super) own: BTreeMap<Lot, Quantity>,
    /// What was used of that.
    pub(super) used: BTreeMap<Lot, Quantity>,
}

impl BalanceSheet {
    /// Books a posting; nothing is changed where it is refused.
    pub(super) fn post(&mut self, index: usize, posting: &Posting) -> Result<Vec<Entry>, StoreError> {
        let lot = &posting.lot;
        let bad = |wrong| StoreError::BadPosting { index, part: lot.part.clone(), wrong };
        let entry = |lot: &Lot, kind, quantity, value| Entry { lot: lot.clone(), kind, quantity, value };
        let moved = match &posting.kind {
            PostingKind::Adjust { difference, .. } => *difference,
            PostingKind::Receive { quantity, .. }
            | PostingKind::Issue { quantity }
            | PostingKind::Return { quantity, .. }
            | PostingKind::Transfer { quantity, .. }
            | PostingKind::Scrap { quantity }
                if *quantity > Quantity::ZERO =>
            {
                *quantity
            }
            _ => return Err(bad("its quantity must be above zero")),
        };
        let none = Quantity::ZERO;
        Ok(match &posting.kind {
            PostingKind::Receive { value, .. } if *value < Money::ZERO => {
                return Err(bad("its value must not be below zero"));
            }
            PostingKind::Receive { value, .. } => {
                let mean = self.put(lot, moved, *value).ok_or_else(|| bad(TOO_MANY))?;
                vec![entry(lot, MovementKind::Receive, moved, mean)]
            }
            PostingKind::Return { value, .. } => {
                let value = value.unwrap_or(self.held(lot).value);
                let mean = self.put(lot, moved, value).ok_or_else(|| bad(TOO_MANY))?;
                vec![entry(lot, MovementKind::Return, moved, mean)]
            }
            PostingKind::Issue { .. } => {
                let own = self.own.get(lot).copied().unwrap_or_default();
                let value = self.take(lot, moved, own)?;
                vec![entry(lot, MovementKind::Issue, none - moved, value)]
            }
            PostingKind::Scrap { .. } => {
                let value = self.take(lot, moved, none)?;
                vec![entry(lot, MovementKind::Scrap, none - moved, value)]
            }
            PostingKind::Transfer { to, .. } if *to == lot.bin => {
                return Err(bad("it must go to another bin"));
            }
            PostingKind::Transfer { to, .. } => {
                let there = Lot { bin: to.clone(), ..lot.clone() };
                let value = self.take(lot, moved, none)?;
                let mean = self.put(&there, moved, value).ok_or_else(|| bad(TOO_MANY))?;
                vec![
                    entry(lot, MovementKind::Transfer, none - moved, value),
                    entry(&there, MovementKind::Transfer, moved, mean),
                ]
            }
            PostingKind::Adjust { difference, value } => {
                let before = self.held(lot);
                let after = value.unwrap_or(before.value);
                if after < Money::ZERO || (*difference == none && after == before.value) {
                    return Err(bad("it must change the balance, or the value to one not below zero"));
                }
                if *difference < none {
                    self.take(lot, none - *difference, none)?;
                } else {
                    self.put(lot, *difference, after).ok_or_else(|| bad(TOO_MANY))?;
                }
                self.lots.entry(lot.clone()).or_default().value = after;
                vec![entry(lot, MovementKind::Adjust, *difference, after)]
            }
        })
    }

    fn held(&self, lot: &Lot) -> Held {
        self.lots.get(lot).copied().unwrap_or_default()
    }

    /// Puts pieces into a lot; the value of each afterwards, `None` past what a lot may hold.
    fn put(&mut self, lot: &Lot, quantity: Quantity, value: Money) -> Option<Money> {
        let held = self.lots.entry(lot.clone()).or_default();
        let after = held.quantity.raw().checked_add(quantity.raw()).filter(|sum| *sum <= HELD_MAX)?;
        held.value = mean(held.quantity, held.value, quantity, value)?;
        held.quantity = Quantity::from_raw(after);
        Some(held.value)
    }

    /// Takes pieces out of a lot, `own` of the reserved ones first; what each is carried at.
    fn take(&mut self, lot: &Lot, quantity: Quantity, own: Quantity) -> Result<Money, StoreError> {
        let mut held = self.held(lot);
        let shortage = Shortage {
            part: lot.part.clone(),
            bin: Some(lot.bin.clone()),
            mark: lot.mark.clone(),
            wanted: quantity,
            balance: held.quantity,
            reserved: held.reserved - own,
        };
        if quantity > shortage.available() {
            return Err(StoreError::NotAvailable(Box::new(shortage)));
        }
        let used = own.min(quantity);
        held.quantity = held.quantity - quantity;
        held.reserved = held.reserved - used;
        self.lots.insert(lot.clone(), held);
        if used > Quantity::ZERO {
            self.own.insert(lot.clone(), own - used);
            *self.used.entry(lot.clone()).or_default() += used;
        }
        Ok(held.value)
    }
}

const TOO_MANY: &str = "a lot holds a thousand million pieces at most";

/// The weighted mean of two values; `None` past the range.
fn mean(held: Quantity, value: Money, come: Quantity, come_at: Money) -> Option<Money> {
    let (held, come) = (i128::from(held.raw()), i128::from(come.raw()));
    let all = held + come;
    if all == 0 {
        return Some(come_at);
    }
    let worth = held * i128::from(value.raw()) + come * i128::from(come_at.raw());
    i64::try_from((worth * 2 + all) / (all * 2)).ok().map(Money::from_raw)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lot(bin: &str) -> Lot {
        Lot { part: PartKey::from_stored("VESSICK/VK1"), bin: Code::from_stored(bin), mark: Mark::default() }
    }

    fn posting(kind: PostingKind) -> Posting {
        Posting { lot: lot("A1"), kind, batch: String::new(), reason: String::new() }
    }

    fn of(count: i64) -> Quantity {
        Quantity::whole(count)
    }

    fn money(text: &str) -> Money {
        Money::parse(text).unwrap()
    }

    fn sheet(quantity: i64, reserved: i64, own: i64) -> BalanceSheet {
        let held = Held { quantity: of(quantity), reserved: of(reserved), value: money("10") };
        BalanceSheet {
            lots: BTreeMap::from([(lot("A1"), held)]),
            own: BTreeMap::from([(lot("A1"), of(own))]),
            used: BTreeMap::new(),
        }
    }

    #[test]
    fn what_comes_in_gives_the_lot_the_weighted_mean() {
        let mut sheet = sheet(3, 0, 0);
        let receive = PostingKind::Receive { quantity: of(1), value: money("12") };
        let entries = sheet.post(0, &posting(receive)).unwrap();
        assert_eq!(entries[0].value, money("10.50"));
        assert_eq!(sheet.held(&lot("A1")).quantity, of(4));
        // A thousandth of nothing keeps the value that comes.
        let mut empty = BalanceSheet::default();
        let receive = PostingKind::Receive { quantity: of(2), value: money("0.3333") };
        assert_eq!(empty.post(0, &posting(receive)).unwrap()[0].value, money("0.3333"));
    }

    #[test]
    fn an_issue_uses_what_is_reserved_for_its_own_job_first() {
        let mut sheet = sheet(5, 4, 2);
        sheet.post(0, &posting(PostingKind::Issue { quantity: of(3) })).unwrap();
        let held = sheet.held(&lot("A1"));
        assert_eq!((held.quantity, held.reserved), (of(2), of(2)));
        assert_eq!(sheet.used[&lot("A1")], of(2));
        let refused = sheet.post(1, &posting(PostingKind::Issue { quantity: of(1) })).unwrap_err();
        let StoreError::NotAvailable(shortage) = refused else { panic!("{refused}") };
        assert_eq!((shortage.available(), shortage.reserved), (of(0), of(2)));
    }

    #[test]
    fn nothing_but_an_issue_touches_what_is_reserved() {
        for kind in [
            PostingKind::Scrap { quantity: of(2) },
            PostingKind::Transfer { quantity: of(2), to: Code::from_stored("A2") },
            PostingKind::Adjust { difference: of(-2), value: None },
        ] {
            let mut sheet = sheet(5, 4, 4);
            let refused = sheet.post(0, &posting(kind)).unwrap_err().to_string();
            assert_eq!(
                refused,
                "2 × VESSICK/VK1 are wanted from bin A1, 1 are available: 5 lie there, 4 of them reserved for other jobs"
            );
        }
    }

    #[test]
    fn a_transfer_carries_its_value_along() {
        let mut sheet = sheet(5, 0, 0);
        let to = PostingKind::Transfer { quantity: of(5), to: Code::from_stored("A2") };
        let entries = sheet.post(0, &posting(to)).unwrap();
        assert_eq!((entries[0].quantity, entries[1].quantity), (of(-5), of(5)));
        assert_eq!(sheet.held(&lot("A2")).value, money("10"));
        let here = PostingKind::Transfer { quantity: of(1), to: Code::from_stored("A1") };
        assert!(matches!(sheet.post(0, &posting(here)), Err(StoreError::BadPosting { .. })));
    }

    #[test]
    fn a_posting_that_says_nothing_is_refused() {
        let zero = Quantity::ZERO;
        for kind in [
            PostingKind::Receive { quantity: zero, value: money("1") },
            PostingKind::Receive { quantity: of(1), value: money("-1") },
            PostingKind::Issue { quantity: of(-1) },
            PostingKind::Adjust { difference: zero, value: None },
            PostingKind::Adjust { difference: zero, value: Some(money("10")) },
            PostingKind::Receive { quantity: of(2_000_000_000), value: money("1") },
        ] {
            let refused = sheet(5, 0, 0).post(7, &posting(kind.clone()));
            assert!(matches!(refused, Err(StoreError::BadPosting { index: 7, .. })), "{kind:?}");
        }
        let revalued = PostingKind::Adjust { difference: zero, value: Some(money("9")) };
        assert_eq!(sheet(5, 0, 0).post(0, &posting(revalued)).unwrap()[0].value, money("9"));
    }
}
