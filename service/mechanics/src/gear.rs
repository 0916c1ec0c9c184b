//! Geometry of one cylindrical involute gear (ISO 21771) cut with a basic rack (ISO 53).

use std::f64::consts::PI;

use crate::bad_input::BadInput;
use crate::bounds;
use crate::involute::involute;
use crate::pitch::INCH_MM;

/// Proportions of the basic rack in units of the normal module.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BasicRack {
    /// Addendum h_aP*.
    pub addendum: f64,
    /// Dedendum h_fP*.
    pub dedendum: f64,
    /// Depth of the straight flank below the datum line, h_FfP*: where the root fillet begins.
    pub form_dedendum: f64,
}

impl BasicRack {
    /// Profile A of ISO 53: h_aP* = 1, h_fP* = 1.25, straight flank to 1.0.
    pub const ISO_53_A: Self = Self { addendum: 1.0, dedendum: 1.25, form_dedendum: 1.0 };
}

/// The tooth system two gears must share: module, pressure angle, helix, all in the normal section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ToothSystem {
    /// Normal module m_n.
    pub normal_module_mm: f64,
    /// Normal pressure angle α_n.
    pub normal_pressure_angle_rad: f64,
    /// Helix angle β on the reference cylinder, without sign.
    pub helix_angle_rad: f64,
    /// Transverse module m_t = m_n/cos β.
    pub transverse_module_mm: f64,
    /// Transverse pressure angle, tan α_t = tan α_n/cos β.
    pub transverse_pressure_angle_rad: f64,
    /// cos α_t.
    pub cos_transverse_angle: f64,
    /// tan α_n.
    pub tan_normal_angle: f64,
    /// inv α_t.
    pub inv_transverse_angle: f64,
    /// Base helix angle, sin β_b = sin β·cos α_n.
    pub base_helix_angle_rad: f64,
    /// cos β_b.
    pub cos_base_helix: f64,
    /// Normal base pitch p_bn = π·m_n·cos α_n.
    pub normal_base_pitch_mm: f64,
    /// Transverse base pitch p_bt = π·m_t·cos α_t.
    pub transverse_base_pitch_mm: f64,
}

/// Below this helix angle a gear is spur: its lead has no meaning, and would overflow.
const LEAST_HELIX_RAD: f64 = 1e-9;

impl ToothSystem {
    /// From normal module, normal pressure angle and helix angle.
    ///
    /// # Errors
    /// A figure out of range, by its field name.
    pub fn new(
        normal_module_mm: f64,
        normal_pressure_angle_deg: f64,
        helix_angle_deg: f64,
    ) -> Result<Self, BadInput> {
        let module = bounds::MODULE.check("normal_module_mm", normal_module_mm)?;
        let pressure =
            bounds::PRESSURE_ANGLE.check("normal_pressure_angle_deg", normal_pressure_angle_deg)?;
        let helix = bounds::HELIX_ANGLE.check("helix_angle_deg", helix_angle_deg)?;
        Ok(Self::of_checked(module, pressure, helix))
    }

    #[inline]
    pub(crate) fn of_checked(module: f64, pressure_deg: f64, helix_deg: f64) -> Self {
        let pressure = pressure_deg.to_radians();
        let helix = helix_deg.to_radians();
        let (sin_pressure, cos_pressure) = pressure.sin_cos();
        let tan_normal_angle = sin_pressure / cos_pressure;
        let normal_base_pitch_mm = PI * module * cos_pressure;
        if helix_deg == 0.0 {
            return Self {
                normal_module_mm: module,
                normal_pressure_angle_rad: pressure,
                helix_angle_rad: 0.0,
                transverse_module_mm: module,
                transverse_pressure_angle_rad: pressure,
                cos_transverse_angle: cos_pressure,
                tan_normal_angle,
                inv_transverse_angle: tan_normal_angle - pressure,
                base_helix_angle_rad: 0.0,
                cos_base_helix: 1.0,
                normal_base_pitch_mm,
                transverse_base_pitch_mm: normal_base_pitch_mm,
            };
        }
        let (sin_helix, cos_helix) = helix.sin_cos();
        let tan_transverse = tan_normal_angle / cos_helix;
        let transverse = tan_transverse.atan();
        let cos_transverse = 1.0 / (1.0 + tan_transverse * tan_transverse).sqrt();
        let sin_base_helix = sin_helix * cos_pressure;
        let cos_base_helix = (1.0 - sin_base_helix * sin_base_helix).sqrt();
        Self {
            normal_module_mm: module,
            normal_pressure_angle_rad: pressure,
            helix_angle_rad: helix,
            transverse_module_mm: module / cos_helix,
            transverse_pressure_angle_rad: transverse,
            cos_transverse_angle: cos_transverse,
            tan_normal_angle,
            inv_transverse_angle: tan_transverse - transverse,
            base_helix_angle_rad: sin_base_helix.asin(),
            cos_base_helix,
            normal_base_pitch_mm,
            transverse_base_pitch_mm: PI * module / cos_helix * cos_transverse,
        }
    }

    /// From figures quoted in the transverse section ("transverse system").
    ///
    /// # Errors
    /// A figure out of range, by its field name.
    pub fn from_transverse(
        transverse_module_mm: f64,
        transverse_pressure_angle_deg: f64,
        helix_angle_deg: f64,
    ) -> Result<Self, BadInput> {
        let module = bounds::MODULE.check("transverse_module_mm", transverse_module_mm)?;
        let pressure =
            bounds::PRESSURE_ANGLE.check("transverse_pressure_angle_deg", transverse_pressure_angle_deg)?;
        let helix = bounds::HELIX_ANGLE.check("helix_angle_deg", helix_angle_deg)?;
        let cos_helix = helix.to_radians().cos();
        let normal_pressure = (pressure.to_radians().tan() * cos_helix).atan().to_degrees();
        Self::new(module * cos_helix, normal_pressure, helix)
    }

    /// From a normal diametral pitch.
    ///
    /// # Errors
    /// A figure out of range, by its field name.
    pub fn from_normal_diametral_pitch(
        normal_diametral_pitch: f64,
        normal_pressure_angle_deg: f64,
        helix_angle_deg: f64,
    ) -> Result<Self, BadInput> {
        let pitch = bounds::DIAMETRAL_PITCH.check("normal_diametral_pitch", normal_diametral_pitch)?;
        Self::new(INCH_MM / pitch, normal_pressure_angle_deg, helix_angle_deg)
    }

    /// Axial pitch p_x = π·m_n/sin β; none for spur gears.
    pub fn axial_pitch_mm(&self) -> Option<f64> {
        (self.helix_angle_rad > LEAST_HELIX_RAD)
            .then(|| PI * self.normal_module_mm / self.helix_angle_rad.sin())
    }

    /// Transverse pitch p_t = π·m_t.
    pub fn transverse_pitch_mm(&self) -> f64 {
        PI * self.transverse_module_mm
    }

    /// Normal pitch p_n = π·m_n.
    pub fn normal_pitch_mm(&self) -> f64 {
        PI * self.normal_module_mm
    }

    /// Reference diameter d = z·m_t.
    #[inline]
    pub fn reference_diameter_mm(&self, tooth_count: u32) -> f64 {
        f64::from(tooth_count) * self.transverse_module_mm
    }

    /// Base diameter d_b = d·cos α_t.
    #[inline]
    pub fn base_diameter_mm(&self, tooth_count: u32) -> f64 {
        self.reference_diameter_mm(tooth_count) * self.cos_transverse_angle
    }

    /// Lead p_z = π·d/tan β; none for spur gears.
    pub fn lead_mm(&self, tooth_count: u32) -> Option<f64> {
        (self.helix_angle_rad > LEAST_HELIX_RAD)
            .then(|| PI * self.reference_diameter_mm(tooth_count) / self.helix_angle_rad.tan())
    }

    /// Transverse tooth thickness on the reference circle, s_t = m_n(π/2 + 2x·tan α_n)/cos β.
    #[inline]
    pub fn transverse_thickness_mm(&self, profile_shift: f64) -> f64 {
        self.transverse_module_mm * (PI / 2.0 + 2.0 * profile_shift * self.tan_normal_angle)
    }

    /// Transverse tooth thickness on the base circle, s_bt = d_b(s_t/d + inv α_t).
    #[inline]
    pub fn base_thickness_mm(&self, tooth_count: u32, profile_shift: f64) -> f64 {
        self.transverse_thickness_mm(profile_shift) * self.cos_transverse_angle
            + self.base_diameter_mm(tooth_count) * self.inv_transverse_angle
    }

    /// Tip diameter d_a = d + 2m_n(h_aP* + x − k).
    #[inline]
    pub fn tip_diameter_mm(&self, tooth_count: u32, profile_shift: f64, rack: &BasicRack, tip_k: f64) -> f64 {
        self.reference_diameter_mm(tooth_count)
            + 2.0 * self.normal_module_mm * (rack.addendum + profile_shift - tip_k)
    }

    /// Root diameter d_f = d − 2m_n(h_fP* − x).
    #[inline]
    pub fn root_diameter_mm(&self, tooth_count: u32, profile_shift: f64, rack: &BasicRack) -> f64 {
        self.reference_diameter_mm(tooth_count)
            - 2.0 * self.normal_module_mm * (rack.dedendum - profile_shift)
    }

    /// Radius of curvature where the rack-cut involute begins, at the root form circle:
    /// r·sin α_t − m_n(h_FfP* − x)/sin α_t. Negative where the gear is undercut.
    #[inline]
    pub fn form_curvature_mm(&self, tooth_count: u32, profile_shift: f64, rack: &BasicRack) -> f64 {
        let sin_transverse = (1.0 - self.cos_transverse_angle * self.cos_transverse_angle).max(0.0).sqrt();
        self.reference_diameter_mm(tooth_count) / 2.0 * sin_transverse
            - self.normal_module_mm * (rack.form_dedendum - profile_shift) / sin_transverse
    }
}

/// inv of an angle given in degrees, for callers that show intermediate figures.
///
/// # Errors
/// An angle outside 0 to 89 degrees.
pub fn involute_of_deg(angle_deg: f64) -> Result<f64, BadInput> {
    let bound = bounds::Bound { least: 0.0, most: 89.0, unit: "deg" };
    Ok(involute(bound.check("angle_deg", angle_deg)?.to_radians()))
}

/// Holds a tooth count against the range of gears.
///
/// # Errors
/// A count out of range.
pub(crate) fn checked_teeth(field: &'static str, tooth_count: u32) -> Result<f64, BadInput> {
    bounds::TEETH.check(field, f64::from(tooth_count))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn absurd_systems_are_refused_by_field() {
        for (module, pressure, helix, field) in [
            (-3.0, 20.0, 0.0, "normal_module_mm"),
            (0.0, 20.0, 0.0, "normal_module_mm"),
            (3.0, 90.0, 0.0, "normal_pressure_angle_deg"),
            (3.0, 20.0, 89.0, "helix_angle_deg"),
            (f64::INFINITY, 20.0, 0.0, "normal_module_mm"),
        ] {
            assert_eq!(ToothSystem::new(module, pressure, helix).unwrap_err().field(), field);
        }
    }

    proptest! {
        #[test]
        fn base_pitches_are_tied_by_the_base_helix(
            module in 0.1_f64..50.0, pressure in 10.0_f64..35.0, helix in 0.0_f64..55.0,
        ) {
            let system = ToothSystem::new(module, pressure, helix).unwrap();
            let from_transverse = system.transverse_base_pitch_mm * system.cos_base_helix;
            prop_assert!((from_transverse / system.normal_base_pitch_mm - 1.0).abs() < 1e-12);
            // tan β_b = tan β·cos α_t.
            let tangent = system.helix_angle_rad.tan() * system.cos_transverse_angle;
            prop_assert!((tangent - system.base_helix_angle_rad.tan()).abs() < 1e-12);
        }

        #[test]
        fn the_transverse_system_converts_back(module in 0.1_f64..50.0, helix in 0.0_f64..45.0) {
            let system = ToothSystem::from_transverse(module, 20.0, helix).unwrap();
            prop_assert!((system.transverse_module_mm / module - 1.0).abs() < 1e-12);
            prop_assert!((system.transverse_pressure_angle_rad.to_degrees() - 20.0).abs() < 1e-9);
        }
    }
}
