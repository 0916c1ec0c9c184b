//! Limits of holes and shafts against the tables of the PyPI package isofits 1.0 (MIT licence), one row a size step and
//! class, kept in `iso_286_limits.csv`.

use mechanics::iso_286::{ToleranceClass, limits};

/// Misprints of the referee: the width of these rows is not the standard tolerance that its other rows of the same step
/// and grade have (E7 at 355 and 400 mm: 60 for 57 µm; K6 at 10 mm: 8 for 9; f6 from 140 to 180 mm: 5 for 25).
const REFEREE_MISPRINTS: &[(&str, &str)] =
    &[("355", "E7"), ("400", "E7"), ("10", "K6"), ("140", "f6"), ("160", "f6"), ("180", "f6")];

#[test]
fn every_row_of_the_referee_agrees() {
    let mut compared = 0;
    let mut wrong = Vec::new();
    for line in include_str!("iso_286_limits.csv").lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let size: f64 = cells[0].parse().unwrap();
        let class: ToleranceClass = cells[1].parse().unwrap();
        let theirs = (cells[2].parse::<f64>().unwrap(), cells[3].parse::<f64>().unwrap());
        let ours = limits(size, class).unwrap();
        compared += 1;
        if (ours.upper_um, ours.lower_um) != theirs && !REFEREE_MISPRINTS.contains(&(cells[0], cells[1])) {
            wrong.push(format!("{size} {class}: ours {ours:?}, theirs {theirs:?}"));
        }
    }
    assert!(wrong.is_empty(), "{} of {compared} differ:\n{}", wrong.len(), wrong.join("\n"));
    assert!(compared > 1400);
}
