//! What our answers cost beside general-purpose libraries that answer the same in the same run:
//!
//! ```text
//! python3 -m venv target/referees
//! target/referees/bin/pip install --no-deps py-gearworks==0.0.24
//! target/referees/bin/pip install numpy scipy mpmath==1.4.1
//! cargo bench -p mechanics --bench beside_libraries
//! ```
//!
//! `REFEREES` names another interpreter. Only the ratios mean anything: the machine is the same for both, the languages are
//! not. Both answers are held against each other before their times are shown.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a benchmark takes the time, talks, and ends by panicking"
)]

use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

use mechanics::gear::{BasicRack, ToothSystem};
use mechanics::gear_pair::pair_from_shifts;
use mechanics::shims::choose_shims;
use mechanics::{GearTeeth, Hand, Joint, mesh::judge_mesh};

/// Thickness wanted of thirty pieces.
const WANTED_MM: f64 = 2.713;

struct Pair {
    a: GearTeeth,
    b: GearTeeth,
    distance: f64,
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap()
}

fn pairs() -> Vec<Pair> {
    let text = std::fs::read_to_string(root().join("service/mechanics/tests/gear_pairs.csv")).unwrap();
    let pair = |line: &str| {
        let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
        let gear = |side: usize, hand: Hand| GearTeeth {
            tooth_count: cells[side] as u32,
            normal_module_mm: Some(cells[2]),
            normal_pressure_angle_deg: Some(cells[3]),
            helix_angle_deg: Some(cells[4]),
            helix_hand: Some(if cells[4] == 0.0 { Hand::Spur } else { hand }),
            profile_shift: Some(cells[5 + side]),
            thickness_allowance_upper_mm: Some(-0.03),
            thickness_allowance_lower_mm: Some(-0.06),
            face_width_mm: Some(20.0),
            ..GearTeeth::default()
        };
        Pair { a: gear(0, Hand::Left), b: gear(1, Hand::Right), distance: cells[7] }
    };
    text.lines().skip(1).map(pair).collect()
}

fn pieces() -> Vec<f64> {
    let thickness = |at: i32| ((0.1 + 0.037 * f64::from(at)) * 1000.0).round() / 1000.0;
    (0..30).map(thickness).collect()
}

/// Nanoseconds a call in the quickest of many rounds, which other work on the machine disturbs least, and the sum of one
/// round's answers.
fn timed(rounds: u32, calls: usize, mut ask: impl FnMut(usize) -> f64) -> (f64, f64) {
    let (mut sum, mut quickest) = (0.0, f64::INFINITY);
    for _ in 0..rounds {
        let begun = Instant::now();
        sum = black_box((0..calls).map(&mut ask).sum());
        quickest = quickest.min(begun.elapsed().as_nanos() as f64 / calls as f64);
    }
    (quickest, sum)
}

fn centre_distance(pair: &Pair) -> f64 {
    let (module, pressure, helix) =
        (pair.a.normal_module_mm, pair.a.normal_pressure_angle_deg, pair.a.helix_angle_deg);
    let system = ToothSystem::new(module.unwrap(), pressure.unwrap(), helix.unwrap()).unwrap();
    let teeth = [pair.a.tooth_count, pair.b.tooth_count];
    let shifts = [pair.a.profile_shift.unwrap(), pair.b.profile_shift.unwrap()];
    pair_from_shifts(&system, teeth, shifts, &BasicRack::ISO_53_A, true).unwrap().centre_distance_mm
}

/// What the libraries take: name, nanoseconds, sum; none where their environment is not there.
fn theirs(pieces: &[f64]) -> Option<Vec<(String, f64, f64)>> {
    let python = std::env::var_os("REFEREES").map(PathBuf::from);
    let python = python.unwrap_or_else(|| root().join("target/referees/bin/python"));
    let listed = pieces.iter().map(ToString::to_string).collect::<Vec<_>>().join(",");
    let out = Command::new(&python)
        .arg(root().join("tests/referees/bench_gears.py"))
        .arg(root().join("service/mechanics/tests/gear_pairs.csv"))
        .args([WANTED_MM.to_string(), listed])
        .output()
        .ok()?;
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let line = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        (cells[0].to_owned(), cells[1].parse().unwrap(), cells[2].parse().unwrap())
    };
    Some(String::from_utf8_lossy(&out.stdout).lines().map(line).collect())
}

fn main() {
    let (pairs, pieces) = (pairs(), pieces());
    let verdict = timed(200, pairs.len(), |at| {
        let pair = &pairs[at];
        judge_mesh(&Joint::mesh(pair.distance), &pair.a, &pair.b).figures.len() as f64
    });
    println!("full mesh verdict: {:.0} ns", verdict.0);
    let distance = timed(200, pairs.len(), |at| centre_distance(&pairs[at]));
    let shims =
        timed(200, 5, |_| choose_shims(black_box(&pieces), WANTED_MM, 0.01, &[]).unwrap().error_mm.abs());
    println!("centre distance with tips, roots and contact ratio: {:.0} ns", distance.0);
    println!("shims from 30 pieces, proven best: {:.0} ns", shims.0);
    let Some(theirs) = theirs(&pieces) else {
        println!(
            "no libraries to hold them against: the head of benches/beside_libraries.rs says how to get them"
        );
        return;
    };
    for (name, nanoseconds, sum) in theirs {
        let (ours, whose) = match name.as_str() {
            "centre distance" => (distance, "py-gearworks"),
            _ => (shims, "SciPy milp"),
        };
        assert!((ours.1 - sum).abs() <= 1e-9 * sum.abs().max(1.0), "{name}: ours {}, theirs {sum}", ours.1);
        println!("{name}: {whose} takes {:.0} times as long ({nanoseconds:.0} ns)", nanoseconds / ours.0);
    }
}
