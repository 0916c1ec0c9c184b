//! What a reconciliation says, line by line.

use catalogue::{Code, PartKey, Quantity, UnitOfMeasure};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::reason::ReceiptReason;

choice! {
    /// What became of counted pieces.
    pub enum CountVerdict {
        /// The number that was ordered.
        Right = "right",
        /// A proper successor, taken in place of what was ordered.
        ProperSuccessor = "proper_successor",
        /// Interchangeable both ways, taken in place of what was ordered.
        Interchangeable = "interchangeable",
        /// An old number, refused because the interchange is one way.
        OldNumberRefused = "old_number_refused",
        /// Another part.
        WrongPart = "wrong_part",
        /// Not among what was ordered, but on today's list of the kit: kept, and not counted against the order.
        TodaysList = "todays_list",
        /// More of it than was to come.
        Over = "over",
    }
}

impl CountVerdict {
    /// Whether the pieces stand for something that was ordered.
    pub fn is_accepted(self) -> bool {
        matches!(self, Self::Right | Self::ProperSuccessor | Self::Interchangeable)
    }
}

choice! {
    /// What became of an expected line.
    pub enum ExpectedVerdict {
        /// All of it is here under the number that was ordered.
        Right = "right",
        /// All of it is here, some under another number that was accepted.
        Accepted = "accepted",
        /// Some of it lacks.
        Short = "short",
    }
}

/// A reason with the sentence made from it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct ToldReason {
    /// The facts.
    #[serde(flatten)]
    pub reason: ReceiptReason,
    /// The sentence.
    pub sentence: String,
}

/// A count held against what should have come.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Reconciliation {
    /// The day of counting.
    pub as_of: NaiveDate,
    /// Each line that was to come, in the order of the count sheet.
    pub expected: Vec<ExpectedOutcome>,
    /// Each line that was counted, in the order of counting.
    pub counted: Vec<CountedOutcome>,
    /// Where today's list of a kit differs from what its order line froze.
    pub list_changes: Vec<ListChange>,
    /// Whether no other way to match the count is better.
    pub proven: bool,
    /// Faults of the catalogue on the way, in words: of these numbers no successor was accepted.
    pub catalogue_faults: Vec<String>,
}

/// What became of one line that was to come.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct ExpectedOutcome {
    /// Number of the order line.
    pub order_line: i64,
    /// Number of the frozen content of that line.
    pub content: i64,
    /// The part.
    pub part: PartKey,
    /// What it is called; empty: the catalogue does not know it any more.
    pub name: String,
    /// Unit of the quantities.
    pub measure: UnitOfMeasure,
    /// The kit in whose box it lies.
    pub kit: Option<PartKey>,
    /// The option group whose sizes all lie in the box.
    pub option_group: Option<Code>,
    /// In one word.
    pub verdict: ExpectedVerdict,
    /// How many were to come.
    #[schema(value_type = String)]
    pub expected: Quantity,
    /// How many came under the number that was ordered.
    #[schema(value_type = String)]
    pub right: Quantity,
    /// How many are stood for by proper successors.
    #[schema(value_type = String)]
    pub by_successor: Quantity,
    /// How many are stood for by interchangeable numbers.
    #[schema(value_type = String)]
    pub by_interchange: Quantity,
    /// How many lack.
    #[schema(value_type = String)]
    pub short: Quantity,
    /// Damaged pieces among those that came for it.
    #[schema(value_type = String)]
    pub damaged: Quantity,
    /// Why.
    pub reasons: Vec<ToldReason>,
}

/// What became of one line that was counted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct CountedOutcome {
    /// The number as it was scanned or written.
    pub written: String,
    /// The part; empty: the catalogue does not know the number.
    pub part: Option<PartKey>,
    /// What it is called.
    pub name: String,
    /// How many were counted, damaged ones among them.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// How many of them are damaged.
    #[schema(value_type = String)]
    pub damaged: Quantity,
    /// What became of the pieces.
    pub pieces: Vec<PiecesOutcome>,
}

/// What became of some pieces of a counted line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct PiecesOutcome {
    /// In one word.
    pub verdict: CountVerdict,
    /// How many, damaged ones among them.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// How many of them are damaged.
    #[schema(value_type = String)]
    pub damaged: Quantity,
    /// The order line for which they came, or in whose place they seem to lie; empty: for none.
    pub order_line: Option<i64>,
    /// The content of that order line.
    pub content: Option<i64>,
    /// The part of that line.
    pub in_place_of: Option<PartKey>,
    /// For how many of that line they stand; of several lines together, of this one.
    #[schema(value_type = String)]
    pub stands_for: Quantity,
    /// Why.
    pub reasons: Vec<ToldReason>,
}

/// How today's list of a kit differs from what was frozen.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct ListChange {
    /// The kit.
    pub kit: PartKey,
    /// The part.
    pub part: PartKey,
    /// How many lay in one box when it was ordered.
    #[schema(value_type = String)]
    pub frozen: Quantity,
    /// How many lie in one box by today's list.
    #[schema(value_type = String)]
    pub today: Quantity,
}
