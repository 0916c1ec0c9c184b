//! What a changed ratio does to the engine speed at the same road speed.

use catalogue::Hazard;
use mechanics::road_speed::ratio_change;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, field};
use crate::calculations::sheet::figure;

/// A ratio before and after, of a gear, a drop box or an axle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RatioChangeAsked {
    /// Ratio before.
    pub old_ratio: f64,
    /// Ratio after.
    pub new_ratio: f64,
    /// Engine speed before, in 1/min.
    pub engine_speed_before_per_min: f64,
}

/// What the change does.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RatioChangeResult {
    /// Engine speed after, at the same road speed.
    pub engine_speed_after_per_min: f64,
    /// Revolutions a minute fewer; negative if more.
    pub drop_per_min: f64,
    /// The same in per cent.
    pub drop_percent: f64,
}

/// Answer to [`RatioChangeAsked`].
pub type RatioChangeSheet = CalculationSheet<RatioChangeAsked, RatioChangeResult>;

/// Calculates the change.
pub fn calculate_ratio_change(asked: &RatioChangeAsked) -> Result<RatioChangeSheet, CalculationFault> {
    let change = ratio_change(asked.engine_speed_before_per_min, asked.old_ratio, asked.new_ratio).map_err(
        |error| match error.field() {
            "engine_speed_before" => field("/engine_speed_before_per_min")(error),
            _ => error.into(),
        },
    )?;
    let rule = ("n·i_new/i_old", "own calculation");
    let after = ("engine speed at the same road speed", "n'", "1/min");
    let figures = vec![
        figure(after, change.engine_speed_after, rule),
        figure(
            ("drop of engine speed", "Δn/n", "%"),
            change.drop_percent,
            ("(1 − i_new/i_old)·100", "own calculation"),
        ),
    ];
    let result = RatioChangeResult {
        engine_speed_after_per_min: change.engine_speed_after,
        drop_per_min: change.drop,
        drop_percent: change.drop_percent,
    };
    Ok(CalculationSheet::new("ratio-change", asked.clone(), result, figures, &[Hazard::ChangedGearing]))
}
