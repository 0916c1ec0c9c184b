//! What torque a spline carries, and a new part's capacity against the old one's.

use std::f64::consts::PI;

use crate::bad_input::BadInput;
use crate::bounds::{self, Bound};

const TEETH: Bound = Bound { least: 1.0, most: 500.0, unit: "1" };
const HEIGHT: Bound = Bound { least: 0.01, most: 100.0, unit: "mm" };
const PRESSURE: Bound = Bound { least: 1e-6, most: 1e5, unit: "N/mm2" };

/// What carries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CarryingSpline {
    /// Teeth that stand and engage: all of them, or those of the groups.
    pub carrying_teeth: u32,
    /// Bearing height of a flank.
    pub flank_height_mm: f64,
    /// Engaged length.
    pub engaged_length_mm: f64,
    /// Mean radius of the flanks.
    pub mean_radius_mm: f64,
    /// Share of the teeth that bears by workmanship: 1 for all alike, 0.75 often quoted.
    pub load_share: f64,
}

impl CarryingSpline {
    /// Torque a unit of flank pressure carries, k·n·h·L·r_m, in N·mm per N/mm².
    fn torque_per_pressure(&self) -> Result<f64, BadInput> {
        let teeth = TEETH.check("carrying_teeth", f64::from(self.carrying_teeth))?;
        let height = HEIGHT.check("flank_height_mm", self.flank_height_mm)?;
        let length = bounds::LENGTH.check("engaged_length_mm", self.engaged_length_mm)?;
        let radius = bounds::LENGTH.check("mean_radius_mm", self.mean_radius_mm)?;
        let share = Bound { least: 0.05, most: 1.0, unit: "1" }.check("load_share", self.load_share)?;
        Ok(share * teeth * height * length * radius)
    }
}

/// Torque in N·m at a flank pressure: T = p·k·n·h·L·r_m.
///
/// # Errors
/// A figure out of range.
pub fn torque_at_pressure_nm(spline: &CarryingSpline, pressure_n_mm2: f64) -> Result<f64, BadInput> {
    let pressure = PRESSURE.check("flank_pressure_n_mm2", pressure_n_mm2)?;
    Ok(pressure * spline.torque_per_pressure()? / 1000.0)
}

/// Flank pressure in N/mm² under a torque.
///
/// # Errors
/// A figure out of range.
pub fn pressure_under_torque(spline: &CarryingSpline, torque_nm: f64) -> Result<f64, BadInput> {
    let torque = bounds::TORQUE.check("torque_nm", torque_nm)?;
    Ok(torque * 1000.0 / spline.torque_per_pressure()?)
}

/// Length needed for a torque at a flank pressure.
///
/// # Errors
/// A figure out of range.
pub fn length_for_torque_mm(
    spline: &CarryingSpline,
    torque_nm: f64,
    pressure_n_mm2: f64,
) -> Result<f64, BadInput> {
    Ok(spline.engaged_length_mm * bounds::TORQUE.check("torque_nm", torque_nm)?
        / torque_at_pressure_nm(spline, pressure_n_mm2)?)
}

/// Capacity of a new spline over the old one's at the same flank pressure.
///
/// # Errors
/// A figure out of range.
pub fn capacity_ratio(new: &CarryingSpline, old: &CarryingSpline) -> Result<f64, BadInput> {
    Ok(new.torque_per_pressure()? / old.torque_per_pressure()?)
}

/// Axial force to shift a hub under torque, F = μ·T/r_m, in newtons.
///
/// # Errors
/// A figure out of range.
pub fn shift_force_n(torque_nm: f64, friction: f64, mean_radius_mm: f64) -> Result<f64, BadInput> {
    let torque = bounds::TORQUE.check("torque_nm", torque_nm)?;
    let friction = bounds::SHARE.check("friction", friction)?;
    Ok(friction * torque * 1000.0 / bounds::LENGTH.check("mean_radius_mm", mean_radius_mm)?)
}

/// An involute spline under torque after Dudley; any one set of units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DudleyInput {
    /// Torque T.
    pub torque: f64,
    /// Pitch diameter D.
    pub pitch_diameter: f64,
    /// Teeth that carry N.
    pub tooth_count: u32,
    /// Effective length F_e.
    pub effective_length: f64,
    /// Chordal tooth thickness t_c.
    pub tooth_thickness: f64,
    /// Radial height of contact h.
    pub contact_height: f64,
    /// Load distribution factor K_m.
    pub distribution_factor: f64,
    /// Root diameter of the shaft D_re.
    pub shaft_root_diameter: f64,
    /// Bore of a hollow shaft D_h; nought if solid.
    pub shaft_bore: f64,
}

/// Stresses after Dudley.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DudleyStress {
    /// Shear of the teeth, S_s = 4·T·K_m/(D·N·F_e·t_c); assumes that half of the teeth carry.
    pub tooth_shear: f64,
    /// Compression of the flanks, S_c = 2·T·K_m/(D·N·F_e·h).
    pub flank_compression: f64,
    /// Shear of the shaft under the teeth, S = 16·T·D_re/(π(D_re⁴ − D_h⁴)).
    pub shaft_shear: f64,
}

/// Stresses of an involute spline (D. W. Dudley, "When Splines Need Stress Control").
///
/// # Errors
/// A figure out of range, or a bore not below the root diameter.
pub fn dudley_stress(input: &DudleyInput) -> Result<DudleyStress, BadInput> {
    let size = Bound { least: 1e-4, most: 1e5, unit: "as given" };
    let torque = bounds::Bound { least: 0.0, most: 1e12, unit: "as given" }.check("torque", input.torque)?;
    let diameter = size.check("pitch_diameter", input.pitch_diameter)?;
    let teeth = TEETH.check("tooth_count", f64::from(input.tooth_count))?;
    let length = size.check("effective_length", input.effective_length)?;
    let thickness = size.check("tooth_thickness", input.tooth_thickness)?;
    let height = size.check("contact_height", input.contact_height)?;
    let factor = Bound { least: 0.1, most: 10.0, unit: "1" }
        .check("distribution_factor", input.distribution_factor)?;
    let root = size.check("shaft_root_diameter", input.shaft_root_diameter)?;
    let bore =
        Bound { least: 0.0, most: 0.99 * root, unit: "as given" }.check("shaft_bore", input.shaft_bore)?;
    let common = torque * factor / (diameter * teeth * length);
    Ok(DudleyStress {
        tooth_shear: 4.0 * common / thickness,
        flank_compression: 2.0 * common / height,
        shaft_shear: 16.0 * torque * root / (PI * (root.powi(4) - bore.powi(4))),
    })
}

/// How a joint is held, for the compressive allowable.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SplineMounting {
    /// Slides or rocks: × L_w/K_a.
    Flexible,
    /// Fixed: × 9·L_f/K_a.
    Fixed,
}

/// Allowable compression after Dudley: catalogue value × L_w/K_a (flexible) or × 9·L_f/K_a (fixed).
///
/// # Errors
/// A figure out of range.
pub fn allowable_compression(
    base_value: f64,
    mounting: SplineMounting,
    life_factor: f64,
    application_factor: f64,
) -> Result<f64, BadInput> {
    let base = PRESSURE.check("base_value", base_value)?;
    let life = bounds::FACTOR.check("life_factor", life_factor)?;
    let application = bounds::FACTOR.check("application_factor", application_factor)?;
    let nine = match mounting {
        SplineMounting::Flexible => 1.0,
        SplineMounting::Fixed => 9.0,
    };
    Ok(base * nine * life / application)
}

#[cfg(test)]
mod tests {
    use super::*;

    const HUB: CarryingSpline = CarryingSpline {
        carrying_teeth: 12,
        flank_height_mm: 2.0,
        engaged_length_mm: 38.0,
        mean_radius_mm: 20.0,
        load_share: 0.75,
    };

    #[test]
    fn a_full_complement_doubles_three_groups() {
        // Common practice, no source: splines in three groups round the shaft, half of the teeth gone.
        let full = CarryingSpline { carrying_teeth: 24, ..HUB };
        assert!((capacity_ratio(&full, &HUB).unwrap() - 2.0).abs() < 0.05);
    }

    #[test]
    fn a_longer_spline_at_least_doubles() {
        // Common practice, no source: 35 to 40 mm made 80 to 100 mm.
        for (old, new) in [(35.0, 80.0), (40.0, 80.0), (40.0, 100.0), (35.0, 100.0)] {
            let old = CarryingSpline { engaged_length_mm: old, ..HUB };
            let new = CarryingSpline { engaged_length_mm: new, ..HUB };
            assert!(capacity_ratio(&new, &old).unwrap() >= 2.0);
        }
    }

    #[test]
    fn pressure_torque_and_length_agree() {
        let torque = torque_at_pressure_nm(&HUB, 25.0).unwrap();
        assert!((pressure_under_torque(&HUB, torque).unwrap() - 25.0).abs() < 1e-12);
        assert!((length_for_torque_mm(&HUB, torque, 25.0).unwrap() - 38.0).abs() < 1e-9);
        assert!((shift_force_n(100.0, 0.1, 20.0).unwrap() - 500.0).abs() < 1e-9);
        assert_eq!(
            pressure_under_torque(&CarryingSpline { carrying_teeth: 0, ..HUB }, 1.0).unwrap_err().field(),
            "carrying_teeth"
        );
    }

    #[test]
    fn a_fixed_joint_is_allowed_nine_times_as_much() {
        let flexible = allowable_compression(10.0, SplineMounting::Flexible, 1.0, 1.5).unwrap();
        let fixed = allowable_compression(10.0, SplineMounting::Fixed, 1.0, 1.5).unwrap();
        assert!((fixed / flexible - 9.0).abs() < 1e-12);
    }
}
