//! Pitches, modules and diametral pitches of cylindrical gears.

use std::f64::consts::PI;

use crate::bad_input::BadInput;
use crate::bounds;

/// Millimetres in an inch.
pub const INCH_MM: f64 = 25.4;

/// Modules of series I of ISO 54. Which modules to 25 mm are standard agrees with a list that was read (the published value
/// `modules-iso-54`); which series each belongs to, and those above, are from memory.
pub const MODULES_FIRST_SERIES_MM: [f64; 18] =
    [1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 32.0, 40.0, 50.0];

/// Modules of series II of ISO 54, read and recalled as series I; 6.5 stands in brackets in the standard (from memory).
pub const MODULES_SECOND_SERIES_MM: [f64; 18] =
    [1.125, 1.375, 1.75, 2.25, 2.75, 3.5, 4.5, 5.5, 6.5, 7.0, 9.0, 11.0, 14.0, 18.0, 22.0, 28.0, 36.0, 45.0];

/// Diametral pitches in common use, coarse to fine (from memory).
pub const DIAMETRAL_PITCHES: [f64; 20] = [
    1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 24.0,
    32.0,
];

/// Module of a diametral pitch, m = 25.4/P.
///
/// # Errors
/// A pitch out of range.
pub fn module_of_diametral_pitch_mm(diametral_pitch_per_inch: f64) -> Result<f64, BadInput> {
    let pitch = bounds::DIAMETRAL_PITCH.check("diametral_pitch", diametral_pitch_per_inch)?;
    Ok(INCH_MM / pitch)
}

/// Diametral pitch of a module, P = 25.4/m.
///
/// # Errors
/// A module out of range.
pub fn diametral_pitch_of_module(module_mm: f64) -> Result<f64, BadInput> {
    Ok(INCH_MM / bounds::MODULE.check("module_mm", module_mm)?)
}

/// Base pitch of a spur tooth system, p_b = π·m·cos α (ISO 21771).
///
/// # Errors
/// A figure out of range.
pub fn base_pitch_mm(module_mm: f64, pressure_angle_deg: f64) -> Result<f64, BadInput> {
    let module = bounds::MODULE.check("module_mm", module_mm)?;
    let angle = bounds::PRESSURE_ANGLE.check("pressure_angle_deg", pressure_angle_deg)?;
    Ok(PI * module * angle.to_radians().cos())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn eight_diametral_pitch_is_module_3_175() {
        assert!((module_of_diametral_pitch_mm(8.0).unwrap() - 3.175).abs() < 1e-12);
        assert!((diametral_pitch_of_module(25.4).unwrap() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_negative_module_is_refused_by_name() {
        assert_eq!(base_pitch_mm(-1.0, 20.0).unwrap_err().field(), "module_mm");
        assert_eq!(base_pitch_mm(1.0, f64::NAN).unwrap_err().code(), "not_a_number");
    }
}
