//! Takes a receipt back: the only way in which one is corrected.

use std::collections::BTreeMap;

use catalogue::Quantity;
use chrono::Utc;
use serde::{Deserialize, Serialize};
use store::{NewReversal, StoreError};
use utoipa::ToSchema;

use crate::order_error::{OrderError, named, noted};
use crate::receipt_error::ReceiptError;
use crate::receipt_expected::against_order;
use crate::shop::Shop;
use crate::show_receipt::{ReceiptSheet, show_receipt, stored_receipt};

/// How often a reversal is tried again when its order changes underneath it.
const TRIES_MAX: usize = 8;

/// Why a receipt is taken back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedReversal {
    /// Why.
    #[schema(example = "counted twice")]
    pub note: String,
    /// Who takes it back.
    #[schema(example = "R. Haller")]
    pub by: String,
}

/// Takes a receipt back: its pieces leave the stock, its claim is withdrawn, and what came is still to come again.
pub async fn reverse_receipt(
    shop: &Shop,
    number: &str,
    asked: &AskedReversal,
) -> Result<ReceiptSheet, ReceiptError> {
    let by = named(&asked.by)?;
    let note = noted(Some(&asked.note))?;
    if note.is_empty() {
        return Err(OrderError::bad("/note", "`note` says why it is taken back: write some words").into());
    }
    for _ in 0..TRIES_MAX {
        let receipt = stored_receipt(shop, number).await?;
        let order = match &receipt.order {
            None => None,
            Some(order) => {
                let against = against_order(shop, order, &[]).await?;
                let mut less: BTreeMap<(i64, i64), Quantity> = BTreeMap::new();
                for piece in &receipt.pieces {
                    if let Some(place) = piece.place {
                        let sum = less.entry(place).or_default();
                        *sum = *sum - piece.stands_for;
                    }
                }
                let state = against.state_after(&less).map_or("placed", |state| state.word()).to_owned();
                against.order.map(|order| (order.number, order.version, state))
            }
        };
        let reversal = NewReversal {
            receipt: receipt.number,
            order,
            at: Utc::now(),
            by: by.clone(),
            note: note.clone(),
            body: "{}".to_owned(),
        };
        match shop.store().insert_reversal(&reversal).await {
            Ok(number) => return show_receipt(shop, &number).await,
            Err(StoreError::OrderChanged(_)) => {}
            Err(error) => return Err(error.into()),
        }
    }
    Err(ReceiptError::Order(OrderError::Stale(number.to_owned())))
}
