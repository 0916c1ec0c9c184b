//! Operations.

use crate::key::{Code, UnitKey};
use crate::quantity::Quantity;

sheet! {
    /// A scope of work on a unit.
    pub struct Operation in "operations", Structure, key(unit, operation) {
        /// The unit.
        unit: UnitKey,
        /// Short code, such as OVERHAUL or PINION-SEAL.
        operation: Code,
        /// What it is called.
        name: String,
        /// Whether it is an overhaul: the unit comes fully apart, every position is disturbed.
        overhaul: bool,
        /// Labour in hours.
        hours: Quantity [not_negative],
    }
    references { (unit) => units(unit) }
}

choice! {
    /// What an operation does to a position.
    pub enum ScopeEffect {
        /// Takes it apart, so that single-use parts there are renewed.
        Disturbs = "disturbs",
        /// Renews it.
        Renews = "renews",
    }
}

sheet! {
    /// What a partial operation does to a position.
    pub struct OperationScope in "operation_scope", Structure, key(unit, operation, position) {
        /// The unit.
        unit: UnitKey,
        /// The operation.
        operation: Code,
        /// The position.
        position: Code,
        /// What the operation does to it.
        effect: ScopeEffect,
    }
    references { (unit, operation) => operations(unit, operation), (unit, position) => positions(unit, position) }
}
