//! Straight-sided splines N × d × D (ISO 14): the standard's sizes, and geometry.

use crate::bad_input::BadInput;
use crate::bounds;
use crate::feature::{SplineStandard, SplineTeeth};

/// One size of ISO 14: teeth N, minor diameter d, major diameter D, tooth width B.
pub type StraightSize = (u32, f64, f64, f64);

/// Light series of ISO 14, from memory.
pub const LIGHT_SERIES: [StraightSize; 15] = [
    (6, 23.0, 26.0, 6.0),
    (6, 26.0, 30.0, 6.0),
    (6, 28.0, 32.0, 7.0),
    (8, 32.0, 36.0, 6.0),
    (8, 36.0, 40.0, 7.0),
    (8, 42.0, 46.0, 8.0),
    (8, 46.0, 50.0, 9.0),
    (8, 52.0, 58.0, 10.0),
    (8, 56.0, 62.0, 10.0),
    (8, 62.0, 68.0, 12.0),
    (10, 72.0, 78.0, 12.0),
    (10, 82.0, 88.0, 12.0),
    (10, 92.0, 98.0, 14.0),
    (10, 102.0, 108.0, 16.0),
    (10, 112.0, 120.0, 18.0),
];

/// Medium series of ISO 14, from memory.
pub const MEDIUM_SERIES: [StraightSize; 20] = [
    (6, 11.0, 14.0, 3.0),
    (6, 13.0, 16.0, 3.5),
    (6, 16.0, 20.0, 4.0),
    (6, 18.0, 22.0, 5.0),
    (6, 21.0, 25.0, 5.0),
    (6, 23.0, 28.0, 6.0),
    (6, 26.0, 32.0, 6.0),
    (6, 28.0, 34.0, 7.0),
    (8, 32.0, 38.0, 6.0),
    (8, 36.0, 42.0, 7.0),
    (8, 42.0, 48.0, 8.0),
    (8, 46.0, 54.0, 9.0),
    (8, 52.0, 60.0, 10.0),
    (8, 56.0, 65.0, 10.0),
    (8, 62.0, 72.0, 12.0),
    (10, 72.0, 82.0, 12.0),
    (10, 82.0, 92.0, 12.0),
    (10, 92.0, 102.0, 14.0),
    (10, 102.0, 112.0, 16.0),
    (10, 112.0, 125.0, 18.0),
];

/// A straight-sided spline read from its designation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StraightSpline {
    /// Number of teeth N.
    pub tooth_count: u32,
    /// Minor diameter d.
    pub minor_diameter_mm: f64,
    /// Major diameter D.
    pub major_diameter_mm: f64,
    /// Tooth width B, where ISO 14 holds the size.
    pub tooth_width_mm: Option<f64>,
}

impl StraightSpline {
    /// From teeth and diameters.
    ///
    /// # Errors
    /// A figure out of range, or a minor diameter not below the major one.
    pub fn new(tooth_count: u32, minor_diameter_mm: f64, major_diameter_mm: f64) -> Result<Self, BadInput> {
        bounds::SPLINE_TEETH.check("tooth_count", f64::from(tooth_count))?;
        let minor = bounds::DIAMETER.check("minor_diameter_mm", minor_diameter_mm)?;
        let major = bounds::DIAMETER.check("major_diameter_mm", major_diameter_mm)?;
        if minor >= major {
            return Err(BadInput::OutOfRange {
                field: "minor_diameter_mm",
                value: minor,
                least: bounds::DIAMETER.least,
                most: major,
                unit: "mm",
            });
        }
        let tooth_width_mm = LIGHT_SERIES
            .iter()
            .chain(&MEDIUM_SERIES)
            .find(|(n, d, big, _)| *n == tooth_count && *d == minor && *big == major)
            .map(|(.., width)| *width);
        Ok(Self { tooth_count, minor_diameter_mm: minor, major_diameter_mm: major, tooth_width_mm })
    }

    /// Mean radius r_m = (D + d)/4.
    pub fn mean_radius_mm(&self) -> f64 {
        (self.major_diameter_mm + self.minor_diameter_mm) / 4.0
    }

    /// Bearing height of a flank h = (D − d)/2 without chamfers.
    pub fn flank_height_mm(&self) -> f64 {
        (self.major_diameter_mm - self.minor_diameter_mm) / 2.0
    }

    /// The same spline as a feature.
    pub fn feature(&self, external: bool) -> SplineTeeth {
        SplineTeeth {
            major_diameter_mm: Some(self.major_diameter_mm),
            minor_diameter_mm: Some(self.minor_diameter_mm),
            tooth_or_space_width_mm: self.tooth_width_mm,
            ..SplineTeeth::new(SplineStandard::Straight, self.tooth_count, external)
        }
    }
}

/// Reads "6x26x30" or "8 × 32 × 36".
///
/// # Errors
/// A text of another form, or sizes that cannot be a spline.
pub fn parse_straight_spline(text: &str) -> Result<StraightSpline, BadInput> {
    let unreadable = || BadInput::Unreadable {
        field: "designation",
        text: text.chars().take(40).collect(),
        wanted: "teeth x minor x major diameter, such as 6x26x30",
    };
    let plain: String =
        text.to_lowercase().replace(['×', '*'], "x").replace(',', ".").split_whitespace().collect();
    let mut pieces = plain.split('x');
    let (Some(teeth), Some(minor), Some(major), None) =
        (pieces.next(), pieces.next(), pieces.next(), pieces.next())
    else {
        return Err(unreadable());
    };
    StraightSpline::new(
        teeth.parse().map_err(|_| unreadable())?,
        minor.parse().map_err(|_| unreadable())?,
        major.parse().map_err(|_| unreadable())?,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn standard_sizes_carry_their_width() {
        assert_eq!(parse_straight_spline("8 × 32 × 36").unwrap().tooth_width_mm, Some(6.0));
        assert_eq!(parse_straight_spline("10x72x82").unwrap().tooth_width_mm, Some(12.0));
        assert_eq!(parse_straight_spline("6x26x31").unwrap().tooth_width_mm, None);
        assert_eq!(parse_straight_spline("6x30x26").unwrap_err().field(), "minor_diameter_mm");
        assert!(parse_straight_spline("6x26").is_err());
    }
}
