//! Positions.

use crate::key::{Code, PartKey, UnitKey};
use crate::quantity::Quantity;

choice! {
    /// When a position is renewed.
    pub enum Renewal {
        /// Always at an overhaul, whatever it looks like.
        AlwaysAtOverhaul = "always_at_overhaul",
        /// When inspection says so.
        OnCondition = "on_condition",
        /// When an operation disturbs it; so at every overhaul.
        SingleUse = "single_use",
    }
}

sheet! {
    /// One place in a unit that holds a part.
    pub struct Position in "positions", Structure, key(unit, position) {
        /// The unit.
        unit: UnitKey,
        /// Short code of the place.
        position: Code,
        /// What it is called.
        name: String,
        /// The sub-assembly it belongs to.
        subassembly: Code,
        /// Place in the order of assembly.
        assembly_order: i64 [positive],
        /// How many pieces stand there.
        quantity: Quantity [positive],
        /// When it is renewed; empty: single use for seals, gaskets, O-rings and lock plates, on condition for the rest.
        renewal: Option<Renewal>,
        /// The variant in which it exists; empty: in all.
        variant: Option<Code>,
        /// The part with which it exists, wherever that is fitted in the unit (a shim pack with a solid spacer); empty: always.
        only_with: Option<PartKey>,
    }
    references { (unit) => units(unit), (unit, variant) => variants(unit, variant), (only_with) => parts(part) }
}
