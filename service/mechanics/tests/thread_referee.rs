//! Metric threads against the tables of ISO 965 in Debian's freecad-common 0.20.2 (LGPL-2+), a row a thread, kept in
//! `screw_limits_6g.csv` and `nut_limits_6h.csv`. `tests/referees/thread_limits.py` of the repository writes them anew.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use mechanics::thread::{parse_thread, screw_limits_6g, thread_geometry};

/// What the referee prints is rounded to a micrometre.
const ROUNDED_MM: f64 = 0.000_6;

/// Rows of the referee that its other rows refute: M33x3.5 has an upper deviation of 32 µm where M30x3.5 has 53, the
/// pitch 1.6, which ISO 261 has at no diameter, a narrower tolerance than 1.5.
const REFEREE_MISPRINTS: &[&str] = &["M33x3.5", "M16x1.6"];

fn rows(table: &'static str) -> impl Iterator<Item = (&'static str, Vec<f64>)> {
    table.lines().skip(1).map(|line| {
        let (thread, figures) = line.split_once(',').unwrap();
        (thread, figures.split(',').map(|cell| cell.parse().unwrap()).collect())
    })
}

#[test]
fn every_screw_of_class_6g_agrees() {
    let (mut compared, mut by_formula, mut wrong) = (0, 0, Vec::new());
    for (thread, theirs) in rows(include_str!("screw_limits_6g.csv")) {
        let read = parse_thread(thread).unwrap();
        let limits = screw_limits_6g(read.pitch_mm).unwrap();
        let basic = thread_geometry(read.diameter_mm, read.pitch_mm).unwrap();
        let most = read.diameter_mm + limits.upper_deviation_um / 1000.0;
        let least = most - limits.major_tolerance_um / 1000.0;
        let pitch_diameter = basic.pitch_diameter_mm + limits.upper_deviation_um / 1000.0;
        let ours = [least, most, pitch_diameter];
        // A pitch of no standard thread: the formulae, which the standard's rounding leaves by up to some micrometres.
        let allowed = if limits.printed { ROUNDED_MM } else { 0.004 };
        by_formula += u32::from(!limits.printed);
        compared += 1;
        let near = ours.iter().zip(&theirs).all(|(a, b)| (a - b).abs() <= allowed);
        if near == REFEREE_MISPRINTS.contains(&thread) {
            wrong.push(format!("{thread}: ours {ours:?}, theirs {theirs:?}"));
        }
    }
    assert!(wrong.is_empty(), "{} of {compared} differ:\n{}", wrong.len(), wrong.join("\n"));
    assert!(compared > 170 && by_formula < 5, "{compared} rows, {by_formula} of them by formula");
}

#[test]
fn every_nut_of_class_6h_has_our_basic_profile() {
    let (mut compared, mut wrong) = (0, Vec::new());
    for (thread, theirs) in rows(include_str!("nut_limits_6h.csv")) {
        let read = parse_thread(thread).unwrap();
        let basic = thread_geometry(read.diameter_mm, read.pitch_mm).unwrap();
        // Class H starts at the basic profile.
        let ours = [basic.nut_minor_diameter_mm, basic.pitch_diameter_mm];
        compared += 1;
        if ours.iter().zip(&theirs).any(|(a, b)| (a - b).abs() > ROUNDED_MM) {
            wrong.push(format!("{thread}: ours {ours:?}, theirs {theirs:?}"));
        }
    }
    assert!(wrong.is_empty(), "{} of {compared} differ:\n{}", wrong.len(), wrong.join("\n"));
    assert!(compared > 80, "only {compared} rows");
}
