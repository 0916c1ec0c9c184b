//! What came of a paper that was taken in.

use catalogue::{Code, PartKey, Quantity};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::import_catalogue::SheetReport;
use crate::receive_box::AskedReceipt;
use crate::show_order::OrderState;

/// What came of a paper.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "did", rename_all = "snake_case")]
pub enum PaperOutcome {
    /// An order became drafts, one a supplier.
    DraftedOrders(DraftedFromPaper),
    /// A supplier's answer changed its order.
    AnsweredOrder(AnsweredOrder),
    /// A despatch advice says what a box should hold.
    AnnouncedBox(AnnouncedBox),
    /// A receipt advice was booked as a count.
    CountedBox(CountedBox),
    /// A catalogue document changed the catalogue.
    TookCatalogue(TakenCatalogue),
}

/// Orders that were drafted of a paper.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct DraftedFromPaper {
    /// Their numbers.
    pub orders: Vec<String>,
    /// What the paper says that was not followed.
    pub remarks: Vec<String>,
}

/// What a supplier's answer did to its order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct AnsweredOrder {
    /// The order.
    pub order: String,
    /// Its state after the answer.
    pub state: OrderState,
    /// The lines that the answer speaks of.
    pub lines: Vec<AnsweredLine>,
    /// What it means for the quotes and jobs that wait for it: those that get less, later, or something else.
    pub waiting: Vec<WaitingPaper>,
    /// What the answer says that was not followed, such as another price.
    pub remarks: Vec<String>,
}

/// A line that was answered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct AnsweredLine {
    /// Its number in the order.
    pub line: i64,
    /// What was ordered.
    pub part: PartKey,
    /// How many were ordered.
    #[schema(value_type = String)]
    pub ordered: Quantity,
    /// How many the supplier will send.
    #[schema(value_type = String)]
    pub acknowledged: Quantity,
    /// When it was expected.
    pub expected_before: Option<NaiveDate>,
    /// When it is expected now.
    pub expected_now: Option<NaiveDate>,
    /// The part that is offered instead.
    pub substitute: Option<PartKey>,
}

/// A quote or job for which a line is not as it was planned.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WaitingPaper {
    /// The quote.
    pub quote: Option<String>,
    /// The job.
    pub job: Option<String>,
    /// The line of the order.
    pub line: i64,
    /// The part.
    pub part: PartKey,
    /// How many of it will not come.
    #[schema(value_type = String)]
    pub lacking: Quantity,
    /// How many days later than planned it comes; below zero: earlier.
    pub days_later: i64,
    /// The part that is offered instead: somebody must decide.
    pub substitute: Option<PartKey>,
}

/// What a box should hold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct AnnouncedBox {
    /// Counts to begin with, one an order: fill in who counts, correct what differs, and post it as a receipt.
    pub receipts: Vec<AskedReceipt>,
    /// The day by which it should arrive.
    pub expected_on: Option<NaiveDate>,
    /// The carrier's number to follow it by.
    pub tracking: Option<String>,
    /// What follows in a later box.
    pub outstanding: Vec<Outstanding>,
    /// What the paper says that was not followed.
    pub remarks: Vec<String>,
}

/// What follows later.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Outstanding {
    /// The order.
    pub order: String,
    /// Its line.
    pub line: i64,
    /// The part.
    pub part: PartKey,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// Why.
    pub reason: String,
}

/// A receipt that was booked of a paper.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CountedBox {
    /// Its number.
    pub receipt: String,
    /// What the paper says that was not followed.
    pub remarks: Vec<String>,
}

/// What a catalogue document did.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct TakenCatalogue {
    /// The supplier whose catalogue it is.
    pub supplier: Code,
    /// What became of the rows.
    pub sheets: Vec<SheetReport>,
    /// What the document says that was not followed.
    pub remarks: Vec<String>,
}
