//! Undercut by a rack-type cutter (ISO 21771).

use crate::bad_input::BadInput;
use crate::bounds;
use crate::gear::{BasicRack, ToothSystem, checked_teeth};

/// Smallest tooth count, not rounded, that a rack cuts without undercut:
/// z_min = 2·cos β·(h_aP* − x)/sin²α_t.
///
/// # Errors
/// A profile shift out of range.
pub fn least_teeth_without_undercut(
    system: &ToothSystem,
    profile_shift: f64,
    rack: &BasicRack,
) -> Result<f64, BadInput> {
    let shift = bounds::PROFILE_SHIFT.check("profile_shift", profile_shift)?;
    let sine_squared = 1.0 - system.cos_transverse_angle * system.cos_transverse_angle;
    Ok(2.0 * system.helix_angle_rad.cos() * (rack.form_dedendum - shift) / sine_squared)
}

/// Least profile shift that keeps a gear free of undercut: x_min = h_aP* − z·sin²α_t/(2·cos β).
///
/// # Errors
/// A tooth count out of range.
pub fn least_shift_without_undercut(
    system: &ToothSystem,
    tooth_count: u32,
    rack: &BasicRack,
) -> Result<f64, BadInput> {
    checked_teeth("tooth_count", tooth_count)?;
    Ok(least_shift(system, tooth_count, rack))
}

#[inline]
pub(crate) fn least_shift(system: &ToothSystem, tooth_count: u32, rack: &BasicRack) -> f64 {
    let sine_squared = 1.0 - system.cos_transverse_angle * system.cos_transverse_angle;
    // m_n/m_t is cos β.
    let cos_helix = system.normal_module_mm / system.transverse_module_mm;
    rack.form_dedendum - f64::from(tooth_count) * sine_squared / (2.0 * cos_helix)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_limit_of_seventeen_teeth_is_met() {
        // Textbook value 17.097 for 20°, from memory.
        let system = ToothSystem::new(1.0, 20.0, 0.0).unwrap();
        let least = least_teeth_without_undercut(&system, 0.0, &BasicRack::ISO_53_A).unwrap();
        assert!((least - 17.097).abs() < 1e-3);
        assert!(least_shift(&system, 17, &BasicRack::ISO_53_A) > 0.0);
        assert!(least_shift(&system, 18, &BasicRack::ISO_53_A) < 0.0);
    }
}
