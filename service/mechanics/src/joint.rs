//! Where two faces meet, and the limits of the unit they meet in.

/// The kinds of joints.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum JointKind {
    /// Two gears on parallel shafts.
    Mesh,
    /// Splined shaft in a hub.
    Spline,
    /// Bore on a journal, or a rolling bearing on its shaft or in its housing.
    BearingSeat,
    /// Lip seal on its shaft or in its housing.
    Seal,
    /// Nut on a thread.
    Thread,
    /// Faces that bear on each other along an axis.
    Stack,
    /// Dogs of a gear and of its sleeve or coupling.
    DogClutch,
    /// Synchroniser cone and ring.
    Cone,
}

impl JointKind {
    /// Stable word for files and interfaces.
    pub fn code(self) -> &'static str {
        match self {
            Self::Mesh => "mesh",
            Self::Spline => "spline",
            Self::BearingSeat => "bearing_seat",
            Self::Seal => "seal",
            Self::Thread => "thread",
            Self::Stack => "stack",
            Self::DogClutch => "dog_clutch",
            Self::Cone => "cone",
        }
    }
}

/// A place where two faces meet. Limits that are not given fall back to the ones named at each test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joint {
    /// Kind of joint.
    pub kind: JointKind,
    /// Mesh: centre distance a of the case.
    pub centre_distance_mm: Option<f64>,
    /// Mesh: least circumferential backlash j_wt at the working pitch circle.
    pub minimum_backlash_mm: Option<f64>,
    /// Mesh: most circumferential backlash j_wt at the working pitch circle.
    pub maximum_backlash_mm: Option<f64>,
    /// Mesh: width in which both gears overlap, where the face widths do not tell it.
    pub common_width_mm: Option<f64>,
    /// Spline: least engaged length.
    pub minimum_length_mm: Option<f64>,
    /// Seat: least clearance; negative for interference.
    pub minimum_clearance_um: Option<f64>,
    /// Seat: most clearance; negative for interference.
    pub maximum_clearance_um: Option<f64>,
    /// Stack: least thickness of both faces together.
    pub minimum_thickness_mm: Option<f64>,
    /// Stack: most thickness of both faces together.
    pub maximum_thickness_mm: Option<f64>,
}

impl Joint {
    /// A joint of which nothing but the kind is known.
    pub fn new(kind: JointKind) -> Self {
        Self {
            kind,
            centre_distance_mm: None,
            minimum_backlash_mm: None,
            maximum_backlash_mm: None,
            common_width_mm: None,
            minimum_length_mm: None,
            minimum_clearance_um: None,
            maximum_clearance_um: None,
            minimum_thickness_mm: None,
            maximum_thickness_mm: None,
        }
    }

    /// A mesh at a centre distance.
    pub fn mesh(centre_distance_mm: f64) -> Self {
        Self { centre_distance_mm: Some(centre_distance_mm), ..Self::new(JointKind::Mesh) }
    }
}
