//! Storing a receipt with all that follows from it.

use catalogue::event::{Happened, ReceiptEvent};
use catalogue::{Code, PartKey, Quantity};
use chrono::{DateTime, Utc};
use sea_orm::{ConnectionTrait, DatabaseTransaction};

use super::ReceiptPiece;
use crate::audit::Changed;
use crate::claims::{NewClaim, insert_claim};
use crate::error::StoreError;
use crate::ledger::book::book;
use crate::ledger::{Booking, Lot, Posting, PostingKind};
use crate::numbers::{kept, take_number};
use crate::orders::{add_order_step, move_order};
use crate::outbox::Outbox;
use crate::received_papers::{NewReceivedPaper, insert_received};
use crate::select::statement;
use crate::store::Store;

/// A receipt that is to be stored.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewReceipt {
    /// The order with the version on which the count was judged, and its state after it.
    pub order: Option<(String, i64, String)>,
    /// The kit, without an order.
    pub kit: Option<PartKey>,
    /// Who sent it.
    pub supplier: Option<Code>,
    /// When it was counted.
    pub counted_at: DateTime<Utc>,
    /// Who counted it.
    pub counted_by: String,
    /// A note.
    pub note: String,
    /// What came of it, as JSON.
    pub body: String,
    /// Its pieces.
    pub pieces: Vec<ReceiptPiece>,
    /// The claim that it opens.
    pub claim: Option<NewClaim>,
    /// The paper of which it is made.
    pub paper: Option<NewReceivedPaper>,
}

impl Store {
    /// Stores a receipt, books its pieces, opens its claim and takes the step of its order: all or nothing. Returns its
    /// number.
    ///
    /// # Errors
    /// [`StoreError::OrderChanged`] where the order is at another version than the count was judged on.
    pub async fn insert_receipt(&self, receipt: &NewReceipt) -> Result<String, StoreError> {
        let transaction = self.begin_writing().await?;
        let before = match &receipt.order {
            Some((order, version, state)) => Some(move_order(&transaction, order, *version, state).await?),
            None => None,
        };
        let number = insert_head(&transaction, receipt, None).await?;
        let mut outbox = Outbox::default();
        let booked = Happened::ReceiptBooked(booked_event(&number, receipt));
        outbox.record(receipt.counted_at, booked, vec![Changed::made("pieces", receipt.pieces.len())]);
        let order = receipt.order.as_ref().map(|(order, ..)| order.as_str());
        insert_pieces(&transaction, &number, order, &receipt.pieces).await?;
        let postings: Vec<Posting> =
            receipt.pieces.iter().filter_map(|piece| received(piece, &number)).collect();
        if !postings.is_empty() {
            let booking = Booking {
                by: receipt.counted_by.clone(),
                at: receipt.counted_at,
                paper: Some(number.clone()),
                postings,
            };
            book(&transaction, &booking, &mut outbox).await?;
        }
        if let Some(paper) = &receipt.paper {
            insert_received(&transaction, &mut outbox, paper, std::slice::from_ref(&number)).await?;
        }
        if let Some(claim) = &receipt.claim {
            let by = (receipt.counted_at, receipt.counted_by.as_str());
            insert_claim(&transaction, &mut outbox, claim, &number, order, by).await?;
        }
        if let Some((order, _, state)) = &receipt.order {
            let what = ("receive", state.as_str());
            let who = (receipt.counted_at, receipt.counted_by.as_str());
            let step = (number.as_str(), vec![Changed::new("state", before, Some(state))]);
            add_order_step(&transaction, &mut outbox, order, what, who, step).await?;
        }
        self.finish(transaction, outbox).await?;
        Ok(number)
    }
}

fn booked_event(number: &str, receipt: &NewReceipt) -> ReceiptEvent {
    ReceiptEvent {
        receipt: number.to_owned(),
        order: receipt.order.as_ref().map(|(order, ..)| order.clone()),
        kit: receipt.kit.clone(),
        supplier: receipt.supplier.clone(),
        reversed_by: None,
        by: receipt.counted_by.clone(),
    }
}

fn received(piece: &ReceiptPiece, receipt: &str) -> Option<Posting> {
    let (part, bin) = (piece.part.clone()?, piece.bin.clone()?);
    (piece.booked > Quantity::ZERO).then(|| Posting {
        lot: Lot { part, bin, mark: piece.mark.clone() },
        kind: PostingKind::Receive { quantity: piece.booked, value: piece.unit_value },
        batch: piece.batch.clone(),
        reason: format!("receipt {receipt}: {}", piece.verdict.replace('_', " ")),
    })
}

/// Writes a receipt down under the next number.
pub(super) async fn insert_head(
    transaction: &DatabaseTransaction,
    receipt: &NewReceipt,
    reverses: Option<&str>,
) -> Result<String, StoreError> {
    let running = take_number(transaction, "receipt").await?;
    let number = format!("RC-{running:06}");
    let sql = "INSERT INTO receipts (number, running, order_number, kit, supplier, counted_at, counted_by, reverses, \
               note, body) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)";
    let values = vec![
        number.as_str().into(),
        running.into(),
        receipt.order.as_ref().map(|(order, ..)| order.clone()).into(),
        receipt.kit.as_ref().map(|kit| kit.as_str().to_owned()).into(),
        receipt.supplier.as_ref().map(|supplier| supplier.as_str().to_owned()).into(),
        kept(receipt.counted_at).into(),
        receipt.counted_by.as_str().into(),
        reverses.map(str::to_owned).into(),
        receipt.note.as_str().into(),
        receipt.body.as_str().into(),
    ];
    transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
    Ok(number)
}

/// Writes the pieces of a receipt down.
pub(super) async fn insert_pieces(
    transaction: &DatabaseTransaction,
    receipt: &str,
    order: Option<&str>,
    pieces: &[ReceiptPiece],
) -> Result<(), StoreError> {
    let sql = "INSERT INTO receipt_pieces (receipt, piece, order_number, line, content, part, verdict, quantity, \
               damaged, stands_for, bin, mark, batch, unit_value, booked) \
               VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15)";
    for (at, piece) in (1_i64..).zip(pieces) {
        let values = vec![
            receipt.into(),
            at.into(),
            order.map(str::to_owned).into(),
            piece.place.map(|(line, _)| line).into(),
            piece.place.map(|(_, content)| content).into(),
            piece.part.as_ref().map(|part| part.as_str().to_owned()).into(),
            piece.verdict.as_str().into(),
            piece.quantity.raw().into(),
            piece.damaged.raw().into(),
            piece.stands_for.raw().into(),
            piece.bin.as_ref().map(|bin| bin.as_str().to_owned()).into(),
            piece.mark.0.as_str().into(),
            piece.batch.as_str().into(),
            piece.unit_value.raw().into(),
            piece.booked.raw().into(),
        ];
        transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
    }
    Ok(())
}
