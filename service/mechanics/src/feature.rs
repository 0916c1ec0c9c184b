//! The measurable faces of parts. Every figure may be unknown; a verdict says which one it lacks.

use crate::iso_286::ToleranceClass;

/// Direction of a helix or thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Hand {
    /// Left hand.
    Left,
    /// Right hand.
    Right,
    /// Straight teeth: no helix.
    Spur,
}

impl Hand {
    /// Stable word for files and interfaces.
    pub fn code(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
            Self::Spur => "spur",
        }
    }
}

/// External involute gear teeth, spur or helical (ISO 21771 terms).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct GearTeeth {
    /// Number of teeth z.
    pub tooth_count: u32,
    /// Normal module m_n. A module quoted in the transverse plane must be multiplied by cos β first.
    pub normal_module_mm: Option<f64>,
    /// Normal pressure angle α_n of the tool, not of the running pair.
    pub normal_pressure_angle_deg: Option<f64>,
    /// Size of the reference helix angle β, without sign.
    pub helix_angle_deg: Option<f64>,
    /// Hand of the helix; [`Hand::Spur`] says that β is nought.
    pub helix_hand: Option<Hand>,
    /// Profile shift coefficient x, referred to the normal module.
    pub profile_shift: Option<f64>,
    /// Tip diameter d_a as measured or drawn.
    pub tip_diameter_mm: Option<f64>,
    /// Root diameter d_f.
    pub root_diameter_mm: Option<f64>,
    /// Face width b.
    pub face_width_mm: Option<f64>,
    /// Upper allowance of the normal tooth thickness E_sns (usually negative).
    pub thickness_allowance_upper_mm: Option<f64>,
    /// Lower allowance of the normal tooth thickness E_sni (not above the upper).
    pub thickness_allowance_lower_mm: Option<f64>,
    /// Uncertainty ± of the base pitch, where the tooth system was measured on the bench.
    pub base_pitch_uncertainty_mm: Option<f64>,
}

/// The systems of splines that this crate compares.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SplineStandard {
    /// Metric module involute splines, side fit.
    Iso4156,
    /// Involute splines on a reference diameter.
    Din5480,
    /// Inch involute splines.
    AnsiB92,
    /// Straight-sided splines (ISO 14 form: N × d × D).
    Straight,
}

impl SplineStandard {
    /// Stable word for files and interfaces.
    pub fn code(self) -> &'static str {
        match self {
            Self::Iso4156 => "iso_4156",
            Self::Din5480 => "din_5480",
            Self::AnsiB92 => "ansi_b92",
            Self::Straight => "straight",
        }
    }
}

/// Teeth of a splined shaft or hub.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SplineTeeth {
    /// The system.
    pub standard: SplineStandard,
    /// Teeth of the full complement (the pitch), also where only groups of teeth are left standing.
    pub tooth_count: u32,
    /// Shaft if true, hub if false.
    pub external: bool,
    /// Module; for ANSI B92.1 it is 25.4 over the first number of the pitch. Not used for straight sides.
    pub module_mm: Option<f64>,
    /// Pressure angle; not used for straight sides.
    pub pressure_angle_deg: Option<f64>,
    /// Reference diameter d_B of DIN 5480.
    pub reference_diameter_mm: Option<f64>,
    /// Major diameter: over the teeth of a shaft, over the spaces of a hub.
    pub major_diameter_mm: Option<f64>,
    /// Minor diameter: over the spaces of a shaft, over the teeth of a hub.
    pub minor_diameter_mm: Option<f64>,
    /// Width on the pitch circle (straight: of the tooth) of a shaft tooth or a hub space.
    pub tooth_or_space_width_mm: Option<f64>,
    /// Length that is really engaged, or the splined length where the mate decides.
    pub engaged_length_mm: Option<f64>,
    /// Teeth that carry, where not all of them stand.
    pub carrying_teeth: Option<u32>,
}

impl SplineTeeth {
    /// A spline of which nothing but the system and the tooth count is known.
    pub fn new(standard: SplineStandard, tooth_count: u32, external: bool) -> Self {
        Self {
            standard,
            tooth_count,
            external,
            module_mm: None,
            pressure_angle_deg: None,
            reference_diameter_mm: None,
            major_diameter_mm: None,
            minor_diameter_mm: None,
            tooth_or_space_width_mm: None,
            engaged_length_mm: None,
            carrying_teeth: None,
        }
    }
}

/// What a cylindrical face is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CylinderRole {
    /// A bore of a housing, gear or hub.
    Bore,
    /// A journal of a shaft, or the outside of a sleeve.
    Journal,
    /// The bore of a rolling bearing.
    BearingBore,
    /// The outside of a rolling bearing.
    BearingOutside,
}

impl CylinderRole {
    /// True for a face that holds another inside it.
    pub fn is_internal(self) -> bool {
        matches!(self, Self::Bore | Self::BearingBore)
    }

    /// Stable word for files and interfaces.
    pub fn code(self) -> &'static str {
        match self {
            Self::Bore => "bore",
            Self::Journal => "journal",
            Self::BearingBore => "bearing_bore",
            Self::BearingOutside => "bearing_outside",
        }
    }
}

/// How a diameter may deviate from its nominal size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tolerance {
    /// A class of ISO 286 such as k6 or H7.
    Iso286(ToleranceClass),
    /// The Normal class of rolling bearings (ISO 492), for bearing bores and outsides.
    BearingNormal,
    /// Limit deviations from the nominal size.
    Limits {
        /// Lower limit deviation.
        lower_um: f64,
        /// Upper limit deviation.
        upper_um: f64,
    },
}

/// A bore, a journal, or a seat of a rolling bearing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cylinder {
    /// What the face is.
    pub role: CylinderRole,
    /// Nominal diameter.
    pub diameter_mm: Option<f64>,
    /// Tolerance; a bearing without one is taken as Normal, with a warning.
    pub tolerance: Option<Tolerance>,
    /// Length of the face.
    pub length_mm: Option<f64>,
}

impl Cylinder {
    /// A face of the given role and nominal diameter, nothing else known.
    pub fn new(role: CylinderRole, diameter_mm: f64) -> Self {
        Self { role, diameter_mm: Some(diameter_mm), tolerance: None, length_mm: None }
    }
}

/// A rotary shaft lip seal, d1 × d2 × b (ISO 6194-1, DIN 3760).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ShaftSeal {
    /// Shaft diameter d1 it is made for.
    pub shaft_mm: Option<f64>,
    /// Housing bore d2 it is made for.
    pub bore_mm: Option<f64>,
    /// Width b.
    pub width_mm: Option<f64>,
}

/// Where a seal runs or sits: on a shaft, in a housing bore, or both.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SealSeat {
    /// Diameter of the running surface, where this seat has one.
    pub shaft_mm: Option<f64>,
    /// Diameter of the housing bore, where this seat has one.
    pub bore_mm: Option<f64>,
    /// Depth of the housing bore.
    pub width_mm: Option<f64>,
}

/// A metric ISO thread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thread {
    /// Nominal diameter d.
    pub diameter_mm: Option<f64>,
    /// Pitch P; none means the coarse pitch of the diameter.
    pub pitch_mm: Option<f64>,
    /// Hand; none means right.
    pub hand: Option<Hand>,
    /// Nut if true, screw or shaft end if false.
    pub internal: bool,
}

/// A plane ring that another part bears on: thrust washer, shoulder, shim, spacer.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ThrustFace {
    /// Inner diameter.
    pub inner_diameter_mm: Option<f64>,
    /// Outer diameter.
    pub outer_diameter_mm: Option<f64>,
    /// Thickness of the part at this face.
    pub thickness_mm: Option<f64>,
}

/// Teeth of a dog clutch, of a synchroniser's engagement ring or its sleeve.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct DogTeeth {
    /// Number of teeth.
    pub tooth_count: u32,
    /// Inside (sleeve) if true, outside (gear) if false; a face dog has none.
    pub internal: Option<bool>,
    /// Pitch diameter.
    pub pitch_diameter_mm: Option<f64>,
    /// Flank angle: the pressure angle of involute dogs, the included half angle of straight ones.
    pub flank_angle_deg: Option<f64>,
    /// Axial length of the teeth.
    pub length_mm: Option<f64>,
}

/// A synchroniser cone.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Cone {
    /// Ring if true, gear cone if false.
    pub internal: Option<bool>,
    /// Half angle, between flank and axis.
    pub half_angle_deg: Option<f64>,
    /// Mean diameter.
    pub mean_diameter_mm: Option<f64>,
    /// Width along the axis.
    pub width_mm: Option<f64>,
}

/// A measurable face of a part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Feature {
    /// Gear teeth.
    Gear(GearTeeth),
    /// Splined shaft or hub.
    Spline(SplineTeeth),
    /// Bore, journal, bearing seat.
    Cylinder(Cylinder),
    /// Rotary shaft lip seal.
    Seal(ShaftSeal),
    /// Seat of a seal.
    SealSeat(SealSeat),
    /// Thread.
    Thread(Thread),
    /// Thrust face.
    ThrustFace(ThrustFace),
    /// Dog teeth.
    DogTeeth(DogTeeth),
    /// Synchroniser cone.
    Cone(Cone),
}

/// The kinds of features.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FeatureKind {
    /// Gear teeth.
    Gear,
    /// Splined shaft or hub.
    Spline,
    /// Bore, journal, bearing seat.
    Cylinder,
    /// Rotary shaft lip seal.
    Seal,
    /// Seat of a seal.
    SealSeat,
    /// Thread.
    Thread,
    /// Thrust face.
    ThrustFace,
    /// Dog teeth.
    DogTeeth,
    /// Synchroniser cone.
    Cone,
}

impl Feature {
    /// What kind of face this is.
    pub fn kind(&self) -> FeatureKind {
        match self {
            Self::Gear(_) => FeatureKind::Gear,
            Self::Spline(_) => FeatureKind::Spline,
            Self::Cylinder(_) => FeatureKind::Cylinder,
            Self::Seal(_) => FeatureKind::Seal,
            Self::SealSeat(_) => FeatureKind::SealSeat,
            Self::Thread(_) => FeatureKind::Thread,
            Self::ThrustFace(_) => FeatureKind::ThrustFace,
            Self::DogTeeth(_) => FeatureKind::DogTeeth,
            Self::Cone(_) => FeatureKind::Cone,
        }
    }
}

impl FeatureKind {
    /// Stable word for files and interfaces.
    pub fn code(self) -> &'static str {
        match self {
            Self::Gear => "gear",
            Self::Spline => "spline",
            Self::Cylinder => "cylinder",
            Self::Seal => "seal",
            Self::SealSeat => "seal_seat",
            Self::Thread => "thread",
            Self::ThrustFace => "thrust_face",
            Self::DogTeeth => "dog_teeth",
            Self::Cone => "cone",
        }
    }
}
