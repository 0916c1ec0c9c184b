//! The rotating torque of preloaded bearings against the limits of the unit.

use catalogue::Hazard;
use mechanics::bounds::TORQUE;
use mechanics::preload::{
    DragLimits, DragVerdict, TorqueLimits, drag_reading, torque_from_pull_nm, total_drag_nm,
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, field, within};
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
    /// Rotating torque of the side bearings alone: the answer then tells what the pinion shows with the crown wheel in.
    pub side_bearings_torque_nm: Option<f64>,
    /// Ratio of the axle, for that.
    pub axle_ratio: Option<f64>,
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
    /// What the pinion shows with the crown wheel in; null without the side bearings.
    pub total_torque_nm: Option<f64>,
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
    // Limits of the other bearings are held against their range too, though the reading is not.
    let both = [
        ("/new_bearings", Some(&limits.new_bearings)),
        ("/run_in_bearings", limits.run_in_bearings.as_ref()),
    ];
    for (object, limits) in both {
        for (name, value) in limits.into_iter().flat_map(|of| [("min_nm", of.min_nm), ("max_nm", of.max_nm)])
        {
            TORQUE.check(name, value).map_err(within(object))?;
        }
    }
    let object = if asked.bearings_are_new { "/new_bearings" } else { "/run_in_bearings" };
    let reading =
        drag_reading(torque, &limits, asked.bearings_are_new, asked.crush_spacer).map_err(|error| {
            if matches!(error.field(), "min_nm" | "max_nm") { within(object)(error) } else { error.into() }
        })?;
    let total = total(asked, torque)?;
    let mut figures = vec![
        figure(("rotating torque", "M", "N.m"), reading.torque_nm, ("F·r, or as read", "general mechanics")),
        figure(
            ("middle of the limits", "M_target", "N.m"),
            reading.target_nm,
            ("(M_min + M_max)/2", "own calculation"),
        ),
    ];
    let rule = ("M_pinion + M_side/i", "common practice, no source");
    figures.extend(total.map(|total| figure(("total at the pinion", "M_total", "N.m"), total, rule)));
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
        total_torque_nm: total,
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

fn total(asked: &BearingDragAsked, pinion_nm: f64) -> Result<Option<f64>, CalculationFault> {
    let (side, ratio) = match (asked.side_bearings_torque_nm, asked.axle_ratio) {
        (None, None) => return Ok(None),
        (Some(side), Some(ratio)) => (side, ratio),
        (side, _) => {
            let lacks = if side.is_some() { "axle_ratio" } else { "side_bearings_torque_nm" };
            let detail = "side_bearings_torque_nm and axle_ratio tell the total together";
            return Err(CalculationFault::at(format!("/{lacks}"), "contradiction", detail));
        }
    };
    let total = total_drag_nm(pinion_nm, side, ratio).map_err(|error| match error.field() {
        "side_nm" => field("/side_bearings_torque_nm")(error),
        "ratio" => field("/axle_ratio")(error),
        _ => field("/torque_nm")(error),
    })?;
    Ok(Some(total))
}
