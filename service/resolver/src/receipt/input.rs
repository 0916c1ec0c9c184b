//! What a reconciliation is made from.

use catalogue::{Code, PartKey, Quantity, Snapshot};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::contents::FrozenContent;

/// All that a reconciliation depends on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ReceiptInput {
    /// The day of counting, for which notices and today's kit lists are read.
    pub as_of: NaiveDate,
    /// What is still to come, in the order of the count sheet.
    pub expected: Vec<ExpectedLine>,
    /// What was counted.
    pub counted: Vec<CountedLine>,
    /// The kits among what was ordered, with what their order lines froze.
    pub boxes: Vec<FrozenBox>,
    /// Parts, kit lines and notices of the day, each list sorted by its key; other lists are not read.
    pub snapshot: Snapshot,
}

/// Pieces of one part that should come.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ExpectedLine {
    /// Number of the order line.
    pub order_line: i64,
    /// Number of the frozen content of that line.
    pub content: i64,
    /// The part.
    pub part: PartKey,
    /// How many are still to come; not below zero.
    pub quantity: Quantity,
    /// The kit in whose box they lie; empty: a loose part.
    pub kit: Option<PartKey>,
    /// The option group whose sizes all lie in the box.
    pub option_group: Option<Code>,
}

/// Pieces that were counted under one number.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct CountedLine {
    /// The number as it was scanned or written.
    pub written: String,
    /// The part; empty: the catalogue does not know the number.
    pub part: Option<PartKey>,
    /// How many, damaged ones among them; not below zero.
    pub quantity: Quantity,
    /// How many of them are damaged; from zero to the quantity.
    pub damaged: Quantity,
}

/// A kit that was ordered, with the contents of one box that its order line froze.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct FrozenBox {
    /// The kit.
    pub kit: PartKey,
    /// What lies in one box.
    pub contents: Vec<FrozenContent>,
}
