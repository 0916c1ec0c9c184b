//! Formulas and verdicts of driveline mechanics. Knows nothing of parts, databases or time.
//!
//! Lengths are millimetres and angles degrees at the public surface, with the unit in the name; radians inside.
//! No function panics or gives NaN: what cannot be calculated with is refused by a [`BadInput`] that names the field.
//! Start at [`judge()`]: it takes a [`Joint`] and two [`Feature`]s and gives a [`Judgement`].

pub mod bad_input;
pub mod bounds;
pub mod feature;
pub mod iso_286;
mod iso_286_tables;
pub mod joint;
pub mod verdict;

pub use bad_input::BadInput;
pub use feature::{
    Cone, Cylinder, CylinderRole, DogTeeth, Feature, FeatureKind, GearTeeth, Hand, SealSeat, ShaftSeal,
    SplineStandard, SplineTeeth, Thread, ThrustFace, Tolerance,
};
pub use joint::{Joint, JointKind};
pub use verdict::{
    Fault, FaultKind, Figure, Judgement, Missing, MissingReason, Side, Value, Verdict, Warning, WarningKind,
};
