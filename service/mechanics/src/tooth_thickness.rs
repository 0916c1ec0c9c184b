//! Tooth thickness on any circle, and its measures: span over teeth, size over pins or balls (ISO 21771).

use std::f64::consts::PI;

use crate::bad_input::BadInput;
use crate::bounds;
use crate::gear::{ToothSystem, checked_teeth};
use crate::involute::inverse_involute;

/// Transverse tooth thickness on a circle of diameter `diameter_mm`: s_yt = d_y(s_t/d + inv α_t − inv α_yt).
/// Negative beyond the circle where the flanks meet.
///
/// # Errors
/// A figure out of range, or a circle below the base circle.
pub fn thickness_at_diameter_mm(
    system: &ToothSystem,
    tooth_count: u32,
    profile_shift: f64,
    diameter_mm: f64,
) -> Result<f64, BadInput> {
    checked_teeth("tooth_count", tooth_count)?;
    let shift = bounds::PROFILE_SHIFT.check("profile_shift", profile_shift)?;
    let diameter = bounds::DIAMETER.check("diameter_mm", diameter_mm)?;
    if diameter < system.base_diameter_mm(tooth_count) {
        return Err(BadInput::Contradiction { field: "diameter_mm", problem: "lies below the base circle" });
    }
    Ok(thickness_at(system, tooth_count, shift, diameter))
}

/// The same for a circle that is known to lie on the involute.
#[inline]
pub(crate) fn thickness_at(system: &ToothSystem, tooth_count: u32, shift: f64, diameter: f64) -> f64 {
    let base = system.base_diameter_mm(tooth_count);
    let cosine = (base / diameter).min(1.0);
    let inv_at = (1.0 - cosine * cosine).sqrt() / cosine - cosine.acos();
    diameter * (system.base_thickness_mm(tooth_count, shift) / base - inv_at)
}

/// Number of teeth to span so that the measuring faces touch near the reference circle, at least 2
/// (k ≈ z·α_t/π + 0.5, spur form; common practice, no source for helical gears).
///
/// # Errors
/// A tooth count out of range.
pub fn span_teeth(system: &ToothSystem, tooth_count: u32, profile_shift: f64) -> Result<u32, BadInput> {
    let teeth = checked_teeth("tooth_count", tooth_count)?;
    let shift = bounds::PROFILE_SHIFT.check("profile_shift", profile_shift)?;
    let cos_helix = system.helix_angle_rad.cos();
    let virtual_teeth = teeth / (cos_helix * cos_helix * cos_helix);
    let spanned = virtual_teeth * system.normal_pressure_angle_rad / PI
        + 0.5
        + 2.0 * shift / (PI * system.normal_pressure_angle_rad.tan());
    // The clamp keeps the number inside u32 and below the teeth there are.
    Ok(spanned.round().clamp(2.0, (teeth - 1.0).max(2.0)) as u32)
}

/// Span over k teeth: W_k = m_n·cos α_n[(k − 0.5)π + z·inv α_t] + 2x·m_n·sin α_n (ISO 21771).
///
/// # Errors
/// A figure out of range, or fewer teeth on the gear than spanned.
pub fn span_mm(
    system: &ToothSystem,
    tooth_count: u32,
    profile_shift: f64,
    spanned: u32,
) -> Result<f64, BadInput> {
    let teeth = checked_teeth("tooth_count", tooth_count)?;
    let shift = bounds::PROFILE_SHIFT.check("profile_shift", profile_shift)?;
    if spanned == 0 || spanned >= tooth_count {
        return Err(BadInput::OutOfRange {
            field: "spanned_teeth",
            value: f64::from(spanned),
            least: 1.0,
            most: teeth - 1.0,
            unit: "1",
        });
    }
    let (sine, cosine) = system.normal_pressure_angle_rad.sin_cos();
    Ok(system.normal_module_mm
        * (cosine * ((f64::from(spanned) - 0.5) * PI + teeth * system.inv_transverse_angle)
            + 2.0 * shift * sine))
}

/// Profile shift that a span over k teeth tells.
///
/// # Errors
/// A figure out of range.
pub fn shift_from_span(
    system: &ToothSystem,
    tooth_count: u32,
    spanned: u32,
    span: f64,
) -> Result<f64, BadInput> {
    let measured = bounds::LENGTH.check("span_mm", span)?;
    let unshifted = span_mm(system, tooth_count, 0.0, spanned)?;
    Ok((measured - unshifted) / (2.0 * system.normal_module_mm * system.normal_pressure_angle_rad.sin()))
}

/// Size over two pins or balls of diameter D_M in opposite spaces (nearest to opposite for odd z):
/// inv α_Kt = inv α_t + D_M/(z·m_n·cos α_n) − (π/2 − 2x·tan α_n)/z, d_K = d_b/cos α_Kt,
/// M = d_K + D_M (even z), d_K·cos(π/2z) + D_M (odd z).
///
/// # Errors
/// A figure out of range, or a pin that would sink below the base circle.
pub fn size_over_pins_mm(
    system: &ToothSystem,
    tooth_count: u32,
    profile_shift: f64,
    pin_diameter_mm: f64,
) -> Result<f64, BadInput> {
    let teeth = checked_teeth("tooth_count", tooth_count)?;
    let shift = bounds::PROFILE_SHIFT.check("profile_shift", profile_shift)?;
    let pin = bounds::DIAMETER.check("pin_diameter_mm", pin_diameter_mm)?;
    let normal_base = system.normal_module_mm * system.normal_pressure_angle_rad.cos();
    let inv_centre = system.inv_transverse_angle + pin / (teeth * normal_base)
        - (PI / 2.0 - 2.0 * shift * system.tan_normal_angle) / teeth;
    if inv_centre <= 0.0 {
        return Err(BadInput::Contradiction {
            field: "pin_diameter_mm",
            problem: "the pin is too small: it would sink below the base circle",
        });
    }
    let centre = system.base_diameter_mm(tooth_count) / inverse_involute(inv_centre).cos();
    let across = if tooth_count.is_multiple_of(2) { centre } else { centre * (PI / (2.0 * teeth)).cos() };
    let size = across + pin;
    if size.is_finite() && size <= bounds::DIAMETER.most {
        Ok(size)
    } else {
        Err(BadInput::Contradiction {
            field: "pin_diameter_mm",
            problem: "the pin is too large for this tooth",
        })
    }
}

/// Profile shift that a size over two pins tells.
///
/// # Errors
/// A figure out of range, or a size that no tooth of this system can give.
pub fn shift_from_pins(
    system: &ToothSystem,
    tooth_count: u32,
    pin_diameter_mm: f64,
    size_mm: f64,
) -> Result<f64, BadInput> {
    let teeth = checked_teeth("tooth_count", tooth_count)?;
    let pin = bounds::DIAMETER.check("pin_diameter_mm", pin_diameter_mm)?;
    let size = bounds::DIAMETER.check("size_over_pins_mm", size_mm)?;
    let across = if tooth_count.is_multiple_of(2) { 1.0 } else { (PI / (2.0 * teeth)).cos() };
    let cosine = system.base_diameter_mm(tooth_count) * across / (size - pin);
    if !(cosine > 0.0 && cosine < 1.0) {
        return Err(BadInput::Contradiction {
            field: "size_over_pins_mm",
            problem: "puts the pin centre below the base circle",
        });
    }
    let inv_centre = (1.0 - cosine * cosine).sqrt() / cosine - cosine.acos();
    let normal_base = system.normal_module_mm * system.normal_pressure_angle_rad.cos();
    let space = inv_centre - system.inv_transverse_angle - pin / (teeth * normal_base);
    Ok((space * teeth + PI / 2.0) / (2.0 * system.tan_normal_angle))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_span_over_the_whole_gear_is_refused() {
        let system = ToothSystem::new(3.0, 20.0, 0.0).unwrap();
        assert_eq!(span_mm(&system, 20, 0.0, 20).unwrap_err().field(), "spanned_teeth");
        assert_eq!(span_mm(&system, 20, 0.0, 0).unwrap_err().field(), "spanned_teeth");
    }

    #[test]
    fn a_needle_is_no_measuring_pin() {
        let system = ToothSystem::new(3.0, 20.0, 0.0).unwrap();
        assert!(size_over_pins_mm(&system, 20, -0.5, 0.2).is_err());
    }

    /// Shortest way from a point on the middle of a space to the flank beside it, by looking along the flank.
    fn distance_to_flank(system: &ToothSystem, teeth: u32, shift: f64, centre_radius: f64) -> f64 {
        let base = system.base_diameter_mm(teeth) / 2.0;
        let half = system.base_thickness_mm(teeth, shift) / (2.0 * base);
        let space = PI / f64::from(teeth);
        let (x, y) = (centre_radius * space.cos(), centre_radius * space.sin());
        (0..200_000)
            .map(|step| {
                let radius = base * (1.0 + f64::from(step) * 2e-6);
                let angle = half - crate::involute::involute((base / radius).acos());
                (radius * angle.cos() - x).hypot(radius * angle.sin() - y)
            })
            .fold(f64::INFINITY, f64::min)
    }

    #[test]
    fn a_pin_touches_both_flanks() {
        for (module, teeth, shift) in [(3.0, 24, 0.4), (2.5, 31, 0.0), (4.0, 18, 0.2)] {
            let system = ToothSystem::new(module, 20.0, 0.0).unwrap();
            let pin = 1.728 * module;
            let size = size_over_pins_mm(&system, teeth, shift, pin).unwrap();
            let across = if teeth % 2 == 0 { 1.0 } else { (PI / (2.0 * f64::from(teeth))).cos() };
            let centre_radius = (size - pin) / across / 2.0;
            let gap = distance_to_flank(&system, teeth, shift, centre_radius);
            assert!((gap - pin / 2.0).abs() < 1e-6, "{teeth}: {gap} {}", pin / 2.0);
        }
    }

    proptest! {
        #[test]
        fn a_span_tells_the_shift_back(
            module in 0.5_f64..10.0, helix in 0.0_f64..40.0, teeth in 12_u32..120, shift in -0.5_f64..1.0,
        ) {
            let system = ToothSystem::new(module, 20.0, helix).unwrap();
            let spanned = span_teeth(&system, teeth, shift).unwrap();
            let span = span_mm(&system, teeth, shift, spanned).unwrap();
            prop_assert!((shift_from_span(&system, teeth, spanned, span).unwrap() - shift).abs() < 1e-9);
        }

        #[test]
        fn pins_tell_the_shift_back(
            module in 0.5_f64..10.0, helix in 0.0_f64..40.0, teeth in 12_u32..120, shift in -0.3_f64..0.8,
        ) {
            let system = ToothSystem::new(module, 20.0, helix).unwrap();
            let size = size_over_pins_mm(&system, teeth, shift, 1.728 * module).unwrap();
            let back = shift_from_pins(&system, teeth, 1.728 * module, size).unwrap();
            prop_assert!((back - shift).abs() < 1e-7, "{back} {shift}");
        }

        #[test]
        fn one_more_tooth_spans_one_more_base_pitch(module in 0.5_f64..10.0, teeth in 12_u32..120) {
            let system = ToothSystem::new(module, 20.0, 15.0).unwrap();
            let step = span_mm(&system, teeth, 0.2, 4).unwrap() - span_mm(&system, teeth, 0.2, 3).unwrap();
            prop_assert!((step - system.normal_base_pitch_mm).abs() < 1e-9);
        }
    }
}
