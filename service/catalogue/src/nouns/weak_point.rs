//! Findings and weak points.

use crate::key::{Code, UnitKey};

choice! {
    /// What inspection says of a position.
    pub enum Grade {
        /// Good for another life.
        Good = "good",
        /// Worn past use.
        Worn = "worn",
        /// Broken, pitted, scored.
        Damaged = "damaged",
        /// Repaired before: sleeved, welded, built up.
        RepairedBefore = "repaired_before",
        /// Not there.
        Missing = "missing",
    }
}

sheet! {
    /// What is likely to be found bad in a unit.
    pub struct WeakPoint in "weak_points", Structure, key(unit, weak_point) {
        /// The unit.
        unit: UnitKey,
        /// Short code.
        weak_point: Code,
        /// The position.
        position: Code,
        /// What is found there.
        finding: Grade,
        /// How likely, from 0 to 1 (with `given`: how likely when the other is found).
        likelihood: f64 [share],
        /// Another weak point of the unit on which the likelihood rests; empty: independent.
        given: Option<Code>,
        /// How likely when the other is not found; empty: it is not found then.
        likelihood_otherwise: Option<f64> [share],
        /// What the driver notices.
        symptom: String,
        /// The check to make on the vehicle before anything is taken apart.
        vehicle_check: String,
    }
    references { (unit, position) => positions(unit, position), (unit, given) => weak_points(unit, weak_point) }
}
