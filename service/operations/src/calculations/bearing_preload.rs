//! The shim that gives a bearing preload or end float, from a trial build.

use catalogue::Hazard;
use mechanics::preload::{ShimPlace, shim_for_preload};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::CalculationFault;
use crate::calculations::sheet::figure;
use crate::calculations::shims::{MeasurementAsked, ShimsResult, choose, usual_tolerance};

catalogue::choice! {
    /// Where the shim sits.
    pub enum ShimSeat {
        /// Between the cones or beside a solid spacer: a thinner shim tightens.
        BetweenCones = "between_cones",
        /// Behind a cup or under a cover that presses: a thicker shim tightens.
        BehindCup = "behind_cup",
    }
}

/// A trial build and what is wanted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BearingPreloadAsked {
    /// Where the shim sits.
    pub place: ShimSeat,
    /// Thickness in the trial build.
    pub trial_shim_mm: f64,
    /// End float measured with it.
    pub end_float_mm: f64,
    /// Preload wanted, as length beyond no float; negative for an end float.
    pub preload_mm: f64,
    /// Thickness of each piece in the box; left out: only the thickness is told.
    #[serde(default)]
    pub shims_mm: Vec<f64>,
    /// Error that does no harm.
    #[serde(default = "usual_tolerance")]
    #[schema(default = 0.01)]
    pub tolerance_mm: f64,
    /// The measurements with their uncertainty.
    #[serde(default)]
    pub measurements: Vec<MeasurementAsked>,
}

/// The shim.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BearingPreloadResult {
    /// Thickness wanted.
    pub thickness_mm: f64,
    /// New less trial.
    pub change_mm: f64,
    /// The choice from the box; null without one.
    pub shims: Option<ShimsResult>,
}

/// Answer to [`BearingPreloadAsked`].
pub type BearingPreloadSheet = CalculationSheet<BearingPreloadAsked, BearingPreloadResult>;

/// Calculates the shim.
pub fn calculate_bearing_preload(
    asked: &BearingPreloadAsked,
) -> Result<BearingPreloadSheet, CalculationFault> {
    let (place, formula) = match asked.place {
        ShimSeat::BetweenCones => (ShimPlace::BetweenCones, "s_trial − (float + preload)"),
        ShimSeat::BehindCup => (ShimPlace::BehindCup, "s_trial + (float + preload)"),
    };
    let shim = shim_for_preload(place, asked.trial_shim_mm, asked.end_float_mm, asked.preload_mm)?;
    let rule = (formula, "common practice, no source");
    let figures = vec![
        figure(("shim wanted", "s", "mm"), shim.thickness_mm, rule),
        figure(
            ("change from the trial build", "Δs", "mm"),
            shim.change_mm,
            ("s − s_trial", "own calculation"),
        ),
    ];
    let shims = if asked.shims_mm.is_empty() {
        None
    } else {
        Some(choose(&asked.shims_mm, shim.thickness_mm, asked.tolerance_mm, &asked.measurements)?)
    };
    let result = BearingPreloadResult { thickness_mm: shim.thickness_mm, change_mm: shim.change_mm, shims };
    Ok(CalculationSheet::new("bearing-preload", asked.clone(), result, figures, &[Hazard::Press]))
}
