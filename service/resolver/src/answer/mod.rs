//! What the resolver answers: the requirement, how it is met, and what it costs, each line with its reasons.

mod customer_price;
mod sourcing;

use catalogue::{Code, Hazard, JointKind, PartKey, Quantity, UnitKey, UnitOfMeasure};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

pub use customer_price::{CustomerPrice, PriceLine, PriceLineKind, TaxLine};
pub use sourcing::{
    CoverageLine, KitContent, KitPurchase, LoosePurchase, MissingLine, Outcome, Sourcing, StockPick,
    SupplierOrder, SurplusLine, WorkOrder,
};

use crate::alternatives::Alternatives;
use crate::as_built::RecordDifference;
use crate::gearing::{OutcomeGearing, UnitGearing};
use crate::reason::Reason;

/// A reason with the sentence made from it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Because {
    /// The facts.
    #[serde(flatten)]
    pub reason: Reason,
    /// The sentence.
    pub sentence: String,
}

/// A part as a person knows it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PartName {
    /// Key: maker and normalised number.
    pub part: PartKey,
    /// The maker's code.
    pub maker: String,
    /// The number as the maker writes it.
    pub number: String,
    /// What it is called.
    pub name: String,
}

/// The whole answer. It follows from its frozen input alone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Answer {
    /// The day it is for.
    pub as_of: NaiveDate,
    /// The engine that made it.
    pub engine: String,
    /// What each unit needs.
    pub units: Vec<UnitRequirement>,
    /// Where what is not known is to be measured first: the variants for which lines, purchases and price are told, those of the
    /// dearest outcome; the other outcomes are told apart.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub told_for: Vec<Code>,
    /// How the need is met.
    pub sourcing: Sourcing,
    /// What the customer pays.
    pub price: CustomerPrice,
    /// The next best answers and those under conditions, where they were asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub alternatives: Option<Box<Alternatives>>,
    /// What can hurt someone, and to whom to defer.
    pub cautions: Vec<CautionNote>,
    /// Sentence that always goes with an answer for bench or road.
    pub deferral: String,
}

/// What one unit needs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct UnitRequirement {
    /// Key of the unit.
    pub unit: UnitKey,
    /// The code on its plate.
    pub code: String,
    /// What it is called.
    pub name: String,
    /// The operation.
    pub operation: Code,
    /// What the operation is called.
    pub operation_name: String,
    /// Labour in hours.
    #[schema(value_type = String)]
    pub hours: Quantity,
    /// Variants that hold.
    pub variants: Vec<Code>,
    /// What is not known, and how to tell.
    pub unknown: Vec<UnknownOption>,
    /// One line a position, in order of assembly, then what has no position.
    pub lines: Vec<RequirementLine>,
    /// Joints that have no verdict.
    pub unverified_joints: Vec<JointNote>,
    /// Joints where a calculation and a statement contradict.
    pub contradictions: Vec<JointNote>,
    /// Ratios, steps, engine speeds and pull before and after, where a gear changes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub gearing: Option<UnitGearing>,
    /// The same in each outcome of what is not known, where the outcomes differ in it; left out where they do not.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub gearing_by_outcome: Vec<OutcomeGearing>,
    /// Where the bench found something else than the record of the serial number says; left out: nowhere.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub record_differences: Vec<RecordDifference>,
}

/// An option group of which several variants may hold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct UnknownOption {
    /// The group.
    pub option_group: Code,
    /// The variants that may hold.
    pub variants: Vec<Code>,
    /// How to tell on the bench.
    pub how_to_tell: Vec<String>,
    /// Whether the answer differs by it.
    pub matters: bool,
}

choice! {
    /// What happens at a position.
    pub enum Action {
        /// The part goes back in.
        Keep = "keep",
        /// The part is renewed by one that does the same.
        Renew = "renew",
        /// Another part is fitted because it was asked for or forced.
        Upgrade = "upgrade",
        /// It is used up or comes along, at no position.
        Supply = "supply",
    }
}

/// What happens at one position.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RequirementLine {
    /// The position; empty for fluids and companions without one.
    pub position: Option<Code>,
    /// What the position is called.
    pub name: String,
    /// The sub-assembly.
    pub subassembly: Option<Code>,
    /// What happens.
    pub action: Action,
    /// The part that will be there.
    pub part: PartName,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// Unit of the quantity.
    pub measure: UnitOfMeasure,
    /// The variants in which the line holds; empty: in all that are possible.
    pub variants: Vec<Code>,
    /// Whether it is a further change: a hard part renewed that would otherwise be kept.
    pub further_change: bool,
    /// Why, first cause first.
    pub reasons: Vec<Because>,
}

/// A joint and what is known of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct JointNote {
    /// The joint.
    pub joint: Code,
    /// How the positions meet.
    pub kind: JointKind,
    /// One position with its unit.
    pub unit_a: UnitKey,
    /// The position.
    pub position_a: Code,
    /// The part there.
    pub part_a: PartName,
    /// The other position's unit.
    pub unit_b: UnitKey,
    /// The position.
    pub position_b: Code,
    /// The part there.
    pub part_b: PartName,
    /// What is missing, or what contradicts, in words.
    pub note: String,
}

/// A caution that goes with the answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CautionNote {
    /// What can hurt someone.
    pub hazard: Hazard,
    /// The words.
    pub text: String,
    /// The unit it speaks of.
    pub unit: Option<UnitKey>,
    /// The position it speaks of.
    pub position: Option<Code>,
}
