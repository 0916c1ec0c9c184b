//! Receipts: boxes that were counted, with what was booked of them.
//!
//! A receipt, its movements, the claim it opens and the step of its order are stored together or not at all. It never
//! changes; it is corrected by a reversal, which is a receipt of the same pieces below zero.

mod insert;
mod of_job;
mod read;
mod reverse;

use catalogue::{Code, Mark, Money, PartKey, Quantity};
use chrono::{DateTime, Utc};

pub use insert::NewReceipt;
pub use of_job::JobPiece;
pub use read::ReceiptFilter;
pub use reverse::NewReversal;

/// Counted pieces of one part with one fate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReceiptPiece {
    /// The order line and its content that they stand for; `None`: none.
    pub place: Option<(i64, i64)>,
    /// The part; `None`: the catalogue does not know the number.
    pub part: Option<PartKey>,
    /// What became of them, in one word.
    pub verdict: String,
    /// How many, damaged ones among them.
    pub quantity: Quantity,
    /// How many are damaged.
    pub damaged: Quantity,
    /// For how many of what was ordered they stand.
    pub stands_for: Quantity,
    /// The bin into which they go; `None`: they are set aside.
    pub bin: Option<Code>,
    /// The mark of a matched set.
    pub mark: Mark,
    /// The maker's batch.
    pub batch: String,
    /// What each is carried at.
    pub unit_value: Money,
    /// How many are booked into the bin.
    pub booked: Quantity,
}

/// A receipt.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Receipt {
    /// Its number, such as `RC-000001`.
    pub number: String,
    /// The order it was counted against.
    pub order: Option<String>,
    /// The kit it was counted against, without an order.
    pub kit: Option<PartKey>,
    /// Who sent it.
    pub supplier: Option<Code>,
    /// When it was counted.
    pub counted_at: DateTime<Utc>,
    /// Who counted it.
    pub counted_by: String,
    /// The receipt that it takes back.
    pub reverses: Option<String>,
    /// The receipt that takes it back.
    pub reversed_by: Option<String>,
    /// The claim that it opened.
    pub claim: Option<String>,
    /// A note.
    pub note: String,
    /// What came of it, as JSON.
    pub body: String,
    /// Its pieces.
    pub pieces: Vec<ReceiptPiece>,
}

/// A receipt in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReceiptEntry {
    /// Its number.
    pub number: String,
    /// The order.
    pub order: Option<String>,
    /// The kit.
    pub kit: Option<PartKey>,
    /// Who sent it.
    pub supplier: Option<Code>,
    /// When it was counted.
    pub counted_at: DateTime<Utc>,
    /// Who counted it.
    pub counted_by: String,
    /// The receipt that it takes back.
    pub reverses: Option<String>,
    /// The receipt that takes it back.
    pub reversed_by: Option<String>,
    /// The claim that it opened.
    pub claim: Option<String>,
}
