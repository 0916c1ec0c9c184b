//! Tolerances of DIN 5480 tooth thickness, as far as the standard's table could be read.

use crate::bad_input::BadInput;
use crate::spline_involute::InvoluteDesignation;

/// Tolerances of tooth thickness after table 7 of DIN 5480-1, in micrometres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Din5480Tolerance {
    /// Deviation A_s.
    pub deviation_um: f64,
    /// Actual tolerance T_act.
    pub actual_um: f64,
    /// Effective tolerance T_eff.
    pub effective_um: f64,
}

/// Rows of the table that could be read; the ranges of its rows could not, so a row answers for its own size only:
/// module, teeth, grade, letter.
const DIN_5480_ROWS: [(f64, u32, u8, char, Din5480Tolerance); 1] =
    [(2.0, 14, 9, 'g', Din5480Tolerance { deviation_um: -11.0, actual_um: 45.0, effective_um: 26.0 })];

/// Tolerance of a DIN 5480 class.
///
/// # Errors
/// A class or size that the table held here does not hold; most are not.
pub fn din_5480_tolerance(designation: &InvoluteDesignation) -> Result<Din5480Tolerance, BadInput> {
    DIN_5480_ROWS
        .iter()
        .find(|(module, teeth, grade, letter, _)| {
            *module == designation.module_mm
                && *teeth == designation.tooth_count
                && Some(*grade) == designation.grade
                && Some(*letter) == designation.deviation
        })
        .map(|(.., tolerance)| *tolerance)
        .ok_or_else(|| BadInput::NotInTable {
            field: "designation",
            text: format!(
                "m {} z {} {}{}",
                designation.module_mm,
                designation.tooth_count,
                designation.grade.map_or(String::new(), |grade| grade.to_string()),
                designation.deviation.map_or(String::new(), String::from)
            ),
            table: "the rows of DIN 5480-1 table 7 held here",
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spline_involute::parse_din_5480;

    #[test]
    fn a_row_that_is_not_held_is_not_guessed() {
        let other = parse_din_5480("W 40 x 2 x 18 x 9g").unwrap();
        assert_eq!(din_5480_tolerance(&other).unwrap_err().code(), "not_in_table");
    }
}
