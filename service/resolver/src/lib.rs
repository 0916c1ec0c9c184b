//! The rules of the trade: from a unit and its findings to what its rebuild needs and what brings it.
//!
//! A request flows `identify → scope → candidates → fit → source → price`; every step is a pure function of plain data
//! and hands its reasons on to the next. [`resolve()`] is the whole of it.
//!
//! **Invariant:** no database, HTTP, clock or randomness. The same [`Input`] gives the same bytes.

#[macro_use(choice)]
extern crate catalogue;

mod allocation;
mod alternatives;
pub mod answer;
pub mod as_built;
mod asked;
mod best_offer;
mod branch;
pub mod catalogue_check;
mod causes;
mod cautions;
pub mod closest;
mod companion_places;
mod compare;
mod condition;
mod conflict;
mod context;
mod cover_problem;
pub mod explain;
mod face;
mod fit;
mod fit_check;
mod fit_model;
mod fit_problem;
pub mod gearing;
mod graph;
mod identify;
mod input;
mod input_difference;
pub mod job_state;
mod joint_judge;
mod judged;
mod kit_explosion;
mod kits_side_by_side;
mod line_variants;
mod need;
mod notice_effects;
mod offers;
pub mod order_round;
mod outside_work;
mod placed_joint;
mod price_range;
mod pricing;
pub mod reason;
mod reason_graph;
pub mod receipt;
pub mod request;
mod request_check;
mod request_fault;
mod requirement;
mod resolve;
mod scope;
mod sourcing;
mod supersession;
mod symptoms;
pub mod unit_graph;
mod unplaced_need;
mod value;
mod verdict;
mod weak_points;

pub use alternatives::{
    Alternatives, AlternativesRequest, Condition, ConditionAnswer, Impossible, KitCount, NextPlan,
    PlanDifference, PlanSummary, alternatives, alternatives_until,
};
pub use answer::Answer;
pub use best_offer::{BestOffer, best_offer};
pub use cautions::DEFERRAL;
pub use compare::{Cause, Change, ChangeSubject, Comparison, compare};
pub use fit_check::*;
pub use identify::serial_number;
pub use input::Input;
pub use judged::{JudgedFigures, WarningNote, judged};
pub use kits_side_by_side::{KitComparison, KitPieces, KitWay, kits_side_by_side};
pub use notice_effects::{
    Event, NoticeEffects, PathStep, TouchedCompanion, TouchedKit, TouchedNeed, TouchedNumber,
    TouchedPosition, notice_effects,
};
pub use price_range::{
    Bounds, FindingEffect, OUTCOMES_MAX, PriceRange, RangeFigures, price_range, price_range_until,
};
pub use reason::Reason;
pub use reason_graph::{ChainStep, LineChain, ReasonGraph};
pub use request::Request;
pub use request_fault::{RequestFault, RequestFaultKind};
pub use resolve::{resolve, resolve_until};
pub use symptoms::{KnownSymptom, LikelyFinding, SymptomAnswer, VehicleCheck, known_symptoms, symptom};

/// The engine's version; it stands in every answer.
pub const ENGINE: &str = concat!("crownwheel ", env!("CARGO_PKG_VERSION"));
