//! What the resolver answers: the requirement, how it is met, and what it costs, each line with its reasons.

use catalogue::{
    Code, Currency, Hazard, JointKind, Mark, Money, PartKey, Percent, Quantity, UnitKey, UnitOfMeasure,
};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::alternatives::Alternatives;
use crate::as_built::RecordDifference;
use crate::gearing::{OutcomeGearing, UnitGearing};
use crate::reason::Reason;
use crate::request::{Aim, StockUse};

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

/// How the need is met.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Sourcing {
    /// What the plan is best at.
    pub aim: Aim,
    /// How stock was used.
    pub stock: StockUse,
    /// Whether the plan is proven to be best in its first aim (of least money: least cash out).
    pub proven: bool,
    /// Whether it is proven in the later aims too, which settle ties.
    pub ties_proven: bool,
    /// If it is not: what no plan can go below, in the first aim's unit.
    pub bound: Option<String>,
    /// What comes off the shelf.
    pub from_stock: Vec<StockPick>,
    /// Kits to buy.
    pub kits: Vec<KitPurchase>,
    /// Loose parts to buy.
    pub loose: Vec<LoosePurchase>,
    /// Work that goes out.
    pub outside_work: Vec<WorkOrder>,
    /// What is bought or brought and not used.
    pub surplus: Vec<SurplusLine>,
    /// What cannot be had from anybody.
    pub not_to_be_had: Vec<MissingLine>,
    /// Where each needed part comes from, line by line of the requirement.
    pub coverage: Vec<CoverageLine>,
    /// Suppliers ordered from, with what an order costs.
    pub orders: Vec<SupplierOrder>,
    /// Cash out in the base currency.
    #[schema(value_type = String)]
    pub cash: Money,
    /// Deposits in the cash, given back for the old parts.
    #[schema(value_type = String)]
    pub deposits: Money,
    /// Cash and the carrying value of stock used.
    #[schema(value_type = String)]
    pub job_cost: Money,
    /// The base currency.
    pub currency: Currency,
    /// Days until everything is here.
    pub days: i64,
    /// The day everything is here.
    pub complete_on: NaiveDate,
    /// With `measure_first`: each outcome of what is not known, answered apart.
    pub outcomes: Vec<Outcome>,
}

/// One outcome of what is not known.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Outcome {
    /// The variants that hold in it.
    pub variants: Vec<Code>,
    /// Cash out in the base currency.
    #[schema(value_type = String)]
    pub cash: Money,
    /// Cash and the carrying value of stock used.
    #[schema(value_type = String)]
    pub job_cost: Money,
    /// Days until everything is here.
    pub days: i64,
    /// Kits bought.
    pub kits: Vec<KitPurchase>,
    /// Loose parts bought.
    pub loose: Vec<LoosePurchase>,
}

/// Pieces from one bin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct StockPick {
    /// The part.
    pub part: PartName,
    /// The bin.
    pub bin: Code,
    /// The mark of a matched set; empty: none.
    #[schema(value_type = String)]
    pub mark: Mark,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// Unit of the quantity.
    pub measure: UnitOfMeasure,
    /// Carrying value of one in the base currency.
    #[schema(value_type = String)]
    pub carrying_value: Money,
}

/// A kit to buy.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KitPurchase {
    /// The kit.
    pub kit: PartName,
    /// From whom.
    pub supplier: Code,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// Price of one in the offer's currency.
    #[schema(value_type = String)]
    pub price: Money,
    /// The offer's currency.
    pub currency: Currency,
    /// Deposit on each in the offer's currency, given back for the old parts.
    #[schema(value_type = String)]
    pub deposit: Money,
    /// Cost of all in the base currency, deposits included.
    #[schema(value_type = String)]
    pub cost: Money,
    /// When it can be here.
    pub here_on: NaiveDate,
    /// What lies in the box, through nested kits, and what of it the job uses.
    pub contents: Vec<KitContent>,
}

/// One part in a kit's box.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KitContent {
    /// The part.
    pub part: PartName,
    /// How many lie in all boxes bought.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// How many the job uses, at most over what is not known.
    #[schema(value_type = String)]
    pub used: Quantity,
    /// The option group whose sizes all lie in the box.
    pub option_group: Option<Code>,
    /// The kits on the way down to it.
    pub through: Vec<PartKey>,
}

/// A loose part to buy.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LoosePurchase {
    /// The part.
    pub part: PartName,
    /// From whom.
    pub supplier: Code,
    /// How many are bought.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// How many of them the job uses, at most over what is not known.
    #[schema(value_type = String)]
    pub used: Quantity,
    /// Unit of the quantities.
    pub measure: UnitOfMeasure,
    /// Price of one in the offer's currency.
    #[schema(value_type = String)]
    pub price: Money,
    /// The offer's currency.
    pub currency: Currency,
    /// Deposit on each in the offer's currency, given back for the old part.
    #[schema(value_type = String)]
    pub deposit: Money,
    /// Cost of all in the base currency, deposits included.
    #[schema(value_type = String)]
    pub cost: Money,
    /// When it can be here.
    pub here_on: NaiveDate,
}

/// Work that goes out of the shop.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WorkOrder {
    /// The unit.
    pub unit: UnitKey,
    /// Code of the work.
    pub work: Code,
    /// What it is called.
    pub name: String,
    /// Who does it.
    pub supplier: Code,
    /// Cost in the base currency.
    #[schema(value_type = String)]
    pub cost: Money,
    /// When it is back.
    pub here_on: NaiveDate,
    /// Why.
    pub reasons: Vec<Because>,
}

/// What is left over.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SurplusLine {
    /// The part.
    pub part: PartName,
    /// How many are left at most, over what is not known.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// Unit of the quantity.
    pub measure: UnitOfMeasure,
    /// The kit that brings it; empty: a pack or a minimum order.
    pub kit: Option<PartKey>,
}

/// What cannot be had.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct MissingLine {
    /// The part.
    pub part: PartName,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// Unit of the quantity.
    pub measure: UnitOfMeasure,
    /// Where it is needed.
    pub unit: UnitKey,
    /// The position.
    pub position: Option<Code>,
    /// Why not, in words.
    pub note: String,
}

/// Where the pieces of one requirement line come from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CoverageLine {
    /// The unit.
    pub unit: UnitKey,
    /// The position; empty for fluids and companions without one.
    pub position: Option<Code>,
    /// The part fitted.
    pub part: PartName,
    /// The variants in which the line holds.
    pub variants: Vec<Code>,
    /// How many are needed.
    #[schema(value_type = String)]
    pub needed: Quantity,
    /// How many come off the shelf.
    #[schema(value_type = String)]
    pub from_stock: Quantity,
    /// How many come out of kits.
    #[schema(value_type = String)]
    pub from_kits: Quantity,
    /// How many are bought loose.
    #[schema(value_type = String)]
    pub bought: Quantity,
}

/// One supplier of the plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SupplierOrder {
    /// The supplier.
    pub supplier: Code,
    /// Its name.
    pub name: String,
    /// What an order costs, in the base currency.
    #[schema(value_type = String)]
    pub order_cost: Money,
    /// Cost of the goods in the base currency, deposits included.
    #[schema(value_type = String)]
    pub goods: Money,
    /// When the last of it is here.
    pub here_on: NaiveDate,
}

/// What the customer pays.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CustomerPrice {
    /// The currency of all amounts.
    pub currency: Currency,
    /// The lines.
    pub lines: Vec<PriceLine>,
    /// Sum of the net lines, deposits apart.
    #[schema(value_type = String)]
    pub net: Money,
    /// The taxes.
    pub taxes: Vec<TaxLine>,
    /// Deposits, given back for the old parts; not taxed.
    #[schema(value_type = String)]
    pub deposits: Money,
    /// What is to be paid.
    #[schema(value_type = String)]
    pub total: Money,
    /// Last day on which the price holds.
    pub valid_until: NaiveDate,
}

choice! {
    /// What a price line is for.
    pub enum PriceLineKind {
        /// A kit.
        Kit = "kit",
        /// A part bought loose.
        Part = "part",
        /// A part off the shelf.
        Stock = "stock",
        /// Surplus that the shop does not keep.
        Surplus = "surplus",
        /// Work outside.
        OutsideWork = "outside_work",
        /// Labour in the shop.
        Labour = "labour",
        /// Freight and handling of the orders.
        Freight = "freight",
    }
}

/// One line of the customer's price.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PriceLine {
    /// What it is for.
    pub kind: PriceLineKind,
    /// In words.
    pub text: String,
    /// The part or kit.
    pub part: Option<PartKey>,
    /// How many, in the part's unit, or hours.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// What it costs the shop, in the base currency.
    #[schema(value_type = String)]
    pub cost: Money,
    /// Per cent put on it.
    #[schema(value_type = String)]
    pub markup: Percent,
    /// The rule that says so; empty: none matches.
    pub rule: Option<Code>,
    /// What the customer pays before tax.
    #[schema(value_type = String)]
    pub net: Money,
}

/// One tax.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct TaxLine {
    /// The tax.
    pub tax: Code,
    /// Its rate.
    #[schema(value_type = String)]
    pub rate: Percent,
    /// On what.
    #[schema(value_type = String)]
    pub net: Money,
    /// How much, rounded once.
    #[schema(value_type = String)]
    pub amount: Money,
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
