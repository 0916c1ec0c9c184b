//! Rolling-bearing designations: type, boundary dimensions, bore code, and what the suffixes change.

use crate::bad_input::BadInput;
use crate::bearing_tables as tables;

/// Type of a rolling bearing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BearingType {
    /// Single-row deep groove ball.
    DeepGrooveBall,
    /// Single-row angular contact ball.
    AngularContactBall,
    /// Single-row cylindrical roller of any rib form (N, NU, NJ, NUP).
    CylindricalRoller,
    /// Single-row tapered roller.
    TaperedRoller,
}

impl BearingType {
    /// Stable word for files and interfaces.
    pub fn code(self) -> &'static str {
        match self {
            Self::DeepGrooveBall => "deep_groove_ball",
            Self::AngularContactBall => "angular_contact_ball",
            Self::CylindricalRoller => "cylindrical_roller",
            Self::TaperedRoller => "tapered_roller",
        }
    }
}

/// Boundary dimensions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoundaryDimensions {
    /// Bore d.
    pub bore_mm: f64,
    /// Outside D.
    pub outside_mm: f64,
    /// Width B; of a tapered bearing the cone's.
    pub width_mm: f64,
    /// Assembled width T of a tapered bearing. T, B and C differ.
    pub assembled_width_mm: Option<f64>,
    /// Cup width C of a tapered bearing.
    pub cup_width_mm: Option<f64>,
}

/// What a suffix says. None changes d, D, B except [`SuffixMeaning::SnapRing`], which adds a ring on the outside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SuffixMeaning {
    /// Contact seals.
    Seals,
    /// Metal shields.
    Shields,
    /// Radial clearance group: 2 less than normal, 3 to 5 more.
    RadialClearance,
    /// Snap ring groove on the outside, perhaps with its ring.
    SnapRing,
    /// Cage make.
    Cage,
    /// Accuracy class.
    Accuracy,
    /// Reinforced or otherwise altered inside.
    Inside,
    /// Steep contact angle: another cone and cup, which never mix with the plain ones.
    SteepAngle,
    /// Dimensions brought to the ISO plan.
    IsoDimensions,
    /// Not known here.
    Unknown,
}

impl SuffixMeaning {
    /// Stable word for files and interfaces.
    pub fn code(self) -> &'static str {
        match self {
            Self::Seals => "seals",
            Self::Shields => "shields",
            Self::RadialClearance => "radial_clearance",
            Self::SnapRing => "snap_ring",
            Self::Cage => "cage",
            Self::Accuracy => "accuracy",
            Self::Inside => "inside",
            Self::SteepAngle => "steep_angle",
            Self::IsoDimensions => "iso_dimensions",
            Self::Unknown => "unknown",
        }
    }
}

/// A suffix of a designation.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Suffix {
    /// As written.
    pub text: String,
    /// What it says.
    pub meaning: SuffixMeaning,
}

/// A designation read.
#[derive(Debug, Clone, PartialEq)]
pub struct Bearing {
    /// Basic designation, such as 6206, NU 206 or 30205.
    pub basic: String,
    /// Type.
    pub bearing_type: BearingType,
    /// Boundary dimensions.
    pub dimensions: BoundaryDimensions,
    /// Suffixes in the order written.
    pub suffixes: Vec<Suffix>,
}

/// Bore of a bore code: 00 to 03 are 10, 12, 15, 17 mm, 04 to 96 five times the code.
pub fn bore_of_code_mm(code: u32) -> Option<f64> {
    match code {
        0 => Some(10.0),
        1 => Some(12.0),
        2 => Some(15.0),
        3 => Some(17.0),
        4..=96 => Some(f64::from(code) * 5.0),
        _ => None,
    }
}

fn unreadable(text: &str) -> BadInput {
    BadInput::Unreadable {
        field: "bearing",
        text: text.chars().take(40).collect(),
        wanted: "a designation such as 6206-2RS, NU 206, 30205 or 320/28 X",
    }
}

/// Reads a designation.
///
/// # Errors
/// A text of another form, or a bearing that the tables do not hold.
pub fn parse_bearing(text: &str) -> Result<Bearing, BadInput> {
    let upper = text.trim().to_uppercase();
    let letters = upper.len() - upper.trim_start_matches(|c: char| c.is_ascii_alphabetic()).len();
    let (prefix, rest) = upper.split_at(letters);
    let rest = rest.trim_start();
    let digits = rest.len() - rest.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let (number, rest) = rest.split_at(digits);
    let (by_bore, rest) = match rest.strip_prefix('/') {
        Some(after) => {
            let end = after.find(|c: char| !c.is_ascii_digit()).unwrap_or(after.len());
            let (bore, rest) = after.split_at(end);
            (Some(bore.parse::<u32>().map_err(|_| unreadable(text))?), rest)
        }
        None => (None, rest),
    };
    if number.is_empty() || number.len() > 6 {
        return Err(unreadable(text));
    }
    let (bearing_type, dimensions) = match (prefix, by_bore) {
        ("", Some(bore)) => tapered_by_bore(number, f64::from(bore)),
        ("", None) => plain_number(number),
        ("N" | "NU" | "NJ" | "NUP", None) => cylindrical(number),
        _ => return Err(unreadable(text)),
    }
    .ok_or_else(|| BadInput::NotInTable {
        field: "bearing",
        text: text.chars().take(40).collect(),
        table: "the series held here (60, 62, 63, 64, 70, 72, 73, N/NU/NJ/NUP 10 2 3 4 22 23, 302, 303, 320, 322, 323)",
    })?;
    let mut basic = String::from(prefix);
    if !prefix.is_empty() {
        basic.push(' ');
    }
    basic.push_str(number);
    if let Some(bore) = by_bore {
        basic.push_str(&format!("/{bore}"));
    }
    Ok(Bearing { basic, bearing_type, dimensions, suffixes: read_suffixes(rest) })
}

type Found = (BearingType, BoundaryDimensions);

fn radial(kind: BearingType, table: &[tables::Radial], code: u32) -> Option<Found> {
    let (_, outside_mm, width_mm) = table.iter().find(|(known, ..)| *known == code)?;
    let bore_mm = bore_of_code_mm(code)?;
    let plain = BoundaryDimensions {
        bore_mm,
        outside_mm: *outside_mm,
        width_mm: *width_mm,
        assembled_width_mm: None,
        cup_width_mm: None,
    };
    Some((kind, plain))
}

fn plain_number(number: &str) -> Option<Found> {
    // Split is safe: the number is ASCII digits.
    match number.len() {
        3 => {
            let (series, bore) = number.split_at(2);
            let bore: f64 = bore.parse().ok()?;
            let (.., outside_mm, width_mm) =
                tables::BALL_BY_DIGIT.iter().find(|(known, d, ..)| *known == series && *d == bore)?;
            let plain = BoundaryDimensions {
                bore_mm: bore,
                outside_mm: *outside_mm,
                width_mm: *width_mm,
                assembled_width_mm: None,
                cup_width_mm: None,
            };
            Some((BearingType::DeepGrooveBall, plain))
        }
        4 => {
            let (series, code) = number.split_at(2);
            let code: u32 = code.parse().ok()?;
            let (kind, table) = match series {
                "60" => (BearingType::DeepGrooveBall, tables::SERIES_10),
                "62" => (BearingType::DeepGrooveBall, tables::SERIES_02),
                "63" => (BearingType::DeepGrooveBall, tables::SERIES_03),
                "64" => (BearingType::DeepGrooveBall, tables::SERIES_04),
                "70" => (BearingType::AngularContactBall, tables::SERIES_10),
                "72" => (BearingType::AngularContactBall, tables::SERIES_02),
                "73" => (BearingType::AngularContactBall, tables::SERIES_03),
                _ => return None,
            };
            radial(kind, table, code)
        }
        5 => {
            let (series, code) = number.split_at(3);
            let code: u32 = code.parse().ok()?;
            let table = match series {
                "302" => tables::TAPERED_302,
                "303" => tables::TAPERED_303,
                "320" => tables::TAPERED_320,
                "322" => tables::TAPERED_322,
                "323" => tables::TAPERED_323,
                _ => return None,
            };
            let (_, d, t, b, c) = table.iter().find(|(known, ..)| *known == code)?;
            Some((BearingType::TaperedRoller, tapered(bore_of_code_mm(code)?, *d, *t, *b, *c)))
        }
        _ => None,
    }
}

fn tapered(bore_mm: f64, outside_mm: f64, assembled: f64, cone: f64, cup: f64) -> BoundaryDimensions {
    BoundaryDimensions {
        bore_mm,
        outside_mm,
        width_mm: cone,
        assembled_width_mm: Some(assembled),
        cup_width_mm: Some(cup),
    }
}

fn tapered_by_bore(series: &str, bore: f64) -> Option<Found> {
    let (_, d, outside, t, b, c) =
        tables::TAPERED_BY_BORE.iter().find(|(known, d, ..)| *known == series && *d == bore)?;
    Some((BearingType::TaperedRoller, tapered(*d, *outside, *t, *b, *c)))
}

fn cylindrical(number: &str) -> Option<Found> {
    let (series, code) = number.split_at_checked(number.len().checked_sub(2)?)?;
    let code: u32 = code.parse().ok()?;
    let kind = BearingType::CylindricalRoller;
    match series {
        "10" => radial(kind, tables::SERIES_10, code),
        "2" => radial(kind, tables::SERIES_02, code),
        "3" => radial(kind, tables::SERIES_03, code),
        "4" => radial(kind, tables::SERIES_04, code),
        "22" => widened(kind, tables::SERIES_02, tables::WIDTHS_22, code),
        "23" => widened(kind, tables::SERIES_03, tables::WIDTHS_23, code),
        _ => None,
    }
}

fn widened(kind: BearingType, table: &[tables::Radial], widths: &[(u32, f64)], code: u32) -> Option<Found> {
    let (_, width_mm) = widths.iter().find(|(known, _)| *known == code)?;
    let (kind, narrow) = radial(kind, table, code)?;
    Some((kind, BoundaryDimensions { width_mm: *width_mm, ..narrow }))
}

/// Suffix letters in general use (from memory); makers' own letters stay unknown.
fn meaning_of(suffix: &str) -> SuffixMeaning {
    match suffix {
        "RS" | "2RS" | "RS1" | "2RS1" | "2RSR" | "RSR" | "2RSH" => SuffixMeaning::Seals,
        "Z" | "2Z" | "ZZ" | "2ZR" => SuffixMeaning::Shields,
        "C1" | "C2" | "CN" | "C3" | "C4" | "C5" => SuffixMeaning::RadialClearance,
        "N" | "NR" => SuffixMeaning::SnapRing,
        "M" | "MA" | "MB" | "J" | "J2" | "P" | "TN" | "TN9" | "TVP" | "TVP2" | "Y" => SuffixMeaning::Cage,
        "P0" | "P6" | "P5" | "P4" => SuffixMeaning::Accuracy,
        "E" | "EC" | "ECP" | "A" | "EA" => SuffixMeaning::Inside,
        "B" | "BJ2" => SuffixMeaning::SteepAngle,
        "X" => SuffixMeaning::IsoDimensions,
        _ => SuffixMeaning::Unknown,
    }
}

fn read_suffixes(text: &str) -> Vec<Suffix> {
    text.split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|piece| !piece.is_empty())
        .map(|piece| Suffix { text: piece.to_owned(), meaning: meaning_of(piece) })
        .collect()
}

/// How two designations compare.
#[derive(Debug, Clone, PartialEq)]
pub struct BearingComparison {
    /// Same type and the same boundary dimensions.
    pub same_size: bool,
    /// Suffixes that only the first has.
    pub only_first: Vec<Suffix>,
    /// Suffixes that only the second has.
    pub only_second: Vec<Suffix>,
    /// True if cup and cone of the two may not be mixed: tapered bearings of other angle.
    pub parts_do_not_mix: bool,
}

/// Compares two bearings: what differs beside the size.
pub fn compare_bearings(first: &Bearing, second: &Bearing) -> BearingComparison {
    let without = |of: &Bearing, other: &Bearing| -> Vec<Suffix> {
        of.suffixes.iter().filter(|suffix| !other.suffixes.contains(suffix)).cloned().collect()
    };
    let only_first = without(first, second);
    let only_second = without(second, first);
    let steep = |list: &[Suffix]| list.iter().any(|suffix| suffix.meaning == SuffixMeaning::SteepAngle);
    let tapered = first.bearing_type == BearingType::TaperedRoller;
    BearingComparison {
        same_size: first.bearing_type == second.bearing_type && first.dimensions == second.dimensions,
        parts_do_not_mix: tapered
            && (steep(&only_first) || steep(&only_second) || first.basic != second.basic),
        only_first,
        only_second,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn suffixes_never_change_the_size() {
        let plain = parse_bearing("6206").unwrap();
        for text in ["6206-2RS", "6206 2Z C3", "6206NR", "6206-2RS1/C3"] {
            let other = parse_bearing(text).unwrap();
            let got = compare_bearings(&plain, &other);
            assert!(got.same_size && !got.only_second.is_empty(), "{text}");
        }
    }

    #[test]
    fn tapered_series_share_bore_and_outside_but_not_width() {
        let (narrow, wide) = (parse_bearing("30206").unwrap(), parse_bearing("32206").unwrap());
        assert_eq!(narrow.dimensions.bore_mm, wide.dimensions.bore_mm);
        assert_eq!(narrow.dimensions.outside_mm, wide.dimensions.outside_mm);
        assert!(!compare_bearings(&narrow, &wide).same_size);
        let steep = parse_bearing("32206 B").unwrap();
        let got = compare_bearings(&wide, &steep);
        assert!(got.same_size && got.parts_do_not_mix);
    }

    #[test]
    fn widths_grow_with_the_size_in_every_series() {
        for table in [
            tables::TAPERED_302,
            tables::TAPERED_303,
            tables::TAPERED_320,
            tables::TAPERED_322,
            tables::TAPERED_323,
        ] {
            for pair in table.windows(2) {
                assert!(pair[0].0 < pair[1].0 && pair[0].1 < pair[1].1 && pair[0].2 <= pair[1].2, "{pair:?}");
            }
            assert!(table.iter().all(|(_, _, t, b, c)| t >= b && b > c));
        }
        for table in [tables::SERIES_10, tables::SERIES_02, tables::SERIES_03, tables::SERIES_04] {
            for pair in table.windows(2) {
                assert!(pair[0].0 < pair[1].0 && pair[0].1 < pair[1].1 && pair[0].2 <= pair[1].2, "{pair:?}");
            }
        }
    }

    #[test]
    fn what_is_not_held_is_not_guessed() {
        assert_eq!(parse_bearing("6297").unwrap_err().code(), "not_in_table");
        assert_eq!(parse_bearing("Q 206").unwrap_err().code(), "unreadable");
        assert_eq!(parse_bearing("NU").unwrap_err().code(), "unreadable");
    }

    proptest! {
        #[test]
        fn no_text_breaks_the_reader(text in "(N|NU|NUP|Q)?[ ]?[0-9]{0,7}(/[0-9]{0,12})?\\PC{0,6}") {
            if let Ok(bearing) = parse_bearing(&text) {
                prop_assert!(bearing.dimensions.outside_mm > bearing.dimensions.bore_mm);
            }
        }
    }
}
