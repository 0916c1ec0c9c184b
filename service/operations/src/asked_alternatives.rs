//! Which other answers are asked for, in the codes that a person writes.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// How many of the next best answers are wanted, and which conditions are to be priced.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedAlternatives {
    /// How many answers after the best; left out: 3.
    #[serde(default = "three")]
    #[schema(default = 3, maximum = 10)]
    pub next: usize,
    /// The conditions, each answered for itself.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 32)]
    pub conditions: Vec<AskedCondition>,
}

/// What is asked of a stored quote beside its own answer.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedOfQuote {
    /// How many answers after the quote's own; left out: 3.
    #[serde(default = "three")]
    #[schema(default = 3, maximum = 10)]
    pub next: usize,
    /// The conditions, each answered for itself.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 32)]
    pub conditions: Vec<AskedCondition>,
    /// Most milliseconds of the work on them; left out: none. What is not proven by then says so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_budget_ms: Option<u64>,
}

impl AskedOfQuote {
    /// The other answers, without how long may be worked on them.
    pub(crate) fn alternatives(&self) -> AskedAlternatives {
        AskedAlternatives { next: self.next, conditions: self.conditions.clone() }
    }
}

fn three() -> usize {
    3
}

/// Another way to have it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "condition", rename_all = "snake_case", deny_unknown_fields)]
pub enum AskedCondition {
    /// A part or kit is neither fitted nor bought.
    WithoutPart {
        /// The part or kit: MAKER/NUMBER, or the number alone.
        part: String,
    },
    /// A part or set is fitted.
    WithPart {
        /// The part or set: MAKER/NUMBER, or the number alone.
        part: String,
        /// The position, where it could stand at several.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        position: Option<String>,
        /// The unit code, where several units are asked about.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        unit: Option<String>,
    },
    /// A box of a kit is bought.
    WithKit {
        /// The kit: MAKER/NUMBER, or the number alone.
        kit: String,
    },
    /// Nothing is bought from a supplier.
    WithoutSupplier {
        /// The supplier.
        supplier: String,
    },
    /// Nothing is bought from anybody else.
    OnlySupplier {
        /// The supplier.
        supplier: String,
    },
    /// Only original parts, and what follows them, are fitted, but for what was asked for.
    OnlyOriginal,
    /// No joint is left without a verdict.
    NoUnverifiedJoints,
}
