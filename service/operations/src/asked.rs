//! What a person or program asks for, in the codes that they write.

use catalogue::{Grade, VehicleRole};
use chrono::NaiveDate;
use resolver::request::{Aim, StockUse, Unknowns};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::asked_aim::one_aim;
use crate::asked_alternatives::AskedAlternatives;

/// A rebuild of one or more units that work together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Asked {
    /// The units, at least one and at most eight.
    #[schema(min_items = 1, max_items = 8)]
    pub units: Vec<AskedUnit>,
    /// The day the answer is for; left out: today (UTC).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub as_of: Option<NaiveDate>,
    /// Code of the customer; price rules may speak of them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 80)]
    pub customer: Option<String>,
    /// What the plan should be best at, the other aims following in a fixed order; left out: least money.
    #[serde(default = "least_money", deserialize_with = "one_aim")]
    #[schema(default = "least_money")]
    pub aim: Aim,
    /// How stock is used; left out: first.
    #[serde(default = "stock_first")]
    #[schema(default = "first")]
    pub stock: StockUse,
    /// What to do about what is not known; left out: cover all.
    #[serde(default = "cover_all")]
    #[schema(default = "cover_all")]
    pub unknowns: Unknowns,
    /// Parts, kits among them, that must not be fitted or bought: MAKER/NUMBER, or the number alone.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 100)]
    pub without_parts: Vec<String>,
    /// Suppliers that must not be bought from.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 100)]
    pub without_suppliers: Vec<String>,
    /// Which other answers are told beside the best; left out: none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub alternatives: Option<AskedAlternatives>,
    /// Most steps of each search for a plan; left out: 40,000. A plan that is not proven by then says so with its bound.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub search_steps: Option<u64>,
    /// Most milliseconds of the work on the answer; left out: none. A plan that is not proven by then says so with its
    /// bound. Not for an answer that is stored, as that has to come out the same whenever it is worked out again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_budget_ms: Option<u64>,
}

fn least_money() -> Aim {
    Aim::LeastMoney
}

fn stock_first() -> StockUse {
    StockUse::First
}

fn cover_all() -> Unknowns {
    Unknowns::CoverAll
}

/// What is to be done with one unit, and what is known of it. The unit is named by its code, or by a vehicle and the
/// role in it; a vehicle without a role stands for all its units.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedUnit {
    /// The unit code; spaces, dashes, dots and case do not matter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 80, example = "BN-640")]
    pub unit: Option<String>,
    /// The vehicle that carries the unit, instead of its code.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 80)]
    pub vehicle: Option<String>,
    /// What the unit does in the vehicle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub role: Option<VehicleRole>,
    /// The operation; left out: OVERHAUL.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 80, example = "OVERHAUL")]
    pub operation: Option<String>,
    /// The unit's serial number; digits, anything before them is the plate's prefix.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 80)]
    pub serial: Option<String>,
    /// The day it was built.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub built: Option<NaiveDate>,
    /// Variants that were seen or measured to hold.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 100)]
    pub variants: Vec<String>,
    /// What inspection found.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 1000)]
    pub findings: Vec<AskedFinding>,
    /// What is known to be inside, where it is not what the unit's maker fitted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 1000)]
    pub inside: Vec<AskedInside>,
    /// Upgrades and parts asked for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 100)]
    pub chosen: Vec<AskedChoice>,
}

/// What inspection says of a position: a grade, or a measured value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedFinding {
    /// The position.
    #[schema(max_length = 80)]
    pub position: String,
    /// The grade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grade: Option<Grade>,
    /// The bench value that was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 80)]
    pub bench_value: Option<String>,
    /// What was measured, in the bench value's unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured: Option<f64>,
}

/// A part that is known to be inside.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedInside {
    /// The position.
    #[schema(max_length = 80)]
    pub position: String,
    /// The part: MAKER/NUMBER, or the number alone.
    #[schema(max_length = 160)]
    pub part: String,
    /// The mark etched on a matched set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 80)]
    pub mark: Option<String>,
}

/// Something that is asked for: one part, or any one of several.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedChoice {
    /// The parts, sets or kits of which one is wanted: MAKER/NUMBER, or the number alone.
    #[schema(min_items = 1, max_items = 20)]
    pub any_of: Vec<String>,
    /// The position, where a part could stand at several.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 80)]
    pub position: Option<String>,
}

impl Asked {
    /// The overhaul of one unit, all else left open.
    pub fn overhaul(code: impl Into<String>) -> Self {
        Self {
            units: vec![AskedUnit { unit: Some(code.into()), ..AskedUnit::default() }],
            as_of: None,
            customer: None,
            aim: least_money(),
            stock: stock_first(),
            unknowns: cover_all(),
            without_parts: Vec::new(),
            without_suppliers: Vec::new(),
            alternatives: None,
            search_steps: None,
            time_budget_ms: None,
        }
    }
}
