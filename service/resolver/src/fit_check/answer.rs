//! What a fit check answers.

use catalogue::{Code, Currency, Money, PartKey, Quantity, UnitKey};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::conflict_facts::GroupFact;
use super::joint_figures::JointFigures;
use super::larger_operation::LargerOperation;
use crate::answer::{Because, CautionNote, JointNote, KitPurchase, LoosePurchase, PartName};

/// The whole answer of a fit check.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FitCheck {
    /// The day it is for.
    pub as_of: NaiveDate,
    /// The engine that made it.
    pub engine: String,
    /// The units it was held against.
    pub units: Vec<CheckedUnit>,
    /// Each alternative, in the order asked.
    pub alternatives: Vec<CheckedAlternative>,
    /// The best way of each alternative, side by side.
    pub side_by_side: Vec<SideBySideRow>,
    /// What can hurt someone, and to whom to defer.
    pub cautions: Vec<CautionNote>,
    /// Sentence that always goes with an answer for bench or road.
    pub deferral: String,
}

/// A unit of a fit check.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CheckedUnit {
    /// Key of the unit.
    pub unit: UnitKey,
    /// The code on its plate.
    pub code: String,
    /// What it is called.
    pub name: String,
}

/// One alternative.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CheckedAlternative {
    /// What is to be fitted, what the units ask for anyway before it.
    pub wanted: Vec<PartName>,
    /// What comes of it: one case, or one for each way in which what is not known of the unit changes the outcome.
    pub cases: Vec<FitCase>,
}

choice! {
    /// Whether an alternative fits.
    pub enum FitVerdict {
        /// It fits what is inside; nothing else changes.
        FitsAsItIs = "fits_as_it_is",
        /// It fits if other parts change with it.
        FitsWithChanges = "fits_with_changes",
        /// It cannot be fitted, whatever else changes.
        CannotFit = "cannot_fit",
    }
}

/// An alternative in one outcome of what is not known.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FitCase {
    /// The variants in which it holds; empty: in all that are possible.
    pub variants: Vec<Code>,
    /// Whether it fits.
    pub verdict: FitVerdict,
    /// The ways to fit it: fewest further changes first, then fewest joints unverified, then least cash.
    pub ways: Vec<FitWay>,
    /// Whether more ways exist than are told.
    pub more_ways: bool,
    /// If it cannot fit: a smallest group of facts that cannot hold together. Without any one of them it is possible.
    pub conflict: Vec<GroupFact>,
    /// Whether it is proven that no fact of the group can be left out.
    pub conflict_is_smallest: bool,
    /// All of it in one sentence.
    pub sentence: String,
}

/// One way to fit an alternative.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FitWay {
    /// How many hard parts are renewed that would otherwise be kept.
    pub further_changes: usize,
    /// What changes that would otherwise be kept, in order of assembly.
    pub changes: Vec<FurtherChange>,
    /// What comes along and takes no kept part's place: companions, shims.
    pub along: Vec<AlongLine>,
    /// Where the planned operation does not reach all that is worked on: the larger one that does.
    pub larger_operations: Vec<LargerOperation>,
    /// Joints that have no verdict.
    pub unverified_joints: Vec<JointNote>,
    /// Joints where a calculation and a statement contradict.
    pub contradictions: Vec<JointNote>,
    /// What it costs.
    pub cost: WayCost,
    /// All of it in one sentence.
    pub sentence: String,
}

/// A part that changes though nothing else asks for it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FurtherChange {
    /// The unit.
    pub unit: UnitKey,
    /// The position.
    pub position: Code,
    /// What the position is called.
    pub name: String,
    /// What is inside.
    pub from: Option<PartName>,
    /// What is to be fitted.
    pub to: Vec<PartName>,
    /// How many of the first of them.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// Whether it counts: a hard part. Wear parts that must change do not.
    pub further_change: bool,
    /// Why, first cause first.
    pub reasons: Vec<Because>,
    /// The joints at which what is inside does not go with what is fitted around it.
    pub forced_by: Vec<JointFigures>,
}

/// A part that comes along.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct AlongLine {
    /// The unit.
    pub unit: UnitKey,
    /// The position; empty: it has none.
    pub position: Option<Code>,
    /// The part.
    pub part: PartName,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// Why.
    pub reasons: Vec<Because>,
}

/// What a way costs over what the operation renews anyway. Fluids and work outside that only a larger operation calls for are in
/// the cash; labour is no cash and stands apart.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WayCost {
    /// The base currency, of all amounts.
    pub currency: Currency,
    /// Cash for what was wanted with its companions, bought alone.
    #[schema(value_type = String)]
    pub wanted_cash: Money,
    /// What the further changes add to the cash, orders shared.
    #[schema(value_type = String)]
    pub further_cash: Money,
    /// What the further changes add to the job cost: cash and the carrying value of stock used for them.
    #[schema(value_type = String)]
    pub further_job_cost: Money,
    /// Cash for all of it.
    #[schema(value_type = String)]
    pub cash: Money,
    /// Cash and the carrying value of stock used.
    #[schema(value_type = String)]
    pub job_cost: Money,
    /// What the customer pays for the hours of a larger operation over those of the planned one.
    #[schema(value_type = String)]
    pub labour_more: Money,
    /// Days until everything is here.
    pub days: i64,
    /// Kits to buy.
    pub kits: Vec<KitPurchase>,
    /// Loose parts to buy.
    pub loose: Vec<LoosePurchase>,
    /// Parts that cannot be had; the amounts leave them out.
    pub not_to_be_had: Vec<PartKey>,
    /// Whether nothing cheaper is possible.
    pub proven: bool,
    /// Where that is not proven: what no purchase for all of it goes below, in cash, or in job cost where stock competes at its
    /// carrying value.
    #[schema(value_type = Option<String>)]
    pub bound: Option<Money>,
}

/// The best way of an alternative, to compare.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SideBySideRow {
    /// The alternative, counted from nought.
    pub alternative: usize,
    /// What is wanted, in words.
    pub text: String,
    /// The variants in which the row holds; empty: in all.
    pub variants: Vec<Code>,
    /// Whether it fits.
    pub verdict: FitVerdict,
    /// Hard parts that change with it; empty: it cannot fit.
    pub further_changes: Option<usize>,
    /// The positions that change with it.
    pub changes: Vec<Code>,
    /// Joints without a verdict.
    pub unverified_joints: Option<usize>,
    /// Different numbers to fit: what is wanted, what changes and what comes along.
    pub parts: Option<usize>,
    /// Cash out.
    #[schema(value_type = Option<String>)]
    pub cash: Option<Money>,
    /// Cash and the carrying value of stock used.
    #[schema(value_type = Option<String>)]
    pub job_cost: Option<Money>,
    /// What the customer pays for hours over those of the planned operation.
    #[schema(value_type = Option<String>)]
    pub labour_more: Option<Money>,
    /// Days until everything is here.
    pub days: Option<i64>,
    /// Cash over the cheapest alternative that fits.
    #[schema(value_type = Option<String>)]
    pub cash_more: Option<Money>,
}
