//! How the need is met: what comes off the shelf, what is bought from whom, and what is left over.

use catalogue::{Code, Currency, Mark, Money, PartKey, Quantity, UnitKey, UnitOfMeasure};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{Because, PartName};
use crate::request::{Aim, StockUse};

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
