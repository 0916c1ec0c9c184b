//! Crown-wheel backlash and side-bearing preload by moving shims from one side to the other.

use crate::bad_input::BadInput;
use crate::bounds::{self, Bound};

/// What was measured and what is wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SideBearingSetting {
    /// Shim behind the bearing on the crown wheel's back: thicker brings the crown wheel nearer to the pinion.
    pub crown_side_shim_mm: f64,
    /// Shim behind the other bearing.
    pub other_side_shim_mm: f64,
    /// Backlash measured at the outer diameter of the crown wheel.
    pub measured_backlash_mm: f64,
    /// Backlash wanted.
    pub wanted_backlash_mm: f64,
    /// End float of the differential with these shims (nought if already tight).
    pub end_float_mm: f64,
    /// Preload wanted, as shim beyond no float.
    pub preload_mm: f64,
    /// Pressure angle of the drive side.
    pub pressure_angle_deg: f64,
    /// Pitch angle of the crown wheel; atan(i) for shafts at right angles without offset.
    pub crown_pitch_angle_deg: f64,
}

/// New shims and what they do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SideShims {
    /// New shim on the crown side.
    pub crown_side_mm: f64,
    /// New shim on the other side.
    pub other_side_mm: f64,
    /// What moved from the other side to the crown side; negative the other way.
    pub moved_mm: f64,
    /// Backlash a millimetre moved takes away: 2·tan α·sin Γ, about 0.7.
    pub backlash_per_mm: f64,
}

/// Shims that give backlash and preload. Moving Δ towards the pinion takes 2·Δ·tan α·sin Γ of backlash (own
/// calculation from the bevel's equivalent gear; the trade's rule is 0.7 mm a millimetre, common practice, no source).
/// The preload is added on the side away from the crown wheel, so that the backlash stays; measure it with the float
/// taken up towards that side.
///
/// # Errors
/// A figure out of range, or a shim that would have to be thinner than nothing.
pub fn side_shims(setting: &SideBearingSetting) -> Result<SideShims, BadInput> {
    let shim = Bound { least: 0.0, most: 100.0, unit: "mm" };
    let crown = shim.check("crown_side_shim_mm", setting.crown_side_shim_mm)?;
    let other = shim.check("other_side_shim_mm", setting.other_side_shim_mm)?;
    let play = Bound { least: 0.0, most: 5.0, unit: "mm" };
    let measured = play.check("measured_backlash_mm", setting.measured_backlash_mm)?;
    let wanted = play.check("wanted_backlash_mm", setting.wanted_backlash_mm)?;
    let float = play.check("end_float_mm", setting.end_float_mm)?;
    let preload = bounds::DEVIATION.check("preload_mm", setting.preload_mm)?;
    let alpha = bounds::PRESSURE_ANGLE.check("pressure_angle_deg", setting.pressure_angle_deg)?;
    let gamma = Bound { least: 30.0, most: 90.0, unit: "deg" }
        .check("crown_pitch_angle_deg", setting.crown_pitch_angle_deg)?;
    let per_mm = 2.0 * alpha.to_radians().tan() * gamma.to_radians().sin();
    let moved = (measured - wanted) / per_mm;
    let crown_side_mm = crown + moved;
    let other_side_mm = other - moved + float + preload;
    shim.check("crown_side_shim_mm", crown_side_mm)?;
    shim.check("other_side_shim_mm", other_side_mm)?;
    Ok(SideShims { crown_side_mm, other_side_mm, moved_mm: moved, backlash_per_mm: per_mm })
}

#[cfg(test)]
mod tests {
    use super::*;

    const SETTING: SideBearingSetting = SideBearingSetting {
        crown_side_shim_mm: 1.2,
        other_side_shim_mm: 1.5,
        measured_backlash_mm: 0.30,
        wanted_backlash_mm: 0.20,
        end_float_mm: 0.10,
        preload_mm: 0.06,
        pressure_angle_deg: 20.0,
        crown_pitch_angle_deg: 76.3,
    };

    #[test]
    fn the_trades_rule_of_0_7_comes_out() {
        let got = side_shims(&SETTING).unwrap();
        assert!((got.backlash_per_mm - 0.7).abs() < 0.02, "{got:?}");
        assert!(got.moved_mm > 0.0, "too much backlash: the crown wheel moves towards the pinion");
    }

    #[test]
    fn only_float_and_preload_change_the_sum() {
        let got = side_shims(&SETTING).unwrap();
        assert!((got.crown_side_mm + got.other_side_mm - (1.2 + 1.5 + 0.16)).abs() < 1e-12);
    }

    #[test]
    fn a_shim_cannot_be_thinner_than_nothing() {
        let thin =
            SideBearingSetting { other_side_shim_mm: 0.0, end_float_mm: 0.0, preload_mm: 0.0, ..SETTING };
        assert_eq!(side_shims(&thin).unwrap_err().field(), "other_side_shim_mm");
    }
}
