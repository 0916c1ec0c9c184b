//! Units.

use crate::key::{Code, UnitKey};

choice! {
    /// What sort of assembly a unit is.
    pub enum UnitKind {
        /// Gearbox.
        Gearbox = "gearbox",
        /// Drop box.
        DropBox = "drop_box",
        /// Axle.
        Axle = "axle",
        /// Drive of a winch.
        WinchDrive = "winch_drive",
    }
}

sheet! {
    /// A rebuildable assembly, known by the code on its plate.
    pub struct Unit in "units", Structure, key(unit) {
        /// Its key: the normalised code.
        unit: UnitKey = unit_of_code,
        /// The code as it stands on the plate.
        code: String,
        /// Who makes it.
        maker: Code,
        /// What it is called.
        name: String,
        /// What sort of assembly it is.
        kind: UnitKind,
        /// Mass in kilograms, for lifting.
        mass_kg: Option<f64> [positive],
    }
    references { (maker) => makers(maker) }
}
