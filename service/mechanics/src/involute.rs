//! The involute function inv α = tan α − α (ISO 21771) and its inverse.

use std::f64::consts::FRAC_PI_2;

/// inv α of an angle in radians, 0 ≤ α < π/2.
#[inline]
pub fn involute(angle_rad: f64) -> f64 {
    angle_rad.tan() - angle_rad
}

/// The angle in radians whose involute is `value`; 0 for anything not above 0.
///
/// Newton on tan α − α = y with the step f/tan²α. Both start values lie above the root of this convex function
/// (tan α − α > α³/3, and tan α < y + π/2), so the steps come down to it without overshooting.
pub fn inverse_involute(value: f64) -> f64 {
    if value.is_nan() || value <= 0.0 {
        return 0.0;
    }
    let start = (3.0 * value).cbrt().min((value + FRAC_PI_2).atan());
    newton(value, start)
}

/// The same when a nearby angle is known; falls back to the safe start if the guess is so poor that the first step
/// would leave its neighbourhood.
#[inline]
pub(crate) fn inverse_involute_near(value: f64, guess_rad: f64) -> f64 {
    if value > 0.0 && guess_rad > 0.05 && guess_rad < 1.2 {
        let tangent = guess_rad.tan();
        let step = (tangent - guess_rad - value) / (tangent * tangent);
        if step.abs() < 0.2 * guess_rad {
            return newton(value, guess_rad - step);
        }
    }
    inverse_involute(value)
}

fn newton(value: f64, start: f64) -> f64 {
    let mut angle = start;
    for _ in 0..40 {
        let tangent = angle.tan();
        let slope = tangent * tangent;
        if slope <= 0.0 {
            return angle;
        }
        let step = (tangent - angle - value) / slope;
        angle = (angle - step).clamp(0.0, FRAC_PI_2);
        // The steps shrink quadratically: after one this small the next is below the last digit.
        if step.abs() < 1e-9 * angle {
            break;
        }
    }
    angle
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn printed_involutes_are_met() {
        // Table of involute functions in machinist's handbooks, from memory.
        for (degrees, printed) in
            [(14.5_f64, 0.005_545), (20.0, 0.014_904), (25.0, 0.029_975), (30.0, 0.053_751)]
        {
            assert!((involute(degrees.to_radians()) - printed).abs() < 6e-7, "{degrees}");
        }
    }

    #[test]
    fn nothing_has_angle_nought() {
        assert_eq!(inverse_involute(0.0), 0.0);
        assert_eq!(inverse_involute(-1.0), 0.0);
        assert_eq!(inverse_involute(f64::NAN), 0.0);
    }

    proptest! {
        #[test]
        fn the_inverse_gives_the_angle_back(angle in 0.001_f64..1.55) {
            let back = inverse_involute(involute(angle));
            prop_assert!((back - angle).abs() < 1e-9 * angle.max(0.1), "{angle} {back}");
        }

        #[test]
        fn a_guess_changes_nothing(value in 1e-4_f64..0.3, guess in 0.0_f64..1.6) {
            let near = inverse_involute_near(value, guess);
            prop_assert!((near - inverse_involute(value)).abs() < 1e-12);
        }

        #[test]
        fn no_value_gives_nan(value in proptest::num::f64::ANY) {
            prop_assert!(inverse_involute(value).is_finite());
        }
    }
}
