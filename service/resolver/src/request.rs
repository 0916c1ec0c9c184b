//! What is asked of the resolver.

use catalogue::{Code, Grade, Mark, PartKey, UnitKey};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::alternatives::AlternativesRequest;
use crate::as_built::RecordDifference;

choice! {
    /// What a plan should be best at; the other aims follow in a fixed order.
    pub enum Aim {
        /// Least cash out, then least job cost, then least surplus.
        LeastMoney = "least_money",
        /// Earliest day on which everything is here, then as least money.
        LeastDays = "least_days",
        /// Fewest suppliers, then as least money.
        FewestSuppliers = "fewest_suppliers",
    }
}

choice! {
    /// How stock is used.
    pub enum StockUse {
        /// What is free on the shelf is used before a piece is bought.
        First = "first",
        /// Stock competes at its carrying value.
        Value = "value",
        /// Stock is left alone.
        None = "none",
    }
}

choice! {
    /// What to do about what is not known.
    pub enum Unknowns {
        /// Buy now so that every outcome is served.
        CoverAll = "cover_all",
        /// Answer each outcome apart, and say what to measure.
        MeasureFirst = "measure_first",
    }
}

/// A rebuild of one or more units that work together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Request {
    /// The units, at least one.
    pub units: Vec<UnitRequest>,
    /// The day the answer is for: notices, prices, rates and taxes are taken as of it.
    pub as_of: NaiveDate,
    /// For whom; price rules may speak of them.
    #[serde(default)]
    pub customer: Option<Code>,
    /// What the plan should be best at.
    #[serde(default = "default_aim")]
    pub aim: Aim,
    /// How stock is used.
    #[serde(default = "default_stock")]
    pub stock: StockUse,
    /// What to do about what is not known.
    #[serde(default = "default_unknowns")]
    pub unknowns: Unknowns,
    /// Parts, kits among them, that must not be fitted or bought.
    #[serde(default)]
    pub without_parts: Vec<PartKey>,
    /// Suppliers that must not be bought from.
    #[serde(default)]
    pub without_suppliers: Vec<Code>,
    /// Which other answers are told beside the best.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub alternatives: Option<AlternativesRequest>,
    /// Most steps of each search for a plan; left out: 40,000. A plan that is not proven by then says so with its bound.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub search_steps: Option<u64>,
}

fn default_aim() -> Aim {
    Aim::LeastMoney
}

fn default_stock() -> StockUse {
    StockUse::First
}

fn default_unknowns() -> Unknowns {
    Unknowns::CoverAll
}

/// What is to be done with one unit, and what is known of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct UnitRequest {
    /// The unit.
    pub unit: UnitKey,
    /// The operation.
    #[serde(default = "overhaul")]
    pub operation: Code,
    /// The unit's serial number; digits, anything before them is the plate's prefix.
    #[serde(default)]
    pub serial: Option<String>,
    /// The day it was built.
    #[serde(default)]
    pub built: Option<NaiveDate>,
    /// Variants that were seen or measured to hold.
    #[serde(default)]
    pub variants: Vec<Code>,
    /// What inspection found.
    #[serde(default)]
    pub findings: Vec<Finding>,
    /// What is known to be inside, where it is not what the unit's maker fitted.
    #[serde(default)]
    pub inside: Vec<Inside>,
    /// Upgrades and parts asked for.
    #[serde(default)]
    pub chosen: Vec<Chosen>,
    /// Where the bench found something else than the record of the serial number says.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub record_differences: Vec<RecordDifference>,
}

fn overhaul() -> Code {
    Code::from_stored("OVERHAUL")
}

/// What inspection says of a position: a grade, or a measured value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Finding {
    /// The position.
    pub position: Code,
    /// The grade.
    #[serde(default)]
    pub grade: Option<Grade>,
    /// The bench value that was measured.
    #[serde(default)]
    pub bench_value: Option<Code>,
    /// What was measured, in the bench value's unit.
    #[serde(default)]
    pub measured: Option<f64>,
}

/// A part that is known to be inside.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Inside {
    /// The position.
    pub position: Code,
    /// The part.
    pub part: PartKey,
    /// The mark etched on a matched set.
    #[serde(default)]
    #[schema(value_type = Option<String>)]
    pub mark: Option<Mark>,
    /// The job whose record says so; empty: the bench does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub recorded_by: Option<String>,
}

/// Something that is asked for: one part, or any one of several.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Chosen {
    /// The parts, sets or kits of which one is wanted.
    pub any_of: Vec<PartKey>,
    /// The position, where a part could stand at several.
    #[serde(default)]
    pub position: Option<Code>,
}
