//! Features: measurable faces of a part.

use chrono::NaiveDate;

use crate::key::{Code, PartKey};

choice! {
    /// What sort of face it is.
    pub enum FeatureKind {
        /// Teeth of a spur or helical gear.
        Gear = "gear",
        /// Involute or straight-sided spline on a shaft.
        SplineShaft = "spline_shaft",
        /// Involute or straight-sided spline in a hub.
        SplineHub = "spline_hub",
        /// Plain bore.
        Bore = "bore",
        /// Plain journal.
        Journal = "journal",
        /// Bore of a rolling bearing.
        BearingBore = "bearing_bore",
        /// Outside of a rolling bearing.
        BearingOutside = "bearing_outside",
        /// Rotary shaft seal.
        Seal = "seal",
        /// Shaft face on which a seal's lip runs.
        SealSeat = "seal_seat",
        /// Housing bore that holds a seal.
        SealBore = "seal_bore",
        /// Thread on a shaft or bolt.
        ThreadOutside = "thread_outside",
        /// Thread in a nut or hole.
        ThreadInside = "thread_inside",
        /// Face that takes thrust.
        ThrustFace = "thrust_face",
        /// Dog teeth of a gear or sleeve.
        DogTeeth = "dog_teeth",
        /// Cone of a synchro or of a taper seat.
        Cone = "cone",
    }
}

choice! {
    /// The hand of a helix or thread.
    pub enum Hand {
        /// Left-hand.
        Left = "left",
        /// Right-hand.
        Right = "right",
    }
}

choice! {
    /// Where the figures come from.
    pub enum Basis {
        /// A maker's drawing or list.
        Stated = "stated",
        /// The bench measured them.
        Measured = "measured",
    }
}

sheet! {
    /// A measurable face of a part. Only the figures that its kind knows are filled; missing figures leave a verdict open.
    pub struct Feature in "features", Structure, key(part, feature) {
        /// The part.
        part: PartKey,
        /// Name of the face, the same on every candidate for a position.
        feature: Code,
        /// What sort of face it is.
        kind: FeatureKind,
        /// Designation by a standard: a bearing (`6308-2RS`), a seal (`50x72x8`), a thread (`M30x1.5`), a spline.
        designation: Option<String>,
        /// Number of teeth (gear, spline, dog teeth).
        tooth_count: Option<i64> [positive],
        /// Normal module in millimetres (gear), module (spline).
        module_mm: Option<f64> [positive],
        /// Normal pressure angle in degrees.
        pressure_angle_deg: Option<f64> [positive],
        /// Helix angle in degrees, without sign; 0 is a spur gear.
        helix_angle_deg: Option<f64> [not_negative],
        /// Hand of the helix or thread.
        hand: Option<Hand>,
        /// Profile shift coefficient.
        profile_shift: Option<f64>,
        /// Largest diameter in millimetres: tip circle of a gear, major of a spline, outside of a seal or thrust face.
        outside_diameter_mm: Option<f64> [positive],
        /// Smallest diameter in millimetres: root circle of a gear, minor of a spline, inside of a thrust face.
        inside_diameter_mm: Option<f64> [positive],
        /// Diameter in millimetres of a bore, journal, seat, thread, or mean diameter of a cone.
        diameter_mm: Option<f64> [positive],
        /// ISO 286 tolerance class, such as k6 or H7.
        tolerance: Option<String>,
        /// Length or width in millimetres: face width, engaged length, bearing width, thickness of a thrust face.
        length_mm: Option<f64> [positive],
        /// Pitch of a thread in millimetres.
        pitch_mm: Option<f64> [positive],
        /// Cone angle in degrees, whole angle.
        cone_angle_deg: Option<f64> [positive],
        /// Teeth that really carry, where a spline's complement is partial.
        carrying_teeth: Option<i64> [positive],
        /// Where the figures come from.
        basis: Basis,
        /// Uncertainty of the measured figure that decides (base pitch, diameter) in millimetres.
        uncertainty_mm: Option<f64> [not_negative],
        /// Who measured.
        measured_by: Option<String>,
        /// When it was measured.
        measured_on: Option<NaiveDate>,
    }
    references { (part) => parts(part) }
}
