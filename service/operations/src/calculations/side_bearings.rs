//! Crown-wheel backlash and side-bearing preload by moving shims from one side to the other.

use catalogue::Hazard;
use mechanics::side_bearings::{SideBearingSetting, side_shims};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::CalculationFault;
use crate::calculations::sheet::figure;

/// What was measured and what is wanted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SideBearingsAsked {
    /// Shim behind the bearing at the crown wheel's back.
    pub crown_side_shim_mm: f64,
    /// Shim behind the other bearing.
    pub other_side_shim_mm: f64,
    /// Backlash measured at the outer diameter of the crown wheel.
    pub measured_backlash_mm: f64,
    /// Backlash wanted.
    pub wanted_backlash_mm: f64,
    /// End float of the differential with these shims.
    #[serde(default)]
    pub end_float_mm: f64,
    /// Preload wanted, as shim beyond no float.
    #[serde(default)]
    pub preload_mm: f64,
    /// Pressure angle of the drive side.
    #[serde(default = "usual_angle")]
    #[schema(default = 20.0)]
    pub pressure_angle_deg: f64,
    /// Teeth of pinion and crown wheel, which tell the pitch angle.
    #[schema(example = json!([9, 41]))]
    pub tooth_counts: [u32; 2],
}

fn usual_angle() -> f64 {
    20.0
}

/// New shims.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SideBearingsResult {
    /// New shim on the crown side.
    pub crown_side_mm: f64,
    /// New shim on the other side.
    pub other_side_mm: f64,
    /// What moves from the other side to the crown side; negative the other way.
    pub moved_mm: f64,
}

/// Answer to [`SideBearingsAsked`].
pub type SideBearingsSheet = CalculationSheet<SideBearingsAsked, SideBearingsResult>;

/// Calculates the shims.
pub fn calculate_side_bearings(asked: &SideBearingsAsked) -> Result<SideBearingsSheet, CalculationFault> {
    for (at, teeth) in asked.tooth_counts.iter().enumerate() {
        mechanics::bounds::TEETH
            .check("tooth_counts", f64::from(*teeth))
            .map_err(|error| CalculationFault::of(&error, format!("/tooth_counts/{at}")))?;
    }
    let ratio = f64::from(asked.tooth_counts[1]) / f64::from(asked.tooth_counts[0]);
    let pitch_angle = ratio.atan().to_degrees();
    let setting = SideBearingSetting {
        crown_side_shim_mm: asked.crown_side_shim_mm,
        other_side_shim_mm: asked.other_side_shim_mm,
        measured_backlash_mm: asked.measured_backlash_mm,
        wanted_backlash_mm: asked.wanted_backlash_mm,
        end_float_mm: asked.end_float_mm,
        preload_mm: asked.preload_mm,
        pressure_angle_deg: asked.pressure_angle_deg,
        crown_pitch_angle_deg: pitch_angle,
    };
    let found = side_shims(&setting).map_err(|error| match error.field() {
        "crown_pitch_angle_deg" => CalculationFault::of(&error, "/tooth_counts"),
        _ => error.into(),
    })?;
    let figures = vec![
        figure(
            ("pitch angle of the crown wheel", "Γ", "deg"),
            pitch_angle,
            ("atan(z_2/z_1)", "bevel gears at right angles"),
        ),
        figure(
            ("backlash taken by a millimetre moved", "dj/ds", "1"),
            found.backlash_per_mm,
            ("2·tan α·sin Γ", "own calculation"),
        ),
        figure(
            ("moved to the crown side", "Δs", "mm"),
            found.moved_mm,
            ("(j − j_wanted)/(2·tan α·sin Γ)", "own calculation"),
        ),
    ];
    let result = SideBearingsResult {
        crown_side_mm: found.crown_side_mm,
        other_side_mm: found.other_side_mm,
        moved_mm: found.moved_mm,
    };
    Ok(CalculationSheet::new(
        "side-bearings",
        asked.clone(),
        result,
        figures,
        &[Hazard::Press, Hazard::Lifting],
    ))
}
