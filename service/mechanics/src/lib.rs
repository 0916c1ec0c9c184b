//! Formulas and verdicts of driveline mechanics. Knows nothing of parts, databases or time.
//!
//! Lengths are millimetres and angles degrees at the public surface, with the unit in the name; radians inside.
//! No function panics or gives NaN: what cannot be calculated with is refused by a [`BadInput`] that names the field.
//! Start at [`judge()`]: it takes a [`Joint`] and two [`Feature`]s and gives a [`Judgement`].

pub mod backlash;
pub mod bad_input;
pub mod bearing_designation;
pub mod bearing_life;
pub mod bearing_seat;
mod bearing_tables;
pub mod bearing_tolerance;
pub mod bounds;
pub mod cone;
pub mod dog_teeth;
pub mod end_float;
pub mod fault;
pub mod feature;
pub mod gear;
pub mod gear_from_bench;
pub mod gear_pair;
pub mod gear_search;
pub mod gear_train;
pub mod gradeability;
pub mod involute;
pub mod iso_286;
mod iso_286_tables;
pub mod joint;
pub mod judge;
pub mod mesh;
pub mod mesh_contact;
mod mesh_gear;
pub mod pinion_depth;
pub mod pitch;
pub mod preload;
pub mod road_speed;
pub mod shaft_seal;
pub mod shims;
pub mod shrink_fit;
pub mod side_bearings;
pub mod spline_capacity;
pub mod spline_din_5480_tolerance;
pub mod spline_fit;
pub mod spline_involute;
pub mod spline_straight;
pub mod svg;
pub mod thread;
pub mod thrust_face;
pub mod tooth_thickness;
pub mod tyre;
pub mod undercut;
pub mod verdict;
pub mod wear;

pub use bad_input::BadInput;
pub use feature::{
    Cone, Cylinder, CylinderRole, DogTeeth, Feature, FeatureKind, GearTeeth, Hand, SealSeat, ShaftSeal,
    SplineStandard, SplineTeeth, Thread, ThrustFace, Tolerance,
};
pub use joint::{Joint, JointKind};
pub use judge::judge;
pub use verdict::{
    Fault, FaultKind, Figure, Judgement, Missing, MissingReason, Side, Value, Verdict, Warning, WarningKind,
};
