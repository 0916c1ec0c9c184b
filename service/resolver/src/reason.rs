//! Why: the facts behind every line, as data. Words are made from them in [`crate::explain`] alone.

use catalogue::{Code, Grade, Interchange, PartKey, Supersession, UnitKey};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A position in a unit.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
pub struct Place {
    /// The unit.
    pub unit: UnitKey,
    /// The position.
    pub position: Code,
}

/// One cause of a line. The `rule` is stable; its facts name what to look up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "rule", rename_all = "snake_case")]
pub enum Reason {
    /// The catalogue renews it at every overhaul.
    AlwaysAtOverhaul {
        /// Whose rule it is: the fitted part, where it has a rule of its own.
        part: Option<PartKey>,
    },
    /// It is used once and the operation disturbs it.
    SingleUseDisturbed {
        /// The fitted part, where the rule is its own.
        part: Option<PartKey>,
        /// The operation.
        operation: Code,
        /// Whether custom says so (seals, gaskets, O-rings, lock plates), the data being silent.
        by_custom: bool,
    },
    /// The operation is to renew it.
    OperationRenews {
        /// The operation.
        operation: Code,
    },
    /// Inspection found it unfit.
    Finding {
        /// What was found.
        grade: Grade,
    },
    /// A measured value is past its limit.
    PastLimit {
        /// Where it was measured.
        position: Code,
        /// What was measured.
        bench_value: Code,
        /// The value.
        measured: f64,
        /// The limit.
        limit: f64,
    },
    /// It was asked for.
    Asked {
        /// The part, set or kit that was named.
        part: PartKey,
    },
    /// It belongs to a matched set whose other half is renewed.
    MatchedSet {
        /// The set.
        set: PartKey,
        /// The position that is renewed.
        because: Place,
    },
    /// No part that could be kept here goes together with what is fitted there.
    NoMateFits {
        /// The joint that decides.
        joint: Code,
        /// The position at its other end.
        because: Place,
        /// The part fitted there.
        fitted: PartKey,
    },
    /// The other driven axle of the vehicle gets another ratio, and both must match.
    AxleRatio {
        /// Where the other axle's crown wheel and pinion stand.
        because: Place,
        /// What is fitted there.
        fitted: PartKey,
    },
    /// It comes along with a part that is newly fitted.
    Companion {
        /// That part.
        of: PartKey,
        /// Where that part is fitted.
        because: Option<Place>,
    },
    /// The position exists only with a part that is fitted.
    OnlyWith {
        /// That part.
        part: PartKey,
    },
    /// One new number replaces several old ones, and another of them is renewed.
    Merge {
        /// The notice.
        notice: Code,
        /// The position that is renewed.
        because: Place,
    },
    /// A notice lets the new number in only if this changes too.
    NoticeNeeds {
        /// The notice.
        notice: Code,
    },
    /// The operation uses it.
    UsedByOperation {
        /// The operation.
        operation: Code,
        /// What it is for.
        purpose: String,
        /// The grade that the unit's maker asks for.
        grade: String,
    },
    /// The operation calls for work outside the shop.
    OperationCallsForWork {
        /// The operation.
        operation: Code,
        /// What is done.
        purpose: String,
    },
    /// The number has given way to another.
    Superseded {
        /// The notice.
        notice: Code,
        /// The old number.
        old: PartKey,
        /// The new number.
        new: PartKey,
        /// The direction of interchange.
        interchange: Interchange,
        /// From when.
        effective_from: NaiveDate,
    },
    /// Old stock is used first.
    OldStockFirst {
        /// The notice.
        notice: Code,
        /// The old number.
        old: PartKey,
    },
    /// The plan fits a number that is accepted in place of another.
    AcceptedInstead {
        /// The number the list names.
        listed: PartKey,
        /// Why it is accepted.
        how: Acceptance,
    },
    /// The line holds only in some variants of the unit.
    InVariant {
        /// The variants, of different option groups.
        variants: Vec<Code>,
    },
    /// Nothing asks for it to be renewed.
    NothingAsks,
}

choice! {
    /// Why a number is accepted in place of the listed one.
    pub enum Acceptance {
        /// It is a successor.
        Successor = "successor",
        /// The two are interchangeable both ways.
        Interchangeable = "interchangeable",
        /// The catalogue lists it as an alternative.
        Alternative = "alternative",
        /// Nothing else lets the chosen parts fit.
        NothingElseFits = "nothing_else_fits",
    }
}

impl Reason {
    /// A number gave way to another by a row of a notice.
    pub(crate) fn superseded(row: &Supersession) -> Self {
        Self::Superseded {
            notice: row.notice.clone(),
            old: row.old.clone(),
            new: row.new.clone(),
            interchange: row.interchange,
            effective_from: row.effective_from,
        }
    }
}
