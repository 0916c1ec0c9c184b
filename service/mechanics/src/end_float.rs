//! End float of shafts: what parts leave in a housing, and the shim that brings it within limits.

use crate::bad_input::BadInput;
use crate::bounds;

/// The shim change that brings a measured float within its limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FloatShim {
    /// True if the measured float is within limits already.
    pub within: bool,
    /// Least shim to add; negative to take out.
    pub least_change_mm: f64,
    /// Most shim to add; negative to take out.
    pub most_change_mm: f64,
    /// Change that reaches the middle of the limits.
    pub middle_change_mm: f64,
}

/// Float left by parts stacked in a space: space − Σ parts. Negative means that they do not go in.
///
/// # Errors
/// A length out of range.
pub fn end_float_of_stack_mm(space_mm: f64, parts_mm: &[f64]) -> Result<f64, BadInput> {
    let mut left = bounds::LENGTH.check("space_mm", space_mm)?;
    for part in parts_mm {
        left -= bounds::LENGTH.check("parts_mm", *part)?;
    }
    Ok(left)
}

/// Shim change for a measured float with limits; adding shim takes float away. A value on a limit is good.
///
/// # Errors
/// A figure out of range, or limits the wrong way round.
pub fn shim_for_end_float(measured_mm: f64, min_mm: f64, max_mm: f64) -> Result<FloatShim, BadInput> {
    let measured = bounds::DEVIATION.check("measured_end_float_mm", measured_mm)?;
    let min = bounds::DEVIATION.check("min_end_float_mm", min_mm)?;
    let max = bounds::DEVIATION.check("max_end_float_mm", max_mm)?;
    if min > max {
        return Err(BadInput::Contradiction {
            field: "min_end_float_mm",
            problem: "must not be above the largest",
        });
    }
    Ok(FloatShim {
        within: (min..=max).contains(&measured),
        least_change_mm: measured - max,
        most_change_mm: measured - min,
        middle_change_mm: measured - (min + max) / 2.0,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn too_much_float_asks_for_shim() {
        let got = shim_for_end_float(0.40, 0.05, 0.15).unwrap();
        assert!(!got.within);
        assert!((got.least_change_mm - 0.25).abs() < 1e-12);
        assert!((got.middle_change_mm - 0.30).abs() < 1e-12);
        assert!(shim_for_end_float(0.15, 0.05, 0.15).unwrap().within);
        assert!(shim_for_end_float(0.1, 0.2, 0.1).is_err());
    }

    #[test]
    fn a_stack_leaves_what_it_does_not_fill() {
        assert!((end_float_of_stack_mm(100.0, &[40.0, 59.85]).unwrap() - 0.15).abs() < 1e-9);
        assert_eq!(end_float_of_stack_mm(100.0, &[-1.0]).unwrap_err().field(), "parts_mm");
    }
}
