//! A count of what came, held against what should have come.
//!
//! The expected pieces are those that an order froze: the kit's own lines of that day, option lines included, or a loose
//! part. What was counted is matched with them as a flow of quantities in a fixed order: the same number, a proper
//! successor, a number that is interchangeable both ways, and at last the closest. The catalogue of the day of counting
//! explains and accepts; claims go against what was frozen. Damage does not change what a thing is.

mod answer;
mod contents;
mod cost_share;
mod input;
mod matching;
mod reason;
mod relation;
mod report;
#[cfg(test)]
mod tests;

pub use answer::{
    CountVerdict, CountedOutcome, ExpectedOutcome, ExpectedVerdict, ListChange, PiecesOutcome,
    Reconciliation, ToldReason,
};
pub use contents::{FrozenContent, contents_of};
pub use cost_share::{Share, cost_shares};
pub use input::{CountedLine, ExpectedLine, FrozenBox, ReceiptInput};
pub use reason::ReceiptReason;
pub use report::reconcile;
