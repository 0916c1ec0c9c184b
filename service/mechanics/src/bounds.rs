//! The ranges every input is held against, in one table, and the check itself.
//!
//! They are wider than anything found in a vehicle driveline (common practice, no source): their purpose is that no
//! formula overflows or loses its meaning.

use crate::bad_input::BadInput;

/// Name, unit and range of one kind of input.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// Smallest value taken.
    pub least: f64,
    /// Largest value taken.
    pub most: f64,
    /// Unit of both.
    pub unit: &'static str,
}

const fn bound(least: f64, most: f64, unit: &'static str) -> Bound {
    Bound { least, most, unit }
}

/// Module, normal or transverse.
pub const MODULE: Bound = bound(0.05, 100.0, "mm");
/// Diametral pitch.
pub const DIAMETRAL_PITCH: Bound = bound(0.25, 500.0, "1/in");
/// Teeth of a gear.
pub const TEETH: Bound = bound(3.0, 2000.0, "1");
/// Teeth of a spline or dog clutch.
pub const SPLINE_TEETH: Bound = bound(2.0, 500.0, "1");
/// Pressure angle of a gear or spline flank.
pub const PRESSURE_ANGLE: Bound = bound(5.0, 50.0, "deg");
/// Size of a helix angle on the reference cylinder.
pub const HELIX_ANGLE: Bound = bound(0.0, 60.0, "deg");
/// Profile shift coefficient of one gear.
pub const PROFILE_SHIFT: Bound = bound(-3.0, 3.0, "1");
/// Any diameter of a part.
pub const DIAMETER: Bound = bound(0.1, 10_000.0, "mm");
/// Any length, width or thickness that a part must have.
pub const LENGTH: Bound = bound(0.001, 10_000.0, "mm");
/// Centre distance of two shafts.
pub const CENTRE_DISTANCE: Bound = bound(0.5, 10_000.0, "mm");
/// Allowances, clearances, backlash, deviations in millimetres, either sign.
pub const DEVIATION: Bound = bound(-10.0, 10.0, "mm");
/// The same in micrometres.
pub const DEVIATION_UM: Bound = bound(-10_000.0, 10_000.0, "um");
/// Uncertainty of a measured length.
pub const UNCERTAINTY: Bound = bound(0.0, 10.0, "mm");
/// A ratio of speeds.
pub const RATIO: Bound = bound(0.001, 100_000.0, "1");
/// A pure factor that must be positive.
pub const FACTOR: Bound = bound(1e-6, 1e6, "1");
/// A share from none to all.
pub const SHARE: Bound = bound(0.0, 1.0, "1");
/// An efficiency or adhesion-like share above nought.
pub const EFFICIENCY: Bound = bound(0.01, 1.0, "1");
/// A torque.
pub const TORQUE: Bound = bound(0.0, 1e9, "N.m");
/// A force or load.
pub const FORCE: Bound = bound(0.0, 1e9, "N");
/// A shaft speed.
pub const SHAFT_SPEED: Bound = bound(0.001, 200_000.0, "1/min");
/// A road speed.
pub const ROAD_SPEED: Bound = bound(0.0, 1000.0, "km/h");
/// A mass.
pub const MASS: Bound = bound(1.0, 1e6, "kg");
/// A temperature.
pub const TEMPERATURE: Bound = bound(-273.15, 2000.0, "degC");
/// A coefficient of thermal expansion.
pub const EXPANSION: Bound = bound(1e-7, 2e-4, "1/K");

impl Bound {
    /// Gives the value back if it is a number within the range.
    ///
    /// # Errors
    /// [`BadInput`] naming `field`.
    #[inline]
    pub fn check(&self, field: &'static str, value: f64) -> Result<f64, BadInput> {
        if value >= self.least && value <= self.most { Ok(value) } else { Err(self.refuse(field, value)) }
    }

    /// The same for a figure that need not be known.
    ///
    /// # Errors
    /// [`BadInput`] naming `field`.
    #[inline]
    pub fn check_known(&self, field: &'static str, value: Option<f64>) -> Result<Option<f64>, BadInput> {
        value.map(|known| self.check(field, known)).transpose()
    }

    #[cold]
    fn refuse(&self, field: &'static str, value: f64) -> BadInput {
        if value.is_finite() {
            BadInput::OutOfRange { field, value, least: self.least, most: self.most, unit: self.unit }
        } else {
            BadInput::NotANumber { field }
        }
    }
}
