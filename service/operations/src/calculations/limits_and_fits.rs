//! Limits of a hole and a shaft (ISO 286), and the fit they make; a rolling bearing may stand on either side.

use catalogue::Hazard;
use mechanics::bearing_seat::judge_bearing_seat;
use mechanics::bearing_tolerance::{
    bearing_bore_limits, bearing_outside_limits, fit_in_housing, fit_on_shaft,
};
use mechanics::iso_286::{Limits, ToleranceClass, fit_of, limits};
use mechanics::{BadInput, Cylinder, CylinderRole, Joint, JointKind, Tolerance};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, field, refuse_impossible};
use crate::calculations::joint_verdict::{JointVerdictResult, joint_verdict};
use crate::calculations::sheet::figure;

/// The word for a rolling bearing of class Normal in the place of a tolerance class.
pub const BEARING: &str = "bearing";

/// A nominal size with the classes of hole and shaft.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LimitsAndFitsAsked {
    /// Nominal size.
    #[schema(example = 40.0)]
    pub nominal_mm: f64,
    /// Class of the hole, such as H7; `bearing` for the bore of a rolling bearing.
    #[schema(example = "bearing")]
    pub hole: String,
    /// Class of the shaft, such as k5; `bearing` for the outside of a rolling bearing.
    #[schema(example = "k5")]
    pub shaft: String,
    /// Least clearance that is wanted; negative for interference.
    pub minimum_clearance_um: Option<f64>,
    /// Most clearance that is wanted; negative for interference.
    pub maximum_clearance_um: Option<f64>,
}

/// Limits and fit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LimitsAndFitsResult {
    /// Limits of the hole.
    pub hole: SizeLimits,
    /// Limits of the shaft.
    pub shaft: SizeLimits,
    /// `clearance`, `transition` or `interference`.
    pub kind: String,
    /// Least clearance; negative is interference.
    pub clearance_min_um: f64,
    /// Most clearance.
    pub clearance_max_um: f64,
    /// The fit against the clearance that is wanted, or against what a bearing's seat takes; null where neither is asked.
    pub verdict: Option<JointVerdictResult>,
}

/// Limits of one size.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SizeLimits {
    /// Upper limit deviation.
    pub upper_deviation_um: f64,
    /// Lower limit deviation.
    pub lower_deviation_um: f64,
    /// Largest size.
    pub largest_mm: f64,
    /// Smallest size.
    pub smallest_mm: f64,
}

impl SizeLimits {
    fn of(nominal: f64, limits: Limits) -> Self {
        Self {
            upper_deviation_um: limits.upper_um,
            lower_deviation_um: limits.lower_um,
            largest_mm: nominal + limits.upper_um / 1000.0,
            smallest_mm: nominal + limits.lower_um / 1000.0,
        }
    }
}

/// Answer to [`LimitsAndFitsAsked`].
pub type LimitsAndFitsSheet = CalculationSheet<LimitsAndFitsAsked, LimitsAndFitsResult>;

struct Face {
    cylinder: Cylinder,
    limits: Limits,
    bearing: bool,
}

/// Calculates limits and fit.
pub fn calculate_limits_and_fits(asked: &LimitsAndFitsAsked) -> Result<LimitsAndFitsSheet, CalculationFault> {
    let (hole, shaft) = (face(asked, true)?, face(asked, false)?);
    if hole.bearing && shaft.bearing {
        let detail = "hole and shaft cannot both be a bearing; give the class of its seat";
        return Err(CalculationFault::at("/shaft", "contradiction", detail));
    }
    let fit = match (hole.cylinder.tolerance, shaft.cylinder.tolerance) {
        (Some(Tolerance::BearingNormal), Some(Tolerance::Iso286(class))) => {
            fit_on_shaft(asked.nominal_mm, class)?
        }
        (Some(Tolerance::Iso286(class)), Some(Tolerance::BearingNormal)) => {
            fit_in_housing(asked.nominal_mm, class)?
        }
        _ => fit_of(hole.limits, shaft.limits),
    };
    let standard = |face: &Face| if face.bearing { "ISO 492, class Normal" } else { "ISO 286-2" };
    let um =
        |name: &str, symbol: &str, value: f64, rule: (&str, &str)| figure((name, symbol, "um"), value, rule);
    let figures = vec![
        um("upper limit deviation of the hole", "ES", hole.limits.upper_um, ("table", standard(&hole))),
        um("lower limit deviation of the hole", "EI", hole.limits.lower_um, ("table", standard(&hole))),
        um("upper limit deviation of the shaft", "es", shaft.limits.upper_um, ("table", standard(&shaft))),
        um("lower limit deviation of the shaft", "ei", shaft.limits.lower_um, ("table", standard(&shaft))),
        um("least clearance", "C_min", fit.clearance_min_um, ("EI − es", "ISO 286-1")),
        um("largest clearance", "C_max", fit.clearance_max_um, ("ES − ei", "ISO 286-1")),
    ];
    let result = LimitsAndFitsResult {
        hole: SizeLimits::of(asked.nominal_mm, hole.limits),
        shaft: SizeLimits::of(asked.nominal_mm, shaft.limits),
        kind: fit.kind.code().to_owned(),
        clearance_min_um: fit.clearance_min_um,
        clearance_max_um: fit.clearance_max_um,
        verdict: verdict(asked, &hole, &shaft)?,
    };
    let hazards = [Hazard::Press, Hazard::Heat];
    Ok(CalculationSheet::new("limits-and-fits", asked.clone(), result, figures, &hazards))
}

fn verdict(
    asked: &LimitsAndFitsAsked,
    hole: &Face,
    shaft: &Face,
) -> Result<Option<JointVerdictResult>, CalculationFault> {
    let wanted = asked.minimum_clearance_um.is_some() || asked.maximum_clearance_um.is_some();
    if !wanted && !hole.bearing && !shaft.bearing {
        return Ok(None);
    }
    let joint = Joint {
        minimum_clearance_um: asked.minimum_clearance_um,
        maximum_clearance_um: asked.maximum_clearance_um,
        ..Joint::new(JointKind::BearingSeat)
    };
    let judgement = judge_bearing_seat(&joint, &hole.cylinder, &shaft.cylinder);
    refuse_impossible(&judgement, |_| "")?;
    Ok(Some(joint_verdict(&judgement, &["C_min", "C_max"]).0))
}

fn face(asked: &LimitsAndFitsAsked, is_hole: bool) -> Result<Face, CalculationFault> {
    let (text, pointer) = if is_hole { (&asked.hole, "/hole") } else { (&asked.shaft, "/shaft") };
    let nominal = asked.nominal_mm;
    let place = |error: BadInput| match error {
        // The tables speak of the class where the size has no step in them.
        BadInput::OutOfRange { field: "grade", .. }
        | BadInput::NotInTable { .. }
        | BadInput::Unreadable { .. } => field(pointer)(error),
        _ => field("/nominal_mm")(error),
    };
    if text.trim().eq_ignore_ascii_case(BEARING) {
        let (role, limits) = if is_hole {
            (CylinderRole::BearingBore, bearing_bore_limits(nominal))
        } else {
            (CylinderRole::BearingOutside, bearing_outside_limits(nominal))
        };
        let cylinder = Cylinder { tolerance: Some(Tolerance::BearingNormal), ..Cylinder::new(role, nominal) };
        return Ok(Face { cylinder, limits: limits.map_err(place)?, bearing: true });
    }
    let class: ToleranceClass = text.parse().map_err(place)?;
    if class.hole != is_hole {
        let wanted = if is_hole {
            "a hole has a capital letter, such as H7"
        } else {
            "a shaft has a small letter, such as k6"
        };
        return Err(CalculationFault::at(
            pointer,
            "contradiction",
            format!("`{text}` cannot stand here: {wanted}"),
        ));
    }
    let role = if is_hole { CylinderRole::Bore } else { CylinderRole::Journal };
    let found = limits(nominal, class).map_err(place)?;
    let cylinder = Cylinder { tolerance: Some(Tolerance::Iso286(class)), ..Cylinder::new(role, nominal) };
    Ok(Face { cylinder, limits: found, bearing: false })
}
