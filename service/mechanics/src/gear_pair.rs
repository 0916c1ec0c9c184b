//! Geometry of an external pair on parallel shafts (ISO 21771): from the shifts to the centre distance and back.

use std::f64::consts::PI;

use crate::bad_input::BadInput;
use crate::bounds;
use crate::gear::{BasicRack, ToothSystem, checked_teeth};
use crate::involute::{inverse_involute, involute};

/// What a pair becomes when its profile shifts are given and it runs without backlash.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PairGeometry {
    /// Centre distance a without backlash.
    pub centre_distance_mm: f64,
    /// Working transverse pressure angle α_wt.
    pub working_pressure_angle_rad: f64,
    /// Centre distance modification y = (a − a_0)/m_n.
    pub centre_modification: f64,
    /// Tip shortening k that was applied, in normal modules.
    pub tip_shortening: f64,
    /// Reference diameters d.
    pub reference_diameters_mm: [f64; 2],
    /// Base diameters d_b.
    pub base_diameters_mm: [f64; 2],
    /// Working pitch diameters d_w.
    pub working_diameters_mm: [f64; 2],
    /// Tip diameters d_a.
    pub tip_diameters_mm: [f64; 2],
    /// Root diameters d_f.
    pub root_diameters_mm: [f64; 2],
    /// Tip clearance at the root of each gear.
    pub tip_clearances_mm: [f64; 2],
    /// Transverse contact ratio ε_α.
    pub contact_ratio: f64,
}

/// What a pair must become at a given centre distance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorkingPair {
    /// Reference centre distance a_0 = m_t(z1 + z2)/2.
    pub reference_centre_distance_mm: f64,
    /// Working transverse pressure angle, cos α_wt = a_0·cos α_t/a.
    pub working_pressure_angle_rad: f64,
    /// Sum of profile shifts without backlash.
    pub sum_of_shifts: f64,
    /// Centre distance modification y.
    pub centre_modification: f64,
    /// Working pitch diameters, d_w1 = 2a·z1/(z1 + z2).
    pub working_diameters_mm: [f64; 2],
}

/// Transverse contact ratio from the circles of a pair:
/// ε_α = \[√(d_a1² − d_b1²)/2 + √(d_a2² − d_b2²)/2 − a·sin α_wt]/p_bt.
///
/// # Errors
/// A diameter out of range, or a tip circle below its base circle.
pub fn transverse_contact_ratio(
    tip_diameters_mm: [f64; 2],
    base_diameters_mm: [f64; 2],
    centre_distance_mm: f64,
    working_pressure_angle_rad: f64,
    transverse_base_pitch_mm: f64,
) -> Result<f64, BadInput> {
    let distance = bounds::CENTRE_DISTANCE.check("centre_distance_mm", centre_distance_mm)?;
    let pitch = bounds::LENGTH.check("transverse_base_pitch_mm", transverse_base_pitch_mm)?;
    let angle_bound = bounds::Bound { least: 0.0, most: 1.5, unit: "rad" };
    let angle = angle_bound.check("working_pressure_angle_rad", working_pressure_angle_rad)?;
    let mut length = -distance * angle.sin();
    for (tip, base) in tip_diameters_mm.into_iter().zip(base_diameters_mm) {
        let tip = bounds::DIAMETER.check("tip_diameter_mm", tip)?;
        let base = bounds::DIAMETER.check("base_diameter_mm", base)?;
        if tip < base {
            return Err(BadInput::Contradiction {
                field: "tip_diameter_mm",
                problem: "the tip circle lies below the base circle",
            });
        }
        length += (tip * tip - base * base).sqrt() / 2.0;
    }
    Ok(length / pitch)
}

/// Overlap ratio ε_β = b·sin β/(π·m_n).
///
/// # Errors
/// A width out of range.
pub fn overlap_ratio(system: &ToothSystem, common_width_mm: f64) -> Result<f64, BadInput> {
    let width = bounds::LENGTH.check("common_width_mm", common_width_mm)?;
    Ok(width * system.helix_angle_rad.sin() / (PI * system.normal_module_mm))
}

/// The pair that two gears with given shifts make: inv α_wt = inv α_t + 2·Σx·tan α_n/(z1 + z2),
/// a = a_0·cos α_t/cos α_wt; tips shortened by k = Σx − y if asked for, so that the rack's clearance stays.
///
/// # Errors
/// A figure out of range, or shifts so negative that no such pair exists.
pub fn pair_from_shifts(
    system: &ToothSystem,
    tooth_counts: [u32; 2],
    profile_shifts: [f64; 2],
    rack: &BasicRack,
    shorten_tips: bool,
) -> Result<PairGeometry, BadInput> {
    let teeth = checked_pair(tooth_counts)?;
    let shifts = [
        bounds::PROFILE_SHIFT.check("profile_shift_1", profile_shifts[0])?,
        bounds::PROFILE_SHIFT.check("profile_shift_2", profile_shifts[1])?,
    ];
    let sum = shifts[0] + shifts[1];
    let inv_working =
        system.inv_transverse_angle + 2.0 * sum * system.tan_normal_angle / (teeth[0] + teeth[1]);
    if inv_working <= 0.0 {
        return Err(BadInput::Contradiction {
            field: "profile_shift_1",
            problem: "the sum of profile shifts is too negative: the base circles would overlap",
        });
    }
    let angle = inverse_involute(inv_working);
    let reference = system.transverse_module_mm * (teeth[0] + teeth[1]) / 2.0;
    let distance = reference * system.cos_transverse_angle / angle.cos();
    let modification = (distance - reference) / system.normal_module_mm;
    let shortening = if shorten_tips { sum - modification } else { 0.0 };
    let each = |f: &dyn Fn(usize) -> f64| [f(0), f(1)];
    let tips = each(&|i| system.tip_diameter_mm(tooth_counts[i], shifts[i], rack, shortening));
    let roots = each(&|i| system.root_diameter_mm(tooth_counts[i], shifts[i], rack));
    let bases = each(&|i| system.base_diameter_mm(tooth_counts[i]));
    let pitch = system.transverse_base_pitch_mm;
    Ok(PairGeometry {
        centre_distance_mm: distance,
        working_pressure_angle_rad: angle,
        centre_modification: modification,
        tip_shortening: shortening,
        reference_diameters_mm: each(&|i| system.reference_diameter_mm(tooth_counts[i])),
        base_diameters_mm: bases,
        working_diameters_mm: each(&|i| 2.0 * distance * teeth[i] / (teeth[0] + teeth[1])),
        tip_diameters_mm: tips,
        root_diameters_mm: roots,
        tip_clearances_mm: [
            distance - tips[1] / 2.0 - roots[0] / 2.0,
            distance - tips[0] / 2.0 - roots[1] / 2.0,
        ],
        contact_ratio: transverse_contact_ratio(tips, bases, distance, angle, pitch)?,
    })
}

/// The working angle and the sum of shifts a centre distance asks for:
/// Σx = (z1 + z2)(inv α_wt − inv α_t)/(2·tan α_n).
///
/// # Errors
/// A figure out of range, or a centre distance below the base circles.
pub fn pair_at_centre_distance(
    system: &ToothSystem,
    tooth_counts: [u32; 2],
    centre_distance_mm: f64,
) -> Result<WorkingPair, BadInput> {
    let teeth = checked_pair(tooth_counts)?;
    let distance = bounds::CENTRE_DISTANCE.check("centre_distance_mm", centre_distance_mm)?;
    let sum_teeth = teeth[0] + teeth[1];
    let reference = system.transverse_module_mm * sum_teeth / 2.0;
    let cosine = reference * system.cos_transverse_angle / distance;
    if cosine >= 1.0 {
        return Err(BadInput::OutOfRange {
            field: "centre_distance_mm",
            value: distance,
            least: reference * system.cos_transverse_angle,
            most: bounds::CENTRE_DISTANCE.most,
            unit: "mm",
        });
    }
    let angle = cosine.acos();
    Ok(WorkingPair {
        reference_centre_distance_mm: reference,
        working_pressure_angle_rad: angle,
        sum_of_shifts: sum_teeth * (involute(angle) - system.inv_transverse_angle)
            / (2.0 * system.tan_normal_angle),
        centre_modification: (distance - reference) / system.normal_module_mm,
        working_diameters_mm: [2.0 * distance * teeth[0] / sum_teeth, 2.0 * distance * teeth[1] / sum_teeth],
    })
}

fn checked_pair(tooth_counts: [u32; 2]) -> Result<[f64; 2], BadInput> {
    Ok([checked_teeth("tooth_count_1", tooth_counts[0])?, checked_teeth("tooth_count_2", tooth_counts[1])?])
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_distance_below_the_base_circles_is_refused() {
        let system = ToothSystem::new(3.0, 20.0, 0.0).unwrap();
        let error = pair_at_centre_distance(&system, [20, 40], 80.0).unwrap_err();
        assert_eq!((error.field(), error.code()), ("centre_distance_mm", "out_of_range"));
    }

    #[test]
    fn no_teeth_are_no_gear() {
        let system = ToothSystem::new(3.0, 20.0, 0.0).unwrap();
        assert_eq!(pair_at_centre_distance(&system, [0, 40], 80.0).unwrap_err().field(), "tooth_count_1");
    }

    proptest! {
        #[test]
        fn shifts_and_distance_are_inverse(
            module in 0.3_f64..12.0, helix in 0.0_f64..40.0, z1 in 8_u32..80, z2 in 8_u32..120,
            x1 in -0.3_f64..0.8, x2 in -0.3_f64..0.8,
        ) {
            let system = ToothSystem::new(module, 20.0, helix).unwrap();
            if let Ok(pair) = pair_from_shifts(&system, [z1, z2], [x1, x2], &BasicRack::ISO_53_A, true) {
                let back = pair_at_centre_distance(&system, [z1, z2], pair.centre_distance_mm).unwrap();
                prop_assert!((back.sum_of_shifts - x1 - x2).abs() < 1e-8);
                // Shortened tips keep the rack's clearance at both roots.
                for clearance in pair.tip_clearances_mm {
                    prop_assert!((clearance - 0.25 * module).abs() < 1e-9 * module.max(1.0));
                }
            }
        }
    }
}
