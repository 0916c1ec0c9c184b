//! Everything one answer follows from.

use catalogue::{PriceBook, Snapshot, StockView};
use serde::{Deserialize, Serialize};

use crate::request::Request;

/// The frozen input of an answer: the same input gives the same bytes with the same engine.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Input {
    /// What is asked.
    pub request: Request,
    /// What the units can reach.
    pub snapshot: Snapshot,
    /// What things cost.
    pub prices: PriceBook,
    /// What lies on the shelf.
    pub stock: StockView,
}
