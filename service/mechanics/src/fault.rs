//! The tests that can fail, and what was compared.

use crate::feature::FeatureKind;
use crate::joint::JointKind;
use crate::verdict::Side;

/// One side of a comparison.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Value {
    /// A number in the unit of the comparison.
    Number(f64),
    /// A word such as a hand or a standard.
    Word(&'static str),
    /// Nothing to show on this side: the figure belongs to the pair.
    None,
}

/// A test that failed, with what was compared.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fault {
    /// Which test.
    pub kind: FaultKind,
    /// The first face's value, or the pair's value.
    pub a: Value,
    /// The second face's value.
    pub b: Value,
    /// The limit that was passed: a largest difference, a least or a most; its sense is told by the kind.
    pub limit: Option<f64>,
    /// Unit of the numbers.
    pub unit: &'static str,
}

/// The tests that can fail.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FaultKind {
    /// The face cannot take part in this kind of joint.
    WrongFeature {
        /// Whose face.
        side: Side,
        /// The joint.
        joint: JointKind,
        /// What the face is.
        found: FeatureKind,
    },
    /// Two shafts, two hubs, two males: both faces are of the same sex.
    SameSex,
    /// Mesh: normal base pitches differ by more than the limit.
    NormalBasePitch,
    /// Mesh: transverse base pitches differ by more than the limit.
    TransverseBasePitch,
    /// Mesh: modules differ more than any usual pressure angles can make good.
    Module,
    /// Mesh: base helix angles differ by more than the limit.
    HelixAngle,
    /// Mesh: the hands are not opposite.
    HelixHand,
    /// Mesh: the centre distance lies out of reach for these tooth counts and this module.
    CentreDistanceOutOfReach,
    /// Mesh: less backlash than the limit; below nought the pair jams.
    BacklashTooSmall,
    /// Mesh: more backlash than the limit.
    BacklashTooLarge,
    /// Mesh: tip of the first gear too near the root of the second.
    TipClearanceAtRootOfB,
    /// Mesh: tip of the second gear too near the root of the first.
    TipClearanceAtRootOfA,
    /// Mesh: tip of the first gear runs below the usable involute of the second.
    InterferenceAtRootOfB,
    /// Mesh: tip of the second gear runs below the usable involute of the first.
    InterferenceAtRootOfA,
    /// Mesh: transverse contact ratio below one.
    ContactRatio,
    /// Mesh: the tip circles do not overlap.
    TeethDoNotReach,
    /// No common width or length.
    NoOverlap,
    /// Splines or dogs: tooth counts differ.
    ToothCount,
    /// Spline: standards that do not interchange.
    SplineStandard,
    /// Spline: modules differ.
    SplineModule,
    /// Spline or dog: flank angles differ.
    FlankAngle,
    /// Spline: reference diameters (DIN 5480 d_B) differ.
    ReferenceDiameter,
    /// Spline: tooth of the shaft wider than the space of the hub.
    SpaceWidth,
    /// Spline or dog: crests of the outer part foul the roots of the inner, or the teeth do not overlap.
    MajorDiameter,
    /// Spline: minor diameters foul.
    MinorDiameter,
    /// Spline: engaged length below what the joint needs.
    EngagedLength,
    /// Nominal diameters differ.
    Diameter,
    /// The fit is tighter than the joint allows.
    FitTooTight,
    /// The fit is looser than the joint allows.
    FitTooLoose,
    /// The seal's outside does not suit the housing bore.
    SealBore,
    /// The seal's lip does not suit the shaft.
    SealShaft,
    /// The seal is wider than its seat.
    SealWidth,
    /// Threads: nominal diameters differ.
    ThreadDiameter,
    /// Threads: pitches differ.
    ThreadPitch,
    /// Threads: hands differ.
    ThreadHand,
    /// Stack: the faces do not bear on each other.
    FacesDoNotBear,
    /// Stack: thickness outside what the joint takes.
    Thickness,
    /// Dogs: pitch diameters differ.
    PitchDiameter,
    /// Cone: half angles differ.
    ConeAngle,
    /// Cone: mean diameters differ.
    ConeDiameter,
}

impl FaultKind {
    /// Stable word for files and interfaces.
    pub fn code(self) -> &'static str {
        match self {
            Self::WrongFeature { .. } => "wrong_feature",
            Self::SameSex => "same_sex",
            Self::NormalBasePitch => "normal_base_pitch",
            Self::TransverseBasePitch => "transverse_base_pitch",
            Self::Module => "module",
            Self::HelixAngle => "helix_angle",
            Self::HelixHand => "helix_hand",
            Self::CentreDistanceOutOfReach => "centre_distance_out_of_reach",
            Self::BacklashTooSmall => "backlash_too_small",
            Self::BacklashTooLarge => "backlash_too_large",
            Self::TipClearanceAtRootOfB => "tip_clearance_at_root_of_b",
            Self::TipClearanceAtRootOfA => "tip_clearance_at_root_of_a",
            Self::InterferenceAtRootOfB => "interference_at_root_of_b",
            Self::InterferenceAtRootOfA => "interference_at_root_of_a",
            Self::ContactRatio => "contact_ratio",
            Self::TeethDoNotReach => "teeth_do_not_reach",
            Self::NoOverlap => "no_overlap",
            Self::ToothCount => "tooth_count",
            Self::SplineStandard => "spline_standard",
            Self::SplineModule => "spline_module",
            Self::FlankAngle => "flank_angle",
            Self::ReferenceDiameter => "reference_diameter",
            Self::SpaceWidth => "space_width",
            Self::MajorDiameter => "major_diameter",
            Self::MinorDiameter => "minor_diameter",
            Self::EngagedLength => "engaged_length",
            Self::Diameter => "diameter",
            Self::FitTooTight => "fit_too_tight",
            Self::FitTooLoose => "fit_too_loose",
            Self::SealBore => "seal_bore",
            Self::SealShaft => "seal_shaft",
            Self::SealWidth => "seal_width",
            Self::ThreadDiameter => "thread_diameter",
            Self::ThreadPitch => "thread_pitch",
            Self::ThreadHand => "thread_hand",
            Self::FacesDoNotBear => "faces_do_not_bear",
            Self::Thickness => "thickness",
            Self::PitchDiameter => "pitch_diameter",
            Self::ConeAngle => "cone_angle",
            Self::ConeDiameter => "cone_diameter",
        }
    }
}
