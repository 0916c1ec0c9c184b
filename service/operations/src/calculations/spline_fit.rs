//! Whether a splined hub goes on a shaft.

use catalogue::Hazard;
use mechanics::{Joint, JointKind, Side};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, refuse_impossible};
use crate::calculations::joint_verdict::{JointVerdictResult, joint_verdict};
use crate::calculations::spline::SplineAsked;

/// A shaft and a hub.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SplineFitAsked {
    /// The shaft: `a` in the verdict.
    pub shaft: SplineAsked,
    /// The hub: `b` in the verdict.
    pub hub: SplineAsked,
    /// Least length that must be engaged.
    pub minimum_length_mm: Option<f64>,
}

/// Answer to [`SplineFitAsked`].
pub type SplineFitSheet = CalculationSheet<SplineFitAsked, JointVerdictResult>;

/// Judges a shaft and a hub.
pub fn calculate_spline_fit(asked: &SplineFitAsked) -> Result<SplineFitSheet, CalculationFault> {
    let (shaft, hub) = (asked.shaft.teeth(true, "/shaft")?, asked.hub.teeth(false, "/hub")?);
    let joint = Joint { minimum_length_mm: asked.minimum_length_mm, ..Joint::new(JointKind::Spline) };
    let judgement = mechanics::spline_fit::judge_spline(&joint, &shaft, &hub);
    refuse_impossible(&judgement, |side| match side {
        Side::A => "/shaft",
        Side::B => "/hub",
        Side::Joint => "",
    })?;
    let (result, figures) = joint_verdict(&judgement, &["d", "c_v", "L"]);
    Ok(CalculationSheet::new("spline-fit", asked.clone(), result, figures, &[Hazard::Press]))
}
