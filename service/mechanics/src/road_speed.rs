//! Engine speed over road speed, and what a changed ratio does to it.

use crate::bad_input::BadInput;
use crate::bounds::{self, Bound};

const CIRCUMFERENCE: Bound = Bound { least: 0.1, most: 20.0, unit: "m" };
const SLIP: Bound = Bound { least: 0.0, most: 0.9, unit: "1" };

/// Engine speed at a road speed: n\[1/min] = v\[km/h]·1000·i_tot/(60·U\[m]·(1 − slip)).
///
/// # Errors
/// A figure out of range.
pub fn engine_speed(
    road_speed_kmh: f64,
    total_ratio: f64,
    rolling_circumference_m: f64,
    slip: f64,
) -> Result<f64, BadInput> {
    let speed = bounds::ROAD_SPEED.check("road_speed_kmh", road_speed_kmh)?;
    let ratio = bounds::RATIO.check("total_ratio", total_ratio)?;
    let around = CIRCUMFERENCE.check("rolling_circumference_m", rolling_circumference_m)?;
    let slip = SLIP.check("slip", slip)?;
    Ok(speed * 1000.0 / 60.0 * ratio / (around * (1.0 - slip)))
}

/// Road speed in km/h at an engine speed: v = n·U·60/(1000·i_tot)·(1 − slip).
///
/// # Errors
/// A figure out of range.
pub fn road_speed(
    engine_speed_per_min: f64,
    total_ratio: f64,
    rolling_circumference_m: f64,
    slip: f64,
) -> Result<f64, BadInput> {
    let speed = bounds::SHAFT_SPEED.check("engine_speed_per_min", engine_speed_per_min)?;
    let ratio = bounds::RATIO.check("total_ratio", total_ratio)?;
    let around = CIRCUMFERENCE.check("rolling_circumference_m", rolling_circumference_m)?;
    let slip = SLIP.check("slip", slip)?;
    Ok(speed * around * 60.0 / (1000.0 * ratio) * (1.0 - slip))
}

/// What a changed ratio does at the same road speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RatioChange {
    /// Engine speed before, in revolutions a minute.
    pub engine_speed_before: f64,
    /// Engine speed after.
    pub engine_speed_after: f64,
    /// Revolutions fewer; negative if more.
    pub drop: f64,
    /// (1 − i_new/i_old)·100.
    pub drop_percent: f64,
}

/// The change from one ratio to another at the same road speed, known by the engine speed before. A gear, a final
/// drive and the inverse of a tyre's circumference enter alike.
///
/// # Errors
/// A figure out of range.
pub fn ratio_change(engine_speed_before: f64, old: f64, new: f64) -> Result<RatioChange, BadInput> {
    let before = bounds::SHAFT_SPEED.check("engine_speed_before", engine_speed_before)?;
    let old = bounds::RATIO.check("old_ratio", old)?;
    let new = bounds::RATIO.check("new_ratio", new)?;
    let after = before * new / old;
    Ok(RatioChange {
        engine_speed_before: before,
        engine_speed_after: after,
        drop: before - after,
        drop_percent: (1.0 - new / old) * 100.0,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_longer_top_gear_saves_some_five_hundred_revolutions() {
        // Common practice, no source: 0.838 changed for 0.7101, "some 500 fewer" at 3000.
        let change = ratio_change(3000.0, 0.838, 0.7101).unwrap();
        assert!((change.engine_speed_after - 2542.0).abs() < 0.5, "{change:?}");
        assert!((change.drop - 500.0).abs() < 60.0);
    }

    proptest! {
        #[test]
        fn the_two_speeds_are_inverse(speed in 1.0_f64..200.0, ratio in 0.5_f64..40.0, around in 1.0_f64..5.0) {
            let engine = engine_speed(speed, ratio, around, 0.03).unwrap();
            prop_assert!((road_speed(engine, ratio, around, 0.03).unwrap() / speed - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn no_circumference_is_refused() {
        assert_eq!(engine_speed(80.0, 4.0, 0.0, 0.0).unwrap_err().field(), "rolling_circumference_m");
        assert_eq!(road_speed(f64::NAN, 4.0, 2.0, 0.0).unwrap_err().field(), "engine_speed_per_min");
    }
}
