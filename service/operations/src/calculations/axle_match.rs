//! Whether a changed axle ratio matches the other driven axle's.

use catalogue::Hazard;
use mechanics::gear_train::axles_match;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::CalculationFault;
use crate::calculations::sheet::{figure, shown};

/// Two driven axles of one vehicle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AxleMatchAsked {
    /// Ratio of the changed axle.
    pub changed_axle_ratio: f64,
    /// Ratio of the other driven axle.
    pub other_axle_ratio: f64,
    /// By how many per cent they may differ.
    #[serde(default = "usual_tolerance")]
    #[schema(default = 1.0)]
    pub tolerance_percent: f64,
}

fn usual_tolerance() -> f64 {
    1.0
}

/// Whether they match.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct AxleMatchResult {
    /// Whether the difference lies within the tolerance.
    pub matches: bool,
    /// (i_changed/i_other − 1)·100.
    pub difference_percent: f64,
    /// The verdict with its figures.
    pub sentence: String,
    /// What else a changed axle ratio touches.
    pub to_check: Vec<String>,
}

/// Answer to [`AxleMatchAsked`].
pub type AxleMatchSheet = CalculationSheet<AxleMatchAsked, AxleMatchResult>;

/// Compares the axles.
pub fn calculate_axle_match(asked: &AxleMatchAsked) -> Result<AxleMatchSheet, CalculationFault> {
    let found = axles_match(asked.changed_axle_ratio, asked.other_axle_ratio, asked.tolerance_percent)?;
    let difference = shown(found.difference_percent);
    let tolerance = shown(asked.tolerance_percent);
    let sentence = if found.matches {
        format!("the axles match: they differ by {difference} %, and {tolerance} % is allowed")
    } else {
        format!(
            "the axles do not match: they differ by {difference} %, more than the {tolerance} % allowed; change both or none"
        )
    };
    let rule = ("(i_changed/i_other − 1)·100", "own calculation");
    let figures =
        vec![figure(("difference of the axle ratios", "Δi/i", "%"), found.difference_percent, rule)];
    let result = AxleMatchResult {
        matches: found.matches,
        difference_percent: found.difference_percent,
        sentence,
        to_check: vec![
            "the speedometer and its drive".to_owned(),
            "a tachograph, speed limiter or any other device that measures road speed at the driveline"
                .to_owned(),
        ],
    };
    let hazards = [Hazard::ChangedGearing, Hazard::Brakes];
    Ok(CalculationSheet::new("axle-match", asked.clone(), result, figures, &hazards))
}
