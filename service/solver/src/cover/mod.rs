//! Sourcing: what to take from stock and what to buy, loose or as kits, for least cost, proven.

mod invalid;
mod outcome;
mod problem;

pub use invalid::Invalid;
pub use outcome::{BranchPlan, Budget, Impossible, Outcome, Plan, Signature};
pub use problem::{
    Aim, Branch, Choice, ChoiceValue, Need, Offer, Part, Problem, StockPolicy, Supplier, Table, Tier,
};
