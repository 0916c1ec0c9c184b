//! Tolerance class Normal of rolling bearings: mean bore and mean outside diameter (ISO 492).
//!
//! From memory of ISO 492, radial bearings except tapered; the steps 18 to 120 mm of the bore and 50 to 120 mm of the
//! outside were read in published fit tables. Tapered bearings are a few micrometres wider below 30 mm.

use crate::bad_input::BadInput;
use crate::iso_286::{Limits, ToleranceClass, fit_of, limits};

/// Upper end of the step in millimetres, lower deviation in micrometres; the upper deviation is nought.
const BORE: [(f64, f64); 11] = [
    (18.0, -8.0),
    (30.0, -10.0),
    (50.0, -12.0),
    (80.0, -15.0),
    (120.0, -20.0),
    (180.0, -25.0),
    (250.0, -30.0),
    (315.0, -35.0),
    (400.0, -40.0),
    (500.0, -45.0),
    (630.0, -50.0),
];

const OUTSIDE: [(f64, f64); 12] = [
    (18.0, -8.0),
    (30.0, -9.0),
    (50.0, -11.0),
    (80.0, -13.0),
    (120.0, -15.0),
    (150.0, -18.0),
    (180.0, -25.0),
    (250.0, -30.0),
    (315.0, -35.0),
    (400.0, -40.0),
    (500.0, -45.0),
    (630.0, -50.0),
];

fn step(table: &[(f64, f64)], field: &'static str, size: f64) -> Result<Limits, BadInput> {
    if !size.is_finite() {
        return Err(BadInput::NotANumber { field });
    }
    table
        .iter()
        .find(|(upper, _)| size >= 2.5 && size <= *upper)
        .map(|(_, lower)| Limits { upper_um: 0.0, lower_um: *lower })
        .ok_or(BadInput::OutOfRange { field, value: size, least: 2.5, most: 630.0, unit: "mm" })
}

/// Limit deviations of a bearing bore, class Normal.
///
/// # Errors
/// A size outside 2.5 to 630 mm.
pub fn bearing_bore_limits(bore_mm: f64) -> Result<Limits, BadInput> {
    step(&BORE, "diameter_mm", bore_mm)
}

/// Limit deviations of a bearing's outside diameter, class Normal.
///
/// # Errors
/// A size outside 2.5 to 630 mm.
pub fn bearing_outside_limits(outside_mm: f64) -> Result<Limits, BadInput> {
    step(&OUTSIDE, "diameter_mm", outside_mm)
}

/// The fit of a Normal bearing in a housing bore of a tolerance class.
///
/// # Errors
/// A size or class out of the tables, or a shaft class.
pub fn fit_in_housing(outside_mm: f64, housing: ToleranceClass) -> Result<crate::iso_286::Fit, BadInput> {
    if !housing.hole {
        return Err(BadInput::Unreadable {
            field: "housing_class",
            text: housing.to_string(),
            wanted: "a hole class with a capital letter, such as M7",
        });
    }
    Ok(fit_of(limits(outside_mm, housing)?, bearing_outside_limits(outside_mm)?))
}

/// The fit of a Normal bearing on a shaft seat of a tolerance class.
///
/// # Errors
/// A size or class out of the tables, or a hole class.
pub fn fit_on_shaft(bore_mm: f64, shaft: ToleranceClass) -> Result<crate::iso_286::Fit, BadInput> {
    if shaft.hole {
        return Err(BadInput::Unreadable {
            field: "shaft_class",
            text: shaft.to_string(),
            wanted: "a shaft class with a small letter, such as k5",
        });
    }
    Ok(fit_of(bearing_bore_limits(bore_mm)?, limits(bore_mm, shaft)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::iso_286::FitKind;

    #[test]
    fn a_k5_seat_grips_a_normal_bearing() {
        // k5 at 40 mm is +13/+2, the bore 0/−12: interference always.
        let fit = fit_on_shaft(40.0, "k5".parse().unwrap()).unwrap();
        assert_eq!((fit.clearance_min_um, fit.clearance_max_um), (-25.0, -2.0));
        assert_eq!(fit.kind, FitKind::Interference);
    }

    #[test]
    fn hole_and_shaft_classes_cannot_change_places() {
        assert_eq!(fit_on_shaft(40.0, "K6".parse().unwrap()).unwrap_err().field(), "shaft_class");
        assert_eq!(fit_in_housing(80.0, "h7".parse().unwrap()).unwrap_err().field(), "housing_class");
        assert!(bearing_bore_limits(f64::NAN).is_err());
    }
}
