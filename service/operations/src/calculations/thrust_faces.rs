//! Whether two thrust faces bear on each other, and whether they fill the space there is.

use catalogue::Hazard;
use mechanics::thrust_face::judge_stack;
use mechanics::{Joint, JointKind, Side, ThrustFace};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, refuse_impossible, within};
use crate::calculations::joint_verdict::{JointVerdictResult, joint_verdict};

/// Two plane rings on one axis: thrust washer, shoulder, shim, spacer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ThrustFacesAsked {
    /// The first ring.
    pub a: ThrustFaceAsked,
    /// The second ring.
    pub b: ThrustFaceAsked,
    /// Least thickness of both together.
    pub minimum_thickness_mm: Option<f64>,
    /// Most thickness of both together.
    pub maximum_thickness_mm: Option<f64>,
}

/// A plane ring.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ThrustFaceAsked {
    /// Inner diameter.
    pub inner_diameter_mm: Option<f64>,
    /// Outer diameter.
    pub outer_diameter_mm: Option<f64>,
    /// Thickness.
    pub thickness_mm: Option<f64>,
}

impl ThrustFaceAsked {
    fn face(&self) -> ThrustFace {
        ThrustFace {
            inner_diameter_mm: self.inner_diameter_mm,
            outer_diameter_mm: self.outer_diameter_mm,
            thickness_mm: self.thickness_mm,
        }
    }
}

/// Answer to [`ThrustFacesAsked`].
pub type ThrustFacesSheet = CalculationSheet<ThrustFacesAsked, JointVerdictResult>;

/// Judges the rings.
pub fn calculate_thrust_faces(asked: &ThrustFacesAsked) -> Result<ThrustFacesSheet, CalculationFault> {
    // Where the joint names no limits the verdict does not look at the thickness.
    for (object, ring) in [("/a", &asked.a), ("/b", &asked.b)] {
        mechanics::bounds::LENGTH.check_known("thickness_mm", ring.thickness_mm).map_err(within(object))?;
    }
    let joint = Joint {
        minimum_thickness_mm: asked.minimum_thickness_mm,
        maximum_thickness_mm: asked.maximum_thickness_mm,
        ..Joint::new(JointKind::Stack)
    };
    let judgement = judge_stack(&joint, &asked.a.face(), &asked.b.face());
    refuse_impossible(&judgement, |side| match side {
        Side::A => "/a",
        Side::B => "/b",
        Side::Joint => "",
    })?;
    let (result, figures) = joint_verdict(&judgement, &["A", "s"]);
    Ok(CalculationSheet::new(
        "thrust-faces",
        asked.clone(),
        result,
        figures,
        &[Hazard::Press, Hazard::Spring],
    ))
}
