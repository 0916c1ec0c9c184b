//! Orders to suppliers: drafted, placed, acknowledged, received, closed or cancelled.
//!
//! A line freezes what it should bring when it is written. Each step is kept with who and when; the version of an order
//! counts its changes, and a change that was decided on another version is refused.

mod change;
mod insert;
mod on_order;
mod read;
mod shares;

use catalogue::{Code, Currency, Money, PartKey, Quantity};
use chrono::{DateTime, NaiveDate, Utc};

pub use change::{OrderChange, OrderLineChange};
pub(crate) use change::{add_order_step, move_order};
pub use insert::{NewOrder, NewOrderLine, RoundState};
pub use read::OrderFilter;
pub use shares::{OrderShare, dealt, dealt_between};

/// One line of what one piece of an ordered number brings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderContent {
    /// Its number, from one.
    pub content: i64,
    /// The part.
    pub part: PartKey,
    /// How many lie in one piece of what was ordered.
    pub quantity: Quantity,
    /// The option group whose sizes all lie in the box.
    pub option_group: Option<Code>,
    /// The nested kits on the way down to it.
    pub through: Vec<PartKey>,
    /// What one piece of it is worth in the base currency; `None`: all pieces of the line share alike.
    pub unit_value: Option<Money>,
}

/// A line of an order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderLine {
    /// Its number, from one.
    pub line: i64,
    /// What is ordered.
    pub part: PartKey,
    /// How many.
    pub quantity: Quantity,
    /// The currency of price and deposit.
    pub currency: Currency,
    /// Price of one.
    pub price: Money,
    /// Deposit on one.
    pub deposit: Money,
    /// Price of one in the base currency when it was ordered.
    pub unit_value: Money,
    /// When it is expected.
    pub expected_on: Option<NaiveDate>,
    /// The quote whose shortage it meets.
    pub quote: Option<String>,
    /// The job whose shortage it meets.
    pub job: Option<String>,
    /// How many the supplier acknowledged; `None`: nothing was said.
    pub acknowledged_quantity: Option<Quantity>,
    /// The day that the supplier acknowledged.
    pub acknowledged_on: Option<NaiveDate>,
    /// The part that the supplier offers instead.
    pub substitute: Option<PartKey>,
    /// What one piece brings, frozen.
    pub contents: Vec<OrderContent>,
    /// For whom its pieces are, where an order round wrote it; what is left over is nobody's.
    pub shares: Vec<OrderShare>,
    /// What it was for before substitutes were taken, the first first.
    pub replaced: Vec<PartKey>,
}

/// What was done with an order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderStep {
    /// Its number, from one.
    pub step: i64,
    /// What was done.
    pub what: String,
    /// The state after it.
    pub state: String,
    /// When.
    pub at: DateTime<Utc>,
    /// Who did it.
    pub by: String,
    /// Its particulars.
    pub detail: String,
}

/// An order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Order {
    /// Its number, such as `PO-000001`.
    pub number: String,
    /// Counts its changes.
    pub version: i64,
    /// To whom.
    pub supplier: Code,
    /// Its state.
    pub state: String,
    /// The structure revision at which its contents were frozen.
    pub structure_revision: i64,
    /// When it was drafted.
    pub created_at: DateTime<Utc>,
    /// Who drafted it.
    pub created_by: String,
    /// A note to the supplier.
    pub note: String,
    /// Its lines.
    pub lines: Vec<OrderLine>,
    /// What was done with it, the first step first.
    pub steps: Vec<OrderStep>,
}

/// An order in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderEntry {
    /// Its number.
    pub number: String,
    /// To whom.
    pub supplier: Code,
    /// Its state.
    pub state: String,
    /// When it was drafted.
    pub created_at: DateTime<Utc>,
    /// Who drafted it.
    pub created_by: String,
    /// How many lines it has.
    pub lines: i64,
    /// The last day on which a line is expected.
    pub expected_on: Option<NaiveDate>,
}
