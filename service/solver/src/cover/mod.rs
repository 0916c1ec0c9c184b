//! Sourcing: what to take from stock and what to buy, loose or as kits, for least cost, proven.

mod alone;
mod answer;
mod branching;
mod candidate;
mod check;
mod classes;
mod conflict;
mod dear_kits;
mod invalid;
mod least;
mod ledger;
mod links;
mod outcome;
mod problem;
mod program;
mod relaxation;
mod requirements;
mod rounding;
mod search;
mod serve;
mod simplex;
mod source;
mod stages;
mod staircase;
mod supplier_sets;

pub use invalid::Invalid;
pub use outcome::{BranchPlan, Budget, Impossible, Outcome, Plan, Signature};
pub use problem::{
    Aim, Branch, Choice, ChoiceValue, Need, Offer, Part, Problem, StockPolicy, Supplier, Table, Tier,
};
pub use stages::{solve, solve_next};
