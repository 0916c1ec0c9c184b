//! Bearing preload: the shim or spacer from the measured end float, and the drag torque of a crush spacer.

use crate::bad_input::BadInput;
use crate::bounds::{self, Bound};

/// Where the shim sits decides the sense of a change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ShimPlace {
    /// Between the cones or beside a solid spacer: a thinner shim tightens.
    BetweenCones,
    /// Behind a cup or under a cover that presses: a thicker shim tightens.
    BehindCup,
}

impl ShimPlace {
    /// Stable word for files and interfaces.
    pub fn code(self) -> &'static str {
        match self {
            Self::BetweenCones => "shim_between_cones_or_spacer",
            Self::BehindCup => "shim_behind_cup_or_cover_side",
        }
    }
}

/// The shim that gives the preload.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PreloadShim {
    /// New thickness.
    pub thickness_mm: f64,
    /// New less trial.
    pub change_mm: f64,
}

/// Shim for a preload from a trial build: between cones s = s_trial − (float + preload), behind a cup
/// s = s_trial + (float + preload). A wanted end float is a negative preload. Common practice of axle service.
///
/// # Errors
/// A figure out of range, or a shim that would have to be thinner than nothing.
pub fn shim_for_preload(
    place: ShimPlace,
    trial_mm: f64,
    end_float_mm: f64,
    preload_mm: f64,
) -> Result<PreloadShim, BadInput> {
    let trial = Bound { least: 0.0, most: 1000.0, unit: "mm" }.check("trial_shim_mm", trial_mm)?;
    let float = bounds::DEVIATION.check("end_float_mm", end_float_mm)?;
    let preload = bounds::DEVIATION.check("preload_mm", preload_mm)?;
    let change = match place {
        ShimPlace::BetweenCones => -(float + preload),
        ShimPlace::BehindCup => float + preload,
    };
    let thickness = trial + change;
    if thickness < 0.0 {
        return Err(BadInput::OutOfRange {
            field: "trial_shim_mm",
            value: trial,
            least: -change,
            most: 1000.0,
            unit: "mm",
        });
    }
    Ok(PreloadShim { thickness_mm: thickness, change_mm: change })
}

/// Limits of a rotating torque.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TorqueLimits {
    /// Least.
    pub min_nm: f64,
    /// Most.
    pub max_nm: f64,
}

/// Limits of one unit, supplied by its data.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DragLimits {
    /// With new bearings.
    pub new_bearings: TorqueLimits,
    /// With run-in bearings, usually about half; none if the data name none.
    pub run_in_bearings: Option<TorqueLimits>,
}

/// What a measured drag asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DragVerdict {
    /// Tighten the nut a little further.
    TooLoose,
    /// Within limits.
    Good,
    /// Too tight. A crush spacer cannot be let back: it must be replaced and the setting begun again.
    TooTight,
}

impl DragVerdict {
    /// Stable word for files and interfaces.
    pub fn code(self) -> &'static str {
        match self {
            Self::TooLoose => "too_loose",
            Self::Good => "good",
            Self::TooTight => "too_tight",
        }
    }
}

/// A drag reading and what to do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DragReading {
    /// Rotating torque.
    pub torque_nm: f64,
    /// The limits that apply.
    pub limits: TorqueLimits,
    /// Middle of the limits, to aim for.
    pub target_nm: f64,
    /// Verdict.
    pub verdict: DragVerdict,
    /// True if a crush spacer must be renewed.
    pub renew_crush_spacer: bool,
}

/// Rotating torque from the pull of a spring scale on a cord: M = F·r, read while turning, not at the start, with the
/// seal out.
///
/// # Errors
/// A figure out of range.
pub fn torque_from_pull_nm(pull_n: f64, radius_mm: f64) -> Result<f64, BadInput> {
    let pull = bounds::FORCE.check("pull_n", pull_n)?;
    let radius = bounds::LENGTH.check("radius_mm", radius_mm)?;
    Ok(pull * radius / 1000.0)
}

/// Holds a rotating torque against the limits of new or run-in bearings.
///
/// # Errors
/// A figure out of range, limits the wrong way round, or no limits for run-in bearings.
pub fn drag_reading(
    torque_nm: f64,
    limits: &DragLimits,
    bearings_are_new: bool,
    crush_spacer: bool,
) -> Result<DragReading, BadInput> {
    let torque = bounds::TORQUE.check("torque_nm", torque_nm)?;
    let applying = if bearings_are_new {
        limits.new_bearings
    } else {
        limits.run_in_bearings.ok_or(BadInput::Contradiction {
            field: "run_in_bearings",
            problem: "the unit's data name no drag for run-in bearings",
        })?
    };
    let min_nm = bounds::TORQUE.check("min_nm", applying.min_nm)?;
    let max_nm = bounds::TORQUE.check("max_nm", applying.max_nm)?;
    if min_nm > max_nm {
        return Err(BadInput::Contradiction { field: "min_nm", problem: "must not be above max_nm" });
    }
    let verdict = if torque < min_nm {
        DragVerdict::TooLoose
    } else if torque > max_nm {
        DragVerdict::TooTight
    } else {
        DragVerdict::Good
    };
    Ok(DragReading {
        torque_nm: torque,
        limits: applying,
        target_nm: (min_nm + max_nm) / 2.0,
        verdict,
        renew_crush_spacer: crush_spacer && verdict == DragVerdict::TooTight,
    })
}

/// Drag seen at the pinion with the crown wheel in: M_pinion + M_side/i (common practice, no source).
///
/// # Errors
/// A figure out of range.
pub fn total_drag_nm(pinion_nm: f64, side_nm: f64, ratio: f64) -> Result<f64, BadInput> {
    let pinion = bounds::TORQUE.check("pinion_nm", pinion_nm)?;
    let side = bounds::TORQUE.check("side_nm", side_nm)?;
    Ok(pinion + side / bounds::RATIO.check("ratio", ratio)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    const LIMITS: DragLimits = DragLimits {
        new_bearings: TorqueLimits { min_nm: 1.6, max_nm: 2.4 },
        run_in_bearings: Some(TorqueLimits { min_nm: 0.8, max_nm: 1.2 }),
    };

    #[test]
    fn too_close_runs_hot_and_too_far_is_loose() {
        // Common practice, no source: bearings too close seize, too far apart leave the pinion loose in and out.
        let float_left = shim_for_preload(ShimPlace::BetweenCones, 1.5, 0.2, 0.05).unwrap();
        assert!((float_left.thickness_mm - 1.25).abs() < 1e-12, "more preload needs a thinner spacer shim");
        let tight = drag_reading(3.0, &LIMITS, true, true).unwrap();
        assert_eq!((tight.verdict, tight.renew_crush_spacer), (DragVerdict::TooTight, true));
        assert_eq!(drag_reading(1.0, &LIMITS, true, true).unwrap().verdict, DragVerdict::TooLoose);
    }

    #[test]
    fn run_in_bearings_have_their_own_limits() {
        assert_eq!(drag_reading(1.0, &LIMITS, false, false).unwrap().verdict, DragVerdict::Good);
        let unknown = DragLimits { run_in_bearings: None, ..LIMITS };
        assert_eq!(drag_reading(1.0, &unknown, false, false).unwrap_err().field(), "run_in_bearings");
    }

    #[test]
    fn pull_and_side_drag_add_up() {
        assert!((torque_from_pull_nm(20.0, 50.0).unwrap() - 1.0).abs() < 1e-12);
        assert!((total_drag_nm(1.0, 2.0, 4.0).unwrap() - 1.5).abs() < 1e-12);
        assert!(shim_for_preload(ShimPlace::BetweenCones, 0.1, 0.5, 0.1).is_err());
    }
}
