//! Joints.

use crate::key::{Code, UnitKey};

choice! {
    /// How two positions meet.
    pub enum JointKind {
        /// Two gears on parallel axes.
        Mesh = "mesh",
        /// Spline of shaft and hub.
        Spline = "spline",
        /// Seat of a bearing on a shaft or in a housing.
        BearingSeat = "bearing_seat",
        /// Bore on a journal, with clearance or interference by its tolerances.
        PlainSeat = "plain_seat",
        /// Seal on its seat or in its bore.
        Seal = "seal",
        /// Thread of nut and shaft.
        Thread = "thread",
        /// Thrust faces that lie against each other.
        Stack = "stack",
        /// Dog teeth of sleeve and gear.
        DogClutch = "dog_clutch",
        /// Cone of synchro ring and gear.
        Cone = "cone",
    }
}

sheet! {
    /// Where the features of two positions meet, in one unit or across two.
    pub struct Joint in "joints", Structure, key(joint) {
        /// Short code, one in the whole catalogue.
        joint: Code,
        /// How they meet.
        kind: JointKind,
        /// Unit of the first position.
        unit_a: UnitKey,
        /// The first position.
        position_a: Code,
        /// The feature of the part at the first position.
        feature_a: Code,
        /// Unit of the second position.
        unit_b: UnitKey,
        /// The second position.
        position_b: Code,
        /// The feature of the part at the second position.
        feature_b: Code,
        /// Centre distance of a mesh in millimetres, as the case gives it.
        centre_distance_mm: Option<f64> [positive],
        /// Least backlash of a mesh in millimetres.
        backlash_min_mm: Option<f64> [not_negative],
        /// Greatest backlash of a mesh in millimetres.
        backlash_max_mm: Option<f64> [not_negative],
    }
    references { (unit_a, position_a) => positions(unit, position), (unit_b, position_b) => positions(unit, position) }
}
