//! What someone wants to fit, in the codes that they write.

use chrono::NaiveDate;
use resolver::request::{Aim, StockUse, Unknowns};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::asked::{Asked, AskedUnit};

/// Parts or sets that someone wants to fit, held against what is inside one or more units.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedFitCheck {
    /// The units, at least one and at most eight, each with what is inside and the operation that is planned. What they
    /// ask for already is fitted in every alternative.
    #[schema(min_items = 1, max_items = 8)]
    pub units: Vec<AskedUnit>,
    /// What is wanted, side by side.
    #[schema(min_items = 1, max_items = 16)]
    pub alternatives: Vec<AskedFitAlternative>,
    /// At least so many ways are told of each alternative, if there are so many; left out: 5.
    #[serde(default = "five")]
    #[schema(default = 5, minimum = 1, maximum = 32)]
    pub ways: usize,
    /// The day the answer is for; left out: today (UTC).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub as_of: Option<NaiveDate>,
    /// How stock is used; left out: first.
    #[serde(default = "stock_first")]
    #[schema(default = "first")]
    pub stock: StockUse,
    /// Parts, kits among them, that must not be fitted or bought: MAKER/NUMBER, or the number alone.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 100)]
    pub without_parts: Vec<String>,
    /// Suppliers that must not be bought from.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 100)]
    pub without_suppliers: Vec<String>,
    /// Most steps of each search for a plan; left out: 40,000. A price that is not proven by then says so with its bound.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub search_steps: Option<u64>,
    /// Most milliseconds of the work on the answer; left out: none. A price that is not proven by then says so with its
    /// bound; where it is not even clear by then what goes together, the check is refused.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_budget_ms: Option<u64>,
}

fn five() -> usize {
    5
}

fn stock_first() -> StockUse {
    StockUse::First
}

/// One alternative: parts, sets or kits that are to be fitted together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedFitAlternative {
    /// The parts, at least one.
    #[schema(min_items = 1, max_items = 20)]
    pub parts: Vec<AskedWantedPart>,
}

/// A part, set or kit that someone wants to fit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedWantedPart {
    /// The part: MAKER/NUMBER, or the number alone.
    #[schema(max_length = 160)]
    pub part: String,
    /// The position, where it could stand at several.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 80)]
    pub position: Option<String>,
    /// The unit code, where several units are asked about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 80)]
    pub unit: Option<String>,
}

impl AskedFitCheck {
    /// The rebuild that is planned, without what is wanted.
    pub fn rebuild(&self) -> Asked {
        Asked {
            units: self.units.clone(),
            as_of: self.as_of,
            customer: None,
            aim: Aim::LeastMoney,
            stock: self.stock,
            unknowns: Unknowns::CoverAll,
            without_parts: self.without_parts.clone(),
            without_suppliers: self.without_suppliers.clone(),
            alternatives: None,
            search_steps: self.search_steps,
            time_budget_ms: self.time_budget_ms,
        }
    }
}
