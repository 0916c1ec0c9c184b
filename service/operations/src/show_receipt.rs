//! A receipt.

use catalogue::{Code, Money, PartKey, Quantity};
use chrono::{DateTime, Utc};
use resolver::receipt::{CountVerdict, Reconciliation};
use serde::{Deserialize, Serialize};
use store::{Receipt, StoreError};
use utoipa::ToSchema;

use crate::proposal::Proposal;
use crate::receipt_error::ReceiptError;
use crate::shop::Shop;

/// A box that was counted, or taken back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ReceiptSheet {
    /// Its running number.
    #[schema(example = "RC-000001")]
    pub number: String,
    /// The order that it was counted against.
    pub order: Option<String>,
    /// The kit that it was counted against, without an order.
    pub kit: Option<PartKey>,
    /// Who sent it.
    pub supplier: Option<Code>,
    /// When it was counted.
    pub counted_at: DateTime<Utc>,
    /// Who counted it.
    pub counted_by: String,
    /// The receipt that this one takes back.
    pub reverses: Option<String>,
    /// The receipt that takes this one back.
    pub reversed_by: Option<String>,
    /// The claim that it opened.
    pub claim: Option<String>,
    /// A note.
    pub note: String,
    /// What came of the count; empty for one that takes another back.
    pub result: Option<ReceiptResult>,
}

/// What came of a count, as it was when it was counted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ReceiptResult {
    /// Whether more boxes were on their way, so that what lacked was not short yet.
    pub more_to_come: bool,
    /// What became of each line.
    pub outcome: Reconciliation,
    /// What was booked into stock.
    pub booked: Vec<BookedPieces>,
    /// What was set aside: wrong, damaged, and more than was ordered.
    pub set_aside: Vec<SetAside>,
    /// What is to be ordered for what lacks or is damaged.
    pub to_order: Vec<Proposal>,
    /// Which quotes and jobs wait for it.
    pub waiting: Vec<Waiting>,
    /// Sentence that goes with other numbers that were accepted: they are to be checked before they are fitted.
    pub deferral: Option<String>,
}

/// Pieces that were booked into a bin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BookedPieces {
    /// The part.
    pub part: PartKey,
    /// The bin.
    pub bin: Code,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// What each is carried at in the base currency; of a kit, its share by the
    /// prices of what lies in it.
    #[schema(value_type = String)]
    pub unit_value: Money,
}

/// Pieces that were set aside.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SetAside {
    /// The number as it was counted.
    pub written: String,
    /// The part; empty: the catalogue does not know the number.
    pub part: Option<PartKey>,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// Why, in one word.
    pub verdict: CountVerdict,
    /// How many of them are damaged.
    #[schema(value_type = String)]
    pub damaged: Quantity,
}

/// Who waits for something that lacks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Waiting {
    /// The quote that the order line was for.
    pub quote: Option<String>,
    /// The job that the order line was for.
    pub job: Option<String>,
    /// The part.
    pub part: PartKey,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
}

/// The receipt of a number; case and blanks at the ends do not matter.
pub async fn show_receipt(shop: &Shop, number: &str) -> Result<ReceiptSheet, ReceiptError> {
    let receipt = stored_receipt(shop, number).await?;
    let bad = |_| StoreError::BadRow { table: "receipts", column: "body".to_owned() };
    let result = match receipt.reverses {
        Some(_) => None,
        None => Some(serde_json::from_str(&receipt.body).map_err(bad)?),
    };
    Ok(ReceiptSheet {
        number: receipt.number,
        order: receipt.order,
        kit: receipt.kit,
        supplier: receipt.supplier,
        counted_at: receipt.counted_at,
        counted_by: receipt.counted_by,
        reverses: receipt.reverses,
        reversed_by: receipt.reversed_by,
        claim: receipt.claim,
        note: receipt.note,
        result,
    })
}

/// The stored receipt of a number.
pub(crate) async fn stored_receipt(shop: &Shop, number: &str) -> Result<Receipt, ReceiptError> {
    let number = number.trim().to_uppercase();
    shop.store().receipt(&number).await?.ok_or(ReceiptError::NotFound(number))
}
