//! The answer to "do these two faces go together": verdict, the figures that decided it, and what is wrong or missing.
//!
//! **Invariant:** a judgement has faults exactly when its verdict is [`Verdict::DoesNotFit`], and is
//! [`Verdict::Fits`] only when nothing is missing. No value in it is ever NaN or infinite.

pub use crate::fault::{Fault, FaultKind, Value};

/// Whether two faces go together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// Every test was made and passed.
    Fits,
    /// At least one test failed, whatever the missing figures are.
    DoesNotFit,
    /// No test failed, but some could not be made.
    Unverified,
}

impl Verdict {
    /// Stable word for files and interfaces.
    pub fn code(self) -> &'static str {
        match self {
            Self::Fits => "fits",
            Self::DoesNotFit => "does_not_fit",
            Self::Unverified => "unverified",
        }
    }
}

/// Which of the two faces, or the place where they meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// The first face.
    A,
    /// The second face.
    B,
    /// The joint itself: the case, the centre distance, limits of the unit.
    Joint,
}

impl Side {
    /// Stable word for files and interfaces.
    pub fn code(self) -> &'static str {
        match self {
            Self::A => "a",
            Self::B => "b",
            Self::Joint => "joint",
        }
    }

    /// The same side after the two faces have changed places.
    #[must_use]
    pub fn swapped(self) -> Self {
        match self {
            Self::A => Self::B,
            Self::B => Self::A,
            Self::Joint => Self::Joint,
        }
    }
}

/// One computed figure with its formula.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// Name in the words of the trade.
    pub name: &'static str,
    /// Symbol of the standard, `1` and `2` standing for the first and second face.
    pub symbol: &'static str,
    /// Unit.
    pub unit: &'static str,
    /// Value.
    pub value: f64,
    /// Formula.
    pub formula: &'static str,
    /// Where the formula stands.
    pub standard: &'static str,
}

/// A figure that would settle a test that could not be made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Missing {
    /// Whose figure.
    pub side: Side,
    /// Field name of the figure, as in the feature or the joint.
    pub figure: &'static str,
    /// Why what is there does not do.
    pub reason: MissingReason,
}

/// Why a figure counts as missing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MissingReason {
    /// It is not given.
    NotGiven,
    /// It is given but cannot be right.
    Impossible {
        /// What is given; nought if it was not a number.
        value: f64,
        /// Smallest possible value.
        least: f64,
        /// Largest possible value.
        most: f64,
        /// Unit of the three.
        unit: &'static str,
    },
    /// It is measured too coarsely to decide.
    TooUncertain {
        /// The uncertainty of the compared figures together.
        uncertainty: f64,
        /// The difference found.
        difference: f64,
        /// The difference allowed.
        limit: f64,
        /// Unit of the three.
        unit: &'static str,
    },
}

impl MissingReason {
    /// Stable word for files and interfaces.
    pub fn code(self) -> &'static str {
        match self {
            Self::NotGiven => "not_given",
            Self::Impossible { .. } => "impossible",
            Self::TooUncertain { .. } => "too_uncertain",
        }
    }
}

/// Something that does not forbid the pair but that the bench must know.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Warning {
    /// What.
    pub kind: WarningKind,
    /// Whose, or the pair's.
    pub side: Side,
    /// The value found.
    pub value: f64,
    /// The value advised.
    pub advised: f64,
    /// Unit of both.
    pub unit: &'static str,
}

/// The cautions a judgement can carry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WarningKind {
    /// Modules differ though base pitches are equal: unusual, look again.
    ModulesDiffer,
    /// Transverse contact ratio below what is advised for spur gears.
    LowContactRatio,
    /// Tip clearance below the usual quarter module.
    LowTipClearance,
    /// More backlash than usual for a new pair.
    LargeBacklash,
    /// The gear is undercut if cut with a standard rack.
    Undercut,
    /// Tooth tip thinner than advised.
    ThinTip,
    /// Tip diameter not given; taken from the basic rack.
    TipDiameterAssumed,
    /// Root diameter not given; taken from the basic rack.
    RootDiameterAssumed,
    /// Tooth thickness allowance not given; taken as nought.
    ThicknessAllowanceAssumed,
    /// A measured figure carries this uncertainty.
    MeasuredFigure,
    /// Only part of the spline's teeth carry.
    PartialSpline,
    /// Minor or major diameters not given; only the flanks were compared.
    DiametersNotCompared,
    /// The seal's width is less than its seat's; see that it cannot move.
    SealNarrow,
    /// The nominal fit may turn out with clearance or with interference.
    TransitionFit,
    /// Bearing tolerance class taken as Normal.
    BearingClassAssumed,
    /// Pitch not given; taken as coarse.
    CoarsePitchAssumed,
}

impl WarningKind {
    /// Stable word for files and interfaces.
    pub fn code(self) -> &'static str {
        match self {
            Self::ModulesDiffer => "modules_differ",
            Self::LowContactRatio => "low_contact_ratio",
            Self::LowTipClearance => "low_tip_clearance",
            Self::LargeBacklash => "large_backlash",
            Self::Undercut => "undercut",
            Self::ThinTip => "thin_tip",
            Self::TipDiameterAssumed => "tip_diameter_assumed",
            Self::RootDiameterAssumed => "root_diameter_assumed",
            Self::ThicknessAllowanceAssumed => "thickness_allowance_assumed",
            Self::MeasuredFigure => "measured_figure",
            Self::PartialSpline => "partial_spline",
            Self::DiametersNotCompared => "diameters_not_compared",
            Self::SealNarrow => "seal_narrow",
            Self::TransitionFit => "transition_fit",
            Self::BearingClassAssumed => "bearing_class_assumed",
            Self::CoarsePitchAssumed => "coarse_pitch_assumed",
        }
    }
}

/// A verdict with everything that led to it.
#[derive(Debug, Clone, PartialEq)]
#[must_use = "an unread judgement decides nothing"]
pub struct Judgement {
    /// The verdict.
    pub verdict: Verdict,
    /// The figures that were computed, in the order of computation.
    pub figures: Vec<Figure>,
    /// The tests that failed.
    pub faults: Vec<Fault>,
    /// The figures that would settle the tests not made.
    pub missing: Vec<Missing>,
    /// Cautions.
    pub warnings: Vec<Warning>,
}

impl Judgement {
    /// An empty record with room for `figures` figures; its verdict is set by [`Judgement::close`].
    #[inline]
    pub(crate) fn open(figures: usize) -> Self {
        Self {
            verdict: Verdict::Unverified,
            figures: Vec::with_capacity(figures),
            faults: Vec::new(),
            missing: Vec::new(),
            warnings: Vec::new(),
        }
    }

    /// Draws the verdict from what was recorded.
    #[inline]
    pub(crate) fn close(mut self) -> Self {
        self.verdict = if !self.faults.is_empty() {
            Verdict::DoesNotFit
        } else if self.missing.is_empty() {
            Verdict::Fits
        } else {
            Verdict::Unverified
        };
        self
    }

    #[inline]
    pub(crate) fn figure(
        &mut self,
        (name, symbol, unit): (&'static str, &'static str, &'static str),
        value: f64,
        (formula, standard): (&'static str, &'static str),
    ) {
        self.figures.push(Figure { name, symbol, unit, value, formula, standard });
    }

    pub(crate) fn differs(&mut self, kind: FaultKind, a: f64, b: f64, limit: f64, unit: &'static str) {
        self.faults.push(Fault { kind, a: Value::Number(a), b: Value::Number(b), limit: Some(limit), unit });
    }

    pub(crate) fn beyond(&mut self, kind: FaultKind, value: f64, limit: f64, unit: &'static str) {
        self.faults.push(Fault { kind, a: Value::Number(value), b: Value::None, limit: Some(limit), unit });
    }

    pub(crate) fn word_fault(&mut self, kind: FaultKind, a: &'static str, b: &'static str) {
        self.faults.push(Fault { kind, a: Value::Word(a), b: Value::Word(b), limit: None, unit: "" });
    }

    pub(crate) fn lacks(&mut self, side: Side, figure: &'static str) {
        self.missing.push(Missing { side, figure, reason: MissingReason::NotGiven });
    }

    pub(crate) fn warn(
        &mut self,
        kind: WarningKind,
        side: Side,
        value: f64,
        advised: f64,
        unit: &'static str,
    ) {
        self.warnings.push(Warning { kind, side, value, advised, unit });
    }

    /// Records a refused input as a figure that must be got right first.
    pub(crate) fn impossible(&mut self, side: Side, error: &crate::bad_input::BadInput) {
        use crate::bad_input::BadInput;
        let reason = match *error {
            BadInput::OutOfRange { value, least, most, unit, .. } => {
                MissingReason::Impossible { value, least, most, unit }
            }
            BadInput::NotANumber { .. }
            | BadInput::Unreadable { .. }
            | BadInput::Contradiction { .. }
            | BadInput::NotInTable { .. } => {
                MissingReason::Impossible { value: 0.0, least: 0.0, most: 0.0, unit: "" }
            }
        };
        self.missing.push(Missing { side, figure: error.field(), reason });
    }

    /// The value of a figure by its symbol.
    pub fn value_of(&self, symbol: &str) -> Option<f64> {
        self.figures.iter().find(|figure| figure.symbol == symbol).map(|figure| figure.value)
    }
}
