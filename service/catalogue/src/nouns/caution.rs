//! Cautions.

use crate::key::{Code, UnitKey};

choice! {
    /// What can hurt someone.
    pub enum Hazard {
        /// Heavy units.
        Lifting = "lifting",
        /// Presses and pullers.
        Press = "press",
        /// Hot bearings and housings.
        Heat = "heat",
        /// Springs and circlips under load.
        Spring = "spring",
        /// Solvents, fluids, dust.
        Solvent = "solvent",
        /// A vehicle on stands.
        VehicleOnStands = "vehicle_on_stands",
        /// Changed gearing: speedometer, brakes, laden climbing.
        ChangedGearing = "changed_gearing",
        /// Brakes.
        Brakes = "brakes",
    }
}

sheet! {
    /// A caution that goes with an answer.
    pub struct Caution in "cautions", Structure, key(caution) {
        /// Short code.
        caution: Code,
        /// What can hurt someone.
        hazard: Hazard,
        /// The words of the caution.
        text: String,
        /// The unit it speaks of; empty: all.
        unit: Option<UnitKey>,
        /// The operation it speaks of; empty: all.
        operation: Option<Code>,
        /// The position whose work it speaks of; empty: the whole unit.
        position: Option<Code>,
    }
    references {
        (unit) => units(unit),
        (unit, operation) => operations(unit, operation),
        (unit, position) => positions(unit, position)
    }
}
