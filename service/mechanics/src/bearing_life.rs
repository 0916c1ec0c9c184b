//! Rating life of rolling bearings (ISO 281).

use crate::bad_input::BadInput;
use crate::bounds::{self, Bound};

/// Exponent of the life equation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RollingElement {
    /// Balls: p = 3.
    Ball,
    /// Rollers: p = 10/3.
    Roller,
}

impl RollingElement {
    /// The exponent p.
    pub fn exponent(self) -> f64 {
        match self {
            Self::Ball => 3.0,
            Self::Roller => 10.0 / 3.0,
        }
    }
}

const LOAD: Bound = Bound { least: 1e-6, most: 1e9, unit: "N" };
const HOURS: Bound = Bound { least: 1e-3, most: 1e9, unit: "h" };
const LOAD_FACTOR: Bound = Bound { least: 0.0, most: 100.0, unit: "1" };

/// Rating life L10 = (C/P)^p in millions of revolutions; C and P in one unit.
///
/// # Errors
/// A load out of range, or a ratio whose life cannot be told in numbers.
pub fn rating_life_mrev(rating: f64, load: f64, element: RollingElement) -> Result<f64, BadInput> {
    let rating = LOAD.check("dynamic_rating", rating)?;
    let load = LOAD.check("equivalent_load", load)?;
    Ok((rating / load).powf(element.exponent()))
}

/// Rating life in hours, L10h = 10⁶·L10/(60·n).
///
/// # Errors
/// A figure out of range.
pub fn rating_life_h(
    rating: f64,
    load: f64,
    element: RollingElement,
    speed_per_min: f64,
) -> Result<f64, BadInput> {
    let speed = bounds::SHAFT_SPEED.check("speed_per_min", speed_per_min)?;
    Ok(rating_life_mrev(rating, load, element)? * 1e6 / (60.0 * speed))
}

/// Rating needed for a life: C = P·L10^(1/p), L10 = 60·n·L10h/10⁶.
///
/// # Errors
/// A figure out of range.
pub fn required_rating(
    load: f64,
    element: RollingElement,
    speed_per_min: f64,
    life_h: f64,
) -> Result<f64, BadInput> {
    let load = LOAD.check("equivalent_load", load)?;
    let speed = bounds::SHAFT_SPEED.check("speed_per_min", speed_per_min)?;
    let hours = HOURS.check("life_h", life_h)?;
    Ok(load * (60.0 * speed * hours / 1e6).powf(1.0 / element.exponent()))
}

/// Equivalent dynamic load P = X·V·F_r + Y·F_a. V is 1.2 where the outer ring turns in an older convention, else 1:
/// ISO 281 has none.
///
/// # Errors
/// A figure out of range.
pub fn equivalent_load(
    radial: f64,
    axial: f64,
    radial_factor: f64,
    axial_factor: f64,
    rotation_factor: f64,
) -> Result<f64, BadInput> {
    let radial = bounds::FORCE.check("radial_load", radial)?;
    let axial = bounds::FORCE.check("axial_load", axial)?;
    let x = LOAD_FACTOR.check("radial_factor", radial_factor)?;
    let y = LOAD_FACTOR.check("axial_factor", axial_factor)?;
    let v = Bound { least: 1.0, most: 1.5, unit: "1" }.check("rotation_factor", rotation_factor)?;
    Ok(x * v * radial + y * axial)
}

/// Factors of a tapered roller bearing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TaperedFactors {
    /// Contact angle α, tan α = e/1.5.
    pub contact_angle_deg: f64,
    /// Axial factor Y = 0.4·cot α.
    pub axial_factor: f64,
    /// Static axial factor Y0 = 0.22·cot α.
    pub static_axial_factor: f64,
}

/// Factors of a tapered roller bearing from its limit value e = 1.5·tan α (ISO 281, ISO 76; from memory).
///
/// # Errors
/// A value out of range.
pub fn tapered_factors(limit_e: f64) -> Result<TaperedFactors, BadInput> {
    let e = Bound { least: 0.05, most: 3.0, unit: "1" }.check("limit_e", limit_e)?;
    let tangent = e / 1.5;
    Ok(TaperedFactors {
        contact_angle_deg: tangent.atan().to_degrees(),
        axial_factor: 0.4 / tangent,
        static_axial_factor: 0.22 / tangent,
    })
}

/// One part of a load spectrum.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadPart {
    /// Share of the time.
    pub time_share: f64,
    /// Speed.
    pub speed_per_min: f64,
    /// Equivalent load in this part.
    pub load: f64,
}

/// Equivalent load of a spectrum: P_eq = (Σ q·n·P^p/Σ q·n)^(1/p).
///
/// # Errors
/// No part, or a figure out of range.
pub fn equivalent_load_of_spectrum(parts: &[LoadPart], element: RollingElement) -> Result<f64, BadInput> {
    let p = element.exponent();
    let (mut sum, mut turns, mut largest) = (0.0, 0.0, 0.0_f64);
    for part in parts {
        LOAD.check("load", part.load)?;
        largest = largest.max(part.load);
    }
    for part in parts {
        let weight = bounds::SHARE.check("time_share", part.time_share)?
            * bounds::SHAFT_SPEED.check("speed_per_min", part.speed_per_min)?;
        // Divided by the largest load so that the power cannot overflow.
        sum += weight * (part.load / largest).powf(p);
        turns += weight;
    }
    if turns <= 0.0 {
        return Err(BadInput::Contradiction {
            field: "time_share",
            problem: "no part of the spectrum has any time",
        });
    }
    Ok(largest * (sum / turns).powf(1.0 / p))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn one_load_is_its_own_spectrum() {
        let part = LoadPart { time_share: 0.4, speed_per_min: 900.0, load: 7.0 };
        let got = equivalent_load_of_spectrum(&[part, part], RollingElement::Roller).unwrap();
        assert!((got - 7.0).abs() < 1e-12);
        assert!(equivalent_load_of_spectrum(&[], RollingElement::Ball).is_err());
    }

    proptest! {
        #[test]
        fn the_required_rating_gives_the_life_asked_for(load in 1.0_f64..1e5, hours in 1.0_f64..1e5) {
            let rating = required_rating(load, RollingElement::Roller, 1500.0, hours).unwrap();
            let back = rating_life_h(rating, load, RollingElement::Roller, 1500.0).unwrap();
            prop_assert!((back / hours - 1.0).abs() < 1e-9);
        }

        #[test]
        fn e_and_y_keep_their_product(e in 0.1_f64..1.5) {
            prop_assert!((tapered_factors(e).unwrap().axial_factor * e - 0.6).abs() < 1e-12);
        }
    }
}
