//! Taking a receipt back.

use catalogue::Quantity;
use catalogue::event::{Happened, ReceiptEvent};
use chrono::{DateTime, Utc};

use super::insert::{NewReceipt, insert_head, insert_pieces};
use super::read::read_receipt;
use super::{Receipt, ReceiptPiece};
use crate::audit::Changed;
use crate::claims::withdraw_claim;
use crate::error::StoreError;
use crate::ledger::book::book;
use crate::ledger::{Booking, Lot, Posting, PostingKind};
use crate::orders::{add_order_step, move_order};
use crate::outbox::Outbox;
use crate::store::Store;

/// A reversal that is to be stored.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewReversal {
    /// The receipt that is taken back.
    pub receipt: String,
    /// Its order with the version on which that was decided, and its state after it.
    pub order: Option<(String, i64, String)>,
    /// When.
    pub at: DateTime<Utc>,
    /// Who takes it back.
    pub by: String,
    /// Why.
    pub note: String,
    /// What comes of it, as JSON.
    pub body: String,
}

impl Store {
    /// Takes a receipt back: its pieces leave the stock, its claim is withdrawn, its order is as before. All or nothing;
    /// returns the number of the reversal.
    ///
    /// # Errors
    /// [`StoreError::ReceiptNotFound`]; [`StoreError::ReceiptReversed`] where it was taken back already or is a reversal
    /// itself; [`StoreError::ClaimDecided`] where the supplier has answered its claim; [`StoreError::NotAvailable`] where
    /// its pieces have left the shelf; [`StoreError::OrderChanged`].
    pub async fn insert_reversal(&self, reversal: &NewReversal) -> Result<String, StoreError> {
        self.release_expired(reversal.at).await?;
        let transaction = self.begin_writing().await?;
        let before = match &reversal.order {
            Some((order, version, state)) => Some(move_order(&transaction, order, *version, state).await?),
            None => None,
        };
        // A receipt never changes, so that taking the next number is enough to be alone with its reversal.
        let given = NewReceipt {
            order: reversal.order.clone(),
            kit: None,
            supplier: None,
            counted_at: reversal.at,
            counted_by: reversal.by.clone(),
            note: reversal.note.clone(),
            body: reversal.body.clone(),
            pieces: Vec::new(),
            claim: None,
            paper: None,
        };
        let known = read_receipt(&transaction, &reversal.receipt).await?;
        let known = known.ok_or_else(|| StoreError::ReceiptNotFound(reversal.receipt.clone()))?;
        refuse_twice(&known)?;
        let head = NewReceipt { kit: known.kit.clone(), supplier: known.supplier.clone(), ..given };
        let number = match insert_head(&transaction, &head, Some(&known.number)).await {
            // Somebody else took it back between the reading and here.
            Err(StoreError::Database(error)) if error.sql_err().is_some() => {
                return Err(StoreError::ReceiptReversed(known.number));
            }
            done => done?,
        };
        let mut outbox = Outbox::default();
        let reversed = Happened::ReceiptReversed(reversed_event(&known, &number, &reversal.by));
        outbox.record(reversal.at, reversed, vec![Changed::made("reversed_by", &number)]);
        let pieces: Vec<ReceiptPiece> = known.pieces.iter().map(taken_back).collect();
        insert_pieces(&transaction, &number, known.order.as_deref(), &pieces).await?;
        let postings: Vec<Posting> = pieces.iter().filter_map(|piece| posted(piece, &known.number)).collect();
        if !postings.is_empty() {
            let booking =
                Booking { by: reversal.by.clone(), at: reversal.at, paper: Some(number.clone()), postings };
            book(&transaction, &booking, &mut outbox).await?;
        }
        if let Some(claim) = &known.claim {
            withdraw_claim(&transaction, &mut outbox, claim, (reversal.at, &reversal.by), &number).await?;
        }
        if let Some((order, _, state)) = &reversal.order {
            let what = ("take_back", state.as_str());
            let who = (reversal.at, reversal.by.as_str());
            let step = (number.as_str(), vec![Changed::new("state", before, Some(state))]);
            add_order_step(&transaction, &mut outbox, order, what, who, step).await?;
        }
        self.finish(transaction, outbox).await?;
        Ok(number)
    }
}

fn reversed_event(known: &Receipt, reversal: &str, by: &str) -> ReceiptEvent {
    ReceiptEvent {
        receipt: known.number.clone(),
        order: known.order.clone(),
        kit: known.kit.clone(),
        supplier: known.supplier.clone(),
        reversed_by: Some(reversal.to_owned()),
        by: by.to_owned(),
    }
}

fn refuse_twice(known: &Receipt) -> Result<(), StoreError> {
    if known.reverses.is_some() || known.reversed_by.is_some() {
        return Err(StoreError::ReceiptReversed(known.number.clone()));
    }
    Ok(())
}

fn taken_back(piece: &ReceiptPiece) -> ReceiptPiece {
    let less = |quantity: Quantity| Quantity::ZERO - quantity;
    ReceiptPiece {
        quantity: less(piece.quantity),
        damaged: less(piece.damaged),
        stands_for: less(piece.stands_for),
        booked: less(piece.booked),
        ..piece.clone()
    }
}

fn posted(piece: &ReceiptPiece, receipt: &str) -> Option<Posting> {
    let (part, bin) = (piece.part.clone()?, piece.bin.clone()?);
    (piece.booked < Quantity::ZERO).then(|| Posting {
        lot: Lot { part, bin, mark: piece.mark.clone() },
        kind: PostingKind::Adjust { difference: piece.booked, value: None },
        batch: piece.batch.clone(),
        reason: format!("receipt {receipt} taken back"),
    })
}
