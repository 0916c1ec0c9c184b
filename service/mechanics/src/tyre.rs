//! Tyre designations to size and rolling circumference.
//!
//! Metric form W/A R d (ISO 4000-1, from memory): section height H = W·A/100, overall diameter D = 25.4·d + 2H. Inch
//! form D×W R d. Exact arithmetic: the standard's tables round rims and heights and differ by up to a millimetre.

use std::f64::consts::PI;

use crate::bad_input::BadInput;
use crate::bounds::Bound;
use crate::pitch::INCH_MM;

/// Rolling circumference of a loaded radial tyre over its overall diameter (trade rule, from memory).
pub const RADIAL_ROLLING_FACTOR: f64 = 3.05;

const WIDTH: Bound = Bound { least: 80.0, most: 900.0, unit: "mm" };
const ASPECT: Bound = Bound { least: 20.0, most: 110.0, unit: "%" };
const RIM: Bound = Bound { least: 8.0, most: 60.0, unit: "in" };
const OVERALL_INCH: Bound = Bound { least: 15.0, most: 80.0, unit: "in" };
const WIDTH_INCH: Bound = Bound { least: 3.0, most: 35.0, unit: "in" };

/// Sizes that a designation tells, unloaded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TyreSize {
    /// Section width.
    pub section_width_mm: f64,
    /// Section height.
    pub section_height_mm: f64,
    /// Rim diameter.
    pub rim_diameter_mm: f64,
    /// Overall diameter.
    pub overall_diameter_mm: f64,
    /// Circumference of the unloaded tyre, π·D.
    pub geometric_circumference_mm: f64,
    /// Rolling circumference of a loaded radial, 3.05·D.
    pub rolling_circumference_mm: f64,
}

/// Reads "265/70R16", "LT 265/70 R 16 112S", "205/65ZR15" or "31x10.50R15".
///
/// # Errors
/// A text of another form, or a size no tyre has.
pub fn parse_tyre(text: &str) -> Result<TyreSize, BadInput> {
    let unreadable = || BadInput::Unreadable {
        field: "tyre",
        text: text.chars().take(40).collect(),
        wanted: "width/aspect R rim such as 265/70R16, or diameter x width R rim in inches such as 31x10.50R15",
    };
    let plain: String = text.to_uppercase().replace('×', "X").replace(',', ".").split_whitespace().collect();
    let body = plain.trim_start_matches(|c: char| c.is_ascii_alphabetic());
    let (first, rest) = leading_number(body).ok_or_else(unreadable)?;
    let (separator, rest) = rest.split_at_checked(1).ok_or_else(unreadable)?;
    let (second, rest) = leading_number(rest).ok_or_else(unreadable)?;
    // R, ZR, D (bias), B or a dash stand between section and rim.
    let rest =
        ["ZR", "R", "D", "B", "-"].iter().find_map(|mark| rest.strip_prefix(mark)).ok_or_else(unreadable)?;
    let (rim, rest) = leading_number(rest).ok_or_else(unreadable)?;
    // Load index, speed letter and C or LT may follow; nothing else.
    if !rest.chars().all(|c| c.is_ascii_alphanumeric() || c == '/') {
        return Err(unreadable());
    }
    let rim = RIM.check("tyre", split_load_index(rim))?;
    match separator {
        "/" => {
            let width = WIDTH.check("tyre", first)?;
            let aspect = ASPECT.check("tyre", second)?;
            Ok(size(width, width * aspect / 100.0, rim * INCH_MM))
        }
        "X" => {
            let overall = OVERALL_INCH.check("tyre", first)?;
            let width = WIDTH_INCH.check("tyre", second)?;
            if overall <= rim {
                return Err(BadInput::Contradiction {
                    field: "tyre",
                    problem: "the overall diameter must be larger than the rim",
                });
            }
            Ok(size(width * INCH_MM, (overall - rim) * INCH_MM / 2.0, rim * INCH_MM))
        }
        _ => Err(unreadable()),
    }
}

/// Spaces are gone by now, so "R16 112S" reads as 16112: a rim has two digits (and perhaps .5).
fn split_load_index(number: f64) -> f64 {
    if number < 100.0 {
        return number;
    }
    let mut rim = number;
    while rim >= 100.0 {
        rim = (rim / 10.0).floor();
    }
    rim
}

fn leading_number(text: &str) -> Option<(f64, &str)> {
    let end = text.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(text.len());
    let (number, rest) = text.split_at(end);
    // More digits than any tyre has would only lose precision.
    if number.len() > 8 {
        return None;
    }
    Some((number.parse().ok()?, rest))
}

fn size(width: f64, height: f64, rim: f64) -> TyreSize {
    let overall = rim + 2.0 * height;
    TyreSize {
        section_width_mm: width,
        section_height_mm: height,
        rim_diameter_mm: rim,
        overall_diameter_mm: overall,
        geometric_circumference_mm: PI * overall,
        rolling_circumference_mm: RADIAL_ROLLING_FACTOR * overall,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_trades_spellings_are_read() {
        let plain = parse_tyre("265/70R16").unwrap();
        for same in [
            "LT265/70R16",
            "265/70 R 16",
            "265/70R16 112S",
            "P265/70ZR16",
            "265/70R16C 112/110S",
            "265/70-16",
        ] {
            assert_eq!(parse_tyre(same).unwrap(), plain, "{same}");
        }
        let inch = parse_tyre("31x10.50R15").unwrap();
        assert!((inch.overall_diameter_mm - 787.4).abs() < 1e-9);
        assert!((parse_tyre("31×10,50 R15 LT").unwrap().section_width_mm - 266.7).abs() < 1e-9);
    }

    #[test]
    fn other_texts_are_refused() {
        for bad in ["", "265/70", "265R16", "tyre", "265/70Q16", "0/70R16", "265/700R16", "15x10R31"] {
            assert_eq!(parse_tyre(bad).unwrap_err().field(), "tyre", "{bad}");
        }
    }

    proptest! {
        #[test]
        fn no_text_breaks_the_reader(text in "\\PC{0,24}") {
            if let Ok(size) = parse_tyre(&text) {
                prop_assert!(size.overall_diameter_mm.is_finite() && size.overall_diameter_mm > 0.0);
            }
        }
    }
}
