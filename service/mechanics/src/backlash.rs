//! Backlash of a pair from its shifts, allowances and centre distance (ISO 21771).

use crate::bad_input::BadInput;
use crate::bounds;
use crate::gear::{ToothSystem, checked_teeth};

/// Backlash in its three directions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Backlash {
    /// Along the line of action in the transverse section, j_bt.
    pub base_transverse_mm: f64,
    /// Circumferential, on the working pitch circle: j_wt = j_bt/cos α_wt. What a dial gauge on the flank shows.
    pub circumferential_mm: f64,
    /// Normal to the flanks: j_bn = j_bt·cos β_b. What a feeler between the flanks shows.
    pub normal_mm: f64,
}

/// Exact backlash. Space minus teeth on the line of action: j_bt = p_bt − s_bt1 − s_bt2 + (d_b1 + d_b2)·inv α_wt,
/// which equals (d_b1 + d_b2)(inv α_wt − inv α_wt,tight). The allowances E_sn change the normal thicknesses.
///
/// # Errors
/// A figure out of range, or a centre distance below the base circles.
pub fn backlash(
    system: &ToothSystem,
    tooth_counts: [u32; 2],
    profile_shifts: [f64; 2],
    thickness_allowances_mm: [f64; 2],
    centre_distance_mm: f64,
) -> Result<Backlash, BadInput> {
    let distance = bounds::CENTRE_DISTANCE.check("centre_distance_mm", centre_distance_mm)?;
    let mut bases = 0.0;
    let mut teeth_on_line = 0.0;
    const FIELDS: [[&str; 3]; 2] = [
        ["tooth_count_1", "profile_shift_1", "thickness_allowance_1_mm"],
        ["tooth_count_2", "profile_shift_2", "thickness_allowance_2_mm"],
    ];
    for (i, fields) in FIELDS.iter().enumerate() {
        checked_teeth(fields[0], tooth_counts[i])?;
        let shift = bounds::PROFILE_SHIFT.check(fields[1], profile_shifts[i])?;
        let allowance = bounds::DEVIATION.check(fields[2], thickness_allowances_mm[i])?;
        bases += system.base_diameter_mm(tooth_counts[i]);
        teeth_on_line += system.base_thickness_mm(tooth_counts[i], shift)
            + allowance * base_share_of_normal_thickness(system);
    }
    let cosine = bases / (2.0 * distance);
    if cosine >= 1.0 {
        return Err(BadInput::OutOfRange {
            field: "centre_distance_mm",
            value: distance,
            least: bases / 2.0,
            most: bounds::CENTRE_DISTANCE.most,
            unit: "mm",
        });
    }
    let inv_working = (1.0 - cosine * cosine).sqrt() / cosine - cosine.acos();
    let base = system.transverse_base_pitch_mm - teeth_on_line + bases * inv_working;
    Ok(Backlash {
        base_transverse_mm: base,
        circumferential_mm: base / cosine,
        normal_mm: base * system.cos_base_helix,
    })
}

/// What one unit of normal thickness is worth on the base circle: cos α_t/cos β.
#[inline]
pub(crate) fn base_share_of_normal_thickness(system: &ToothSystem) -> f64 {
    system.cos_transverse_angle * system.transverse_module_mm / system.normal_module_mm
}

/// Linear estimate of circumferential and normal backlash from opening the centres by a small Δa:
/// j_t = 2·Δa·tan α, j_n = 2·Δa·sin α. Some 5 % high already at Δa of half a module.
///
/// # Errors
/// A figure out of range.
pub fn backlash_of_small_opening_mm(
    opening_mm: f64,
    pressure_angle_deg: f64,
) -> Result<(f64, f64), BadInput> {
    let opening = bounds::DEVIATION.check("opening_mm", opening_mm)?;
    let angle = bounds::PRESSURE_ANGLE.check("pressure_angle_deg", pressure_angle_deg)?.to_radians();
    Ok((2.0 * opening * angle.tan(), 2.0 * opening * angle.sin()))
}

/// Change of profile shift of one spur gear that gives a circumferential backlash:
/// Δx = −j_wt/(2·m·tan α)·cos α_w/cos α.
///
/// # Errors
/// A figure out of range.
pub fn shift_for_backlash(
    system: &ToothSystem,
    working_pressure_angle_deg: f64,
    circumferential_mm: f64,
) -> Result<f64, BadInput> {
    let angle = bounds::PRESSURE_ANGLE.check("working_pressure_angle_deg", working_pressure_angle_deg)?;
    let backlash = bounds::DEVIATION.check("circumferential_backlash_mm", circumferential_mm)?;
    Ok(-backlash * angle.to_radians().cos()
        / (2.0 * system.transverse_module_mm * system.tan_normal_angle * system.cos_transverse_angle))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::gear::BasicRack;
    use crate::gear_pair::pair_from_shifts;
    use proptest::prelude::*;

    #[test]
    fn thinner_teeth_give_their_thinning_as_backlash() {
        let system = ToothSystem::new(3.0, 20.0, 0.0).unwrap();
        let got = backlash(&system, [20, 40], [0.0, 0.0], [-0.05, -0.03], 90.0).unwrap();
        assert!((got.circumferential_mm - 0.08).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn the_tight_distance_has_no_backlash_and_a_shift_makes_it(
            module in 0.5_f64..8.0, helix in 0.0_f64..35.0, z1 in 12_u32..60, z2 in 12_u32..90,
            x1 in -0.2_f64..0.6, x2 in -0.2_f64..0.6,
        ) {
            let system = ToothSystem::new(module, 20.0, helix).unwrap();
            let Ok(pair) = pair_from_shifts(&system, [z1, z2], [x1, x2], &BasicRack::ISO_53_A, true) else {
                return Ok(());
            };
            let tight = backlash(&system, [z1, z2], [x1, x2], [0.0; 2], pair.centre_distance_mm).unwrap();
            prop_assert!(tight.base_transverse_mm.abs() < 1e-9 * module.max(1.0) * 100.0);
            let wanted = 0.1;
            let change =
                shift_for_backlash(&system, pair.working_pressure_angle_rad.to_degrees(), wanted).unwrap();
            let opened =
                backlash(&system, [z1, z2], [x1 + change, x2], [0.0; 2], pair.centre_distance_mm).unwrap();
            prop_assert!((opened.circumferential_mm - wanted).abs() < 1e-8);
        }
    }
}
