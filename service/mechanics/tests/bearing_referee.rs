//! Boundary dimensions of radial bearings against two tables, a row a bearing, kept in `bearing_dimensions.csv`: ISO 15 as
//! the PyPI package mechanical-components 0.3.4 has it, and a textbook's table of deep groove ball bearings as the PyPI
//! package melib 1.1.1 (GPL, data read only) has it. `tests/referees/bearing_dimensions.py` of the repository writes the
//! file anew.

use mechanics::bearing_designation::parse_bearing;

#[test]
fn every_bearing_that_we_know_has_their_dimensions() {
    let mut compared = std::collections::BTreeMap::<&str, u32>::new();
    let mut wrong = Vec::new();
    for line in include_str!("bearing_dimensions.csv").lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let theirs: Vec<f64> = cells[1..4].iter().map(|cell| cell.parse().unwrap()).collect();
        // Sizes beyond our tables are refused by name, which is no answer to hold against theirs.
        let ours = match parse_bearing(cells[0]) {
            Ok(bearing) => bearing.dimensions,
            Err(refused) => {
                assert_eq!(refused.code(), "not_in_table", "{line}");
                continue;
            }
        };
        *compared.entry(cells[4]).or_default() += 1;
        if vec![ours.bore_mm, ours.outside_mm, ours.width_mm] != theirs {
            wrong.push(format!("{}: ours {ours:?}, theirs {theirs:?}", cells[0]));
        }
    }
    assert!(wrong.is_empty(), "{compared:?} rows, these differ:\n{}", wrong.join("\n"));
    assert!(compared["ISO 15"] >= 110 && compared["textbook"] >= 75, "only {compared:?} rows");
}

/// All that our radial tables hold is among theirs, but for the smallest balls of series 60 and what is wider than the
/// textbook's table.
#[test]
fn hardly_a_bearing_of_ours_is_without_a_row() {
    let theirs: std::collections::BTreeSet<&str> = include_str!("bearing_dimensions.csv")
        .lines()
        .skip(1)
        .filter_map(|line| line.split(',').next())
        .collect();
    let (mut held, mut alone) = (0, Vec::new());
    for series in ["60", "62", "63", "64", "NU 22", "NU 23"] {
        for code in (0..100).map(|code| format!("{series}{code:02}")) {
            if parse_bearing(&code).is_ok() {
                if theirs.contains(code.as_str()) { held += 1 } else { alone.push(code) }
            }
        }
    }
    assert!(held > 120 && alone.len() < 8, "{held} with a row, without: {alone:?}");
}
