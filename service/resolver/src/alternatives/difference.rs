//! What tells answers apart: the parts fitted, and the kits bought.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Code, PartKey, Quantity, UnitKey};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Where something is fitted: unit, position (none for what is supplied), and the outcome in which it is.
pub(super) type Where = (UnitKey, Option<Code>, Vec<Code>);

/// An answer as far as it is distinct from others.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Canonical {
    /// What is newly fitted.
    pub(super) fitted: BTreeMap<Where, BTreeSet<PartKey>>,
    /// Kits bought.
    pub(super) kits: BTreeMap<PartKey, Quantity>,
}

impl Canonical {
    /// The positions that are worked on.
    pub(super) fn positions(&self) -> BTreeSet<(UnitKey, Code)> {
        let places = self.fitted.keys();
        places.filter_map(|(unit, position, _)| position.clone().map(|at| (unit.clone(), at))).collect()
    }
}

/// One thing that an answer has otherwise than the best.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "what", rename_all = "snake_case")]
pub enum PlanDifference {
    /// Another part is fitted, or none, or one where there was none.
    Fitted {
        /// The unit.
        unit: UnitKey,
        /// The position; empty: what is supplied without one.
        position: Option<Code>,
        /// The outcome of what is not known in which it is so; empty: in all.
        variants: Vec<Code>,
        /// What the best answer fits.
        before: Vec<PartKey>,
        /// What this one fits.
        after: Vec<PartKey>,
    },
    /// Another number of boxes is bought.
    Kit {
        /// The kit.
        kit: PartKey,
        /// Boxes of the best answer.
        #[schema(value_type = String)]
        before: Quantity,
        /// Boxes of this one.
        #[schema(value_type = String)]
        after: Quantity,
    },
}

/// A place with what stands there before and after.
type Refitted<'p> = (&'p UnitKey, &'p Option<Code>, Vec<PartKey>, Vec<PartKey>);

/// What `after` has otherwise than `before`.
pub(super) fn differences(before: &Canonical, after: &Canonical) -> Vec<PlanDifference> {
    let mut found = Vec::new();
    let kits: BTreeSet<&PartKey> = before.kits.keys().chain(after.kits.keys()).collect();
    for kit in kits {
        let of = |plan: &Canonical| plan.kits.get(kit).copied().unwrap_or_default();
        if of(before) != of(after) {
            found.push(PlanDifference::Kit { kit: kit.clone(), before: of(before), after: of(after) });
        }
    }
    let outcomes: BTreeSet<&Vec<Code>> =
        before.fitted.keys().chain(after.fitted.keys()).map(|(.., variants)| variants).collect();
    let mut fitted: BTreeMap<Refitted<'_>, Vec<&Vec<Code>>> = BTreeMap::new();
    let places: BTreeSet<&Where> = before.fitted.keys().chain(after.fitted.keys()).collect();
    for place in places {
        let of = |plan: &Canonical| -> Vec<PartKey> {
            plan.fitted.get(place).map(|parts| parts.iter().cloned().collect()).unwrap_or_default()
        };
        if of(before) != of(after) {
            fitted.entry((&place.0, &place.1, of(before), of(after))).or_default().push(&place.2);
        }
    }
    for ((unit, position, before, after), holds) in fitted {
        let line = |variants: Vec<Code>| PlanDifference::Fitted {
            unit: unit.clone(),
            position: position.clone(),
            variants,
            before: before.clone(),
            after: after.clone(),
        };
        if holds.len() == outcomes.len() {
            found.push(line(Vec::new()));
        } else {
            found.extend(holds.into_iter().map(|variants| line(variants.clone())));
        }
    }
    found
}
