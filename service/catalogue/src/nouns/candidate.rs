//! Candidates for a position.

use crate::key::{Code, PartKey, UnitKey};
use crate::quantity::Quantity;

choice! {
    /// What a candidate is to the unit.
    pub enum CandidateRole {
        /// What the unit's maker fitted.
        Original = "original",
        /// Another part that does the same.
        Alternative = "alternative",
        /// A part that changes or strengthens the unit; fitted only when it is chosen.
        Upgrade = "upgrade",
    }
}

sheet! {
    /// A part that may stand at a position.
    pub struct Candidate in "candidates", Structure, key(unit, position, part) {
        /// The unit.
        unit: UnitKey,
        /// The position.
        position: Code,
        /// The part.
        part: PartKey,
        /// What it is to the unit.
        role: CandidateRole,
        /// How many pieces of it the position takes; empty: the position's quantity.
        quantity: Option<Quantity> [positive],
        /// The variant in which it is a candidate; empty: in all.
        variant: Option<Code>,
    }
    references {
        (unit, position) => positions(unit, position),
        (part) => parts(part),
        (unit, variant) => variants(unit, variant)
    }
}

sheet! {
    /// A position that one piece of a set fills together with the set's other positions (a matched crown wheel and
    /// pinion, a hub with its sleeve): halves of different sets never go together.
    pub struct SetPosition in "set_positions", Structure, key(unit, part, position) {
        /// The unit.
        unit: UnitKey,
        /// The set: one number for several positions.
        part: PartKey,
        /// A position it fills.
        position: Code,
    }
    references { (unit, position, part) => candidates(unit, position, part) }
}
