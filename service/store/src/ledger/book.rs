//! Booking: the one way in which pieces move.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::Quantity;
use catalogue::event::{Happened, MovementsEvent};
use sea_orm::{ActiveModelTrait, ActiveValue::Set, ConnectionTrait, DatabaseTransaction};

use super::balance_sheet::{BalanceSheet, Entry, Held};
use super::lots::{lock_lots, write_lot};
use super::posting::{Booking, Lot, Posting, PostingKind};
use super::reservation::event_of;
use super::{Movement, movement_of, table};
use crate::audit::Changed;
use crate::error::StoreError;
use crate::numbers::{kept, take_numbers};
use crate::outbox::Outbox;
use crate::select::statement;
use crate::store::Store;

impl Store {
    /// Books postings: all of them or none.
    ///
    /// # Errors
    /// [`StoreError::NotAvailable`] where a lot would fall below zero or below what is reserved for others,
    /// [`StoreError::PartNotFound`], [`StoreError::BinNotFound`], [`StoreError::BadPosting`].
    pub async fn book(&self, booking: &Booking) -> Result<Vec<Movement>, StoreError> {
        self.release_expired(booking.at).await?;
        let transaction = self.begin_writing().await?;
        let mut outbox = Outbox::default();
        let movements = book(&transaction, booking, &mut outbox).await?;
        self.finish(transaction, outbox).await?;
        Ok(movements)
    }
}

/// Books postings inside a transaction that [`Store::begin_writing`] opened; a caller that stores a paper with them gets
/// both or neither. Where issues are among them, [`Store::release_expired`] goes before the transaction.
///
/// Lots are locked in the order of their keys, then the series of movements: two bookings never wait for each other in
/// a circle, and the ledger sequence has no gaps.
pub(crate) async fn book(
    transaction: &DatabaseTransaction,
    booking: &Booking,
    outbox: &mut Outbox,
) -> Result<Vec<Movement>, StoreError> {
    let touched: BTreeSet<Lot> = booking.postings.iter().flat_map(Posting::lots).collect();
    let make: BTreeSet<Lot> = booking.postings.iter().flat_map(filled_lots).collect();
    let lots = lock_lots(transaction, &touched, &make).await?;
    let own = match &booking.paper {
        Some(paper) => own_reservations(transaction, paper, &touched).await?,
        None => BTreeMap::new(),
    };
    let before = lots.clone();
    let mut sheet = BalanceSheet { lots, own, used: BTreeMap::new() };
    let mut entries: Vec<(Entry, &Posting)> = Vec::new();
    for (index, posting) in booking.postings.iter().enumerate() {
        entries.extend(sheet.post(index, posting)?.into_iter().map(|entry| (entry, posting)));
    }
    for (lot, held) in &sheet.lots {
        write_lot(transaction, lot, held).await?;
    }
    if let Some(paper) = &booking.paper {
        for (lot, used) in &sheet.used {
            use_reservations(transaction, outbox, booking, paper, (lot, *used)).await?;
        }
    }
    let movements = add_movements(transaction, booking, &entries).await?;
    if let (Some(first), Some(last)) = (movements.first(), movements.last()) {
        let (first, last) = (first.sequence, last.sequence);
        let moved = MovementsEvent { first, last, paper: booking.paper.clone(), by: booking.by.clone() };
        outbox.record(booking.at, Happened::StockMoved(moved), changed_lots(&before, &sheet.lots));
    }
    Ok(movements)
}

/// How many pieces lie in each lot whose balance is another one than before.
fn changed_lots(before: &BTreeMap<Lot, Held>, after: &BTreeMap<Lot, Held>) -> Vec<Changed> {
    let change = |(lot, held): (&Lot, &Held)| {
        let mark =
            if lot.mark.0.is_empty() { String::new() } else { format!(" with the mark {}", lot.mark.0) };
        let field = format!("quantity of {}{mark} in {}", lot.part, lot.bin);
        Changed::new(field, before.get(lot).map(|held| held.quantity), Some(held.quantity))
    };
    after.iter().map(change).filter(Changed::is_change).collect()
}

/// The lots into which a posting puts pieces: they are made where they are not there.
fn filled_lots(posting: &Posting) -> Vec<Lot> {
    match &posting.kind {
        PostingKind::Receive { .. } | PostingKind::Return { .. } => vec![posting.lot.clone()],
        PostingKind::Adjust { difference, .. } if *difference >= Quantity::ZERO => vec![posting.lot.clone()],
        PostingKind::Transfer { to, .. } => vec![Lot { bin: to.clone(), ..posting.lot.clone() }],
        PostingKind::Adjust { .. } | PostingKind::Issue { .. } | PostingKind::Scrap { .. } => vec![],
    }
}

/// What is reserved of locked lots for a paper.
async fn own_reservations(
    transaction: &DatabaseTransaction,
    paper: &str,
    lots: &BTreeSet<Lot>,
) -> Result<BTreeMap<Lot, Quantity>, StoreError> {
    let mut own = BTreeMap::new();
    let sql = "SELECT CAST(COALESCE(SUM(open), 0) AS bigint) FROM reservations \
               WHERE job = $1 AND part = $2 AND bin = $3 AND mark = $4 AND ended_at IS NULL";
    for lot in lots {
        let values =
            vec![paper.into(), lot.part.as_str().into(), lot.bin.as_str().into(), lot.mark.0.as_str().into()];
        let row = transaction.query_one_raw(statement(transaction, sql.to_owned(), values)).await?;
        let open = row.map(|row| row.try_get_by_index::<i64>(0)).transpose()?.unwrap_or(0);
        if open > 0 {
            own.insert(lot.clone(), Quantity::from_raw(open));
        }
    }
    Ok(own)
}

/// Takes issued pieces off the reservations of a paper, the oldest first.
async fn use_reservations(
    transaction: &DatabaseTransaction,
    outbox: &mut Outbox,
    booking: &Booking,
    paper: &str,
    (lot, used): (&Lot, Quantity),
) -> Result<(), StoreError> {
    let sql = "SELECT number, open FROM reservations WHERE job = $1 AND part = $2 AND bin = $3 AND mark = $4 \
               AND ended_at IS NULL ORDER BY running";
    let values =
        vec![paper.into(), lot.part.as_str().into(), lot.bin.as_str().into(), lot.mark.0.as_str().into()];
    let rows = transaction.query_all_raw(statement(transaction, sql.to_owned(), values)).await?;
    let mut left = used.raw();
    for row in rows {
        let (number, open) = (row.try_get_by_index::<String>(0)?, row.try_get_by_index::<i64>(1)?);
        let taken = open.min(left);
        left -= taken;
        let left_open = Quantity::from_raw(open - taken);
        let issued = event_of(&number, paper, lot, left_open, Some(&booking.by));
        let change = Changed::new("open", Some(Quantity::from_raw(open)), Some(left_open));
        outbox.record(booking.at, Happened::ReservationIssued(issued), vec![change]);
        let (sql, values) = if taken == open {
            let sql = "UPDATE reservations SET open = 0, ended = 'issued', ended_at = $2, ended_by = $3 WHERE number = $1";
            (sql, vec![number.into(), kept(booking.at).into(), booking.by.as_str().into()])
        } else {
            let sql = "UPDATE reservations SET open = open - $2 WHERE number = $1";
            (sql, vec![number.into(), taken.into()])
        };
        transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
        if left == 0 {
            break;
        }
    }
    Ok(())
}

async fn add_movements(
    transaction: &DatabaseTransaction,
    booking: &Booking,
    entries: &[(Entry, &Posting)],
) -> Result<Vec<Movement>, StoreError> {
    let count = i64::try_from(entries.len()).unwrap_or(i64::MAX);
    let first = take_numbers(transaction, "movement", count).await?;
    let mut movements = Vec::with_capacity(entries.len());
    for (sequence, (entry, posting)) in (first..).zip(entries) {
        let row = table::ActiveModel {
            seq: Set(sequence),
            bin: Set(entry.lot.bin.to_string()),
            part: Set(entry.lot.part.to_string()),
            mark: Set(entry.lot.mark.0.clone()),
            kind: Set(entry.kind),
            quantity: Set(entry.quantity.raw()),
            carrying_value: Set(entry.value.raw()),
            reason: Set(posting.reason.clone()),
            at: Set(kept(booking.at)),
            paper: Set(booking.paper.clone()),
            who: Set(booking.by.clone()),
            batch: Set(posting.batch.clone()),
        };
        movements.push(movement_of(row.insert(transaction).await?));
    }
    Ok(movements)
}
