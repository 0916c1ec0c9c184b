//! The rotating torque of preloaded bearings against the limits of the unit.

use catalogue::Hazard;
use mechanics::preload::{DragLimits, DragVerdict, TorqueLimits, drag_reading, torque_from_pull_nm};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, within};
use crate::calculations::sheet::{figure, shown};

catalogue::choice! {
    /// What a rotating torque says of the preload.
    pub enum DragWord {
        /// Bearings too far apart: the pinion can move in and out.
        TooLoose = "too_loose",
        /// Within the limits.
        Good = "good",
        /// Bearings too close: they run hot and seize.
        TooTight = "too_tight",
    }
}

/// Limits of a rotating torque.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TorqueLimitsAsked {
    /// Least.
    pub min_nm: f64,
    /// Most.
    pub max_nm: f64,
}

/// A reading and the limits that the unit's manual gives.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BearingDragAsked {
    /// Rotating torque, read while turning with the seal out.
    pub torque_nm: Option<f64>,
    /// Pull of a spring scale on a cord, instead of the torque.
    pub pull_n: Option<f64>,
    /// Radius at which the cord pulls.
    pub radius_mm: Option<f64>,
    /// Limits with new bearings.
    pub new_bearings: TorqueLimitsAsked,
    /// Limits with run-in bearings.
    pub run_in_bearings: Option<TorqueLimitsAsked>,
    /// Whether the bearings are new.
    pub bearings_are_new: bool,
    /// Whether a crush spacer sets them.
    #[serde(default)]
    pub crush_spacer: bool,
}

/// What the reading says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BearingDragResult {
    /// The torque that was held against the limits.
    pub torque_nm: f64,
    /// Middle of the limits, to aim for.
    pub target_nm: f64,
    /// The verdict.
    pub verdict: DragWord,
    /// Whether the crush spacer must be renewed.
    pub renew_crush_spacer: bool,
    /// What to do, in one sentence.
    pub sentence: String,
}

/// Answer to [`BearingDragAsked`].
pub type BearingDragSheet = CalculationSheet<BearingDragAsked, BearingDragResult>;

/// Reads a rotating torque.
pub fn calculate_bearing_drag(asked: &BearingDragAsked) -> Result<BearingDragSheet, CalculationFault> {
    let torque = match (asked.torque_nm, asked.pull_n, asked.radius_mm) {
        (Some(torque), None, None) => torque,
        (None, Some(pull), Some(radius)) => torque_from_pull_nm(pull, radius)?,
        _ => {
            let detail = "give torque_nm, or pull_n with radius_mm";
            return Err(CalculationFault::at("/torque_nm", "contradiction", detail));
        }
    };
    let limits_of = |asked: &TorqueLimitsAsked| TorqueLimits { min_nm: asked.min_nm, max_nm: asked.max_nm };
    let limits = DragLimits {
        new_bearings: limits_of(&asked.new_bearings),
        run_in_bearings: asked.run_in_bearings.as_ref().map(limits_of),
    };
    let object = if asked.bearings_are_new { "/new_bearings" } else { "/run_in_bearings" };
    let reading =
        drag_reading(torque, &limits, asked.bearings_are_new, asked.crush_spacer).map_err(|error| {
            if matches!(error.field(), "min_nm" | "max_nm") { within(object)(error) } else { error.into() }
        })?;
    let figures = vec![
        figure(("rotating torque", "M", "N.m"), reading.torque_nm, ("F·r, or as read", "general mechanics")),
        figure(
            ("middle of the limits", "M_target", "N.m"),
            reading.target_nm,
            ("(M_min + M_max)/2", "own calculation"),
        ),
    ];
    let (low, high) = (shown(reading.limits.min_nm), shown(reading.limits.max_nm));
    let at = format!("{} N·m against {low} to {high} N·m", shown(reading.torque_nm));
    let (verdict, sentence) = match (reading.verdict, reading.renew_crush_spacer) {
        (DragVerdict::TooLoose, _) => {
            (DragWord::TooLoose, format!("{at}: too loose, tighten a little further and read again"))
        }
        (DragVerdict::Good, _) => (DragWord::Good, format!("{at}: good")),
        (DragVerdict::TooTight, false) => {
            (DragWord::TooTight, format!("{at}: too tight, the bearings would run hot; set them again"))
        }
        (DragVerdict::TooTight, true) => (
            DragWord::TooTight,
            format!(
                "{at}: too tight; a crush spacer cannot be let back, renew it and begin the setting again"
            ),
        ),
    };
    let result = BearingDragResult {
        torque_nm: reading.torque_nm,
        target_nm: reading.target_nm,
        verdict,
        renew_crush_spacer: reading.renew_crush_spacer,
        sentence,
    };
    Ok(CalculationSheet::new(
        "bearing-drag",
        asked.clone(),
        result,
        figures,
        &[Hazard::Press, Hazard::VehicleOnStands],
    ))
}
