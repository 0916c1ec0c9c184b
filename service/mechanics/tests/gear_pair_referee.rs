//! A thousand random gear pairs against two referees, whose figures are kept in `gear_pairs.csv`: centre distances without
//! backlash of the PyPI package py-gearworks 0.0.24 (Apache-2.0); contact ratios and backlash derived from the definition of
//! an involute with 40 digits of the PyPI package mpmath 1.4.1 (BSD). `tests/referees/gear_pairs.py` of the repository writes
//! that file anew.

use mechanics::backlash::backlash;
use mechanics::gear::{BasicRack, ToothSystem};
use mechanics::gear_pair::{pair_at_centre_distance, pair_from_shifts};
use mechanics::{FaultKind, GearTeeth, Hand, Joint, mesh::judge_mesh};

/// How far the two may be apart, as a share.
const AGREEMENT: f64 = 1e-9;

struct Pair {
    teeth: [u32; 2],
    module: f64,
    pressure: f64,
    helix: f64,
    shifts: [f64; 2],
    distance: f64,
    contact_ratio: f64,
    opened: f64,
    allowances: [f64; 2],
    backlash: f64,
}

impl Pair {
    fn gear(&self, side: usize, hand: Hand) -> GearTeeth {
        GearTeeth {
            tooth_count: self.teeth[side],
            normal_module_mm: Some(self.module),
            normal_pressure_angle_deg: Some(self.pressure),
            helix_angle_deg: Some(self.helix),
            helix_hand: Some(if self.helix == 0.0 { Hand::Spur } else { hand }),
            profile_shift: Some(self.shifts[side]),
            ..GearTeeth::default()
        }
    }
}

fn pairs() -> Vec<Pair> {
    let lines = include_str!("gear_pairs.csv").lines().skip(1);
    let pair = |line: &str| {
        let cells: Vec<f64> =
            line.split(',').map(|cell| cell.parse().expect("the file holds numbers")).collect();
        Pair {
            teeth: [cells[0] as u32, cells[1] as u32],
            module: cells[2],
            pressure: cells[3],
            helix: cells[4],
            shifts: [cells[5], cells[6]],
            distance: cells[7],
            contact_ratio: cells[8],
            opened: cells[9],
            allowances: [cells[10], cells[11]],
            backlash: cells[12],
        }
    };
    lines.map(pair).collect()
}

#[test]
fn a_thousand_centre_distances_agree() {
    let pairs = pairs();
    assert_eq!(pairs.len(), 1000);
    for (at, pair) in pairs.iter().enumerate() {
        let system = ToothSystem::new(pair.module, pair.pressure, pair.helix).unwrap();
        let rack = BasicRack::ISO_53_A;
        if let Ok(ours) = pair_from_shifts(&system, pair.teeth, pair.shifts, &rack, true) {
            let share = (ours.centre_distance_mm / pair.distance - 1.0).abs();
            assert!(
                share <= AGREEMENT,
                "row {at}: ours {}, theirs {}",
                ours.centre_distance_mm,
                pair.distance
            );
        }
        // Back from their centre distance: the sum of shifts, near nought of which only a difference says something.
        let back = pair_at_centre_distance(&system, pair.teeth, pair.distance).unwrap();
        let off = back.sum_of_shifts - pair.shifts[0] - pair.shifts[1];
        assert!(off.abs() <= AGREEMENT * 10.0, "row {at}: off by {off}");
    }
}

#[test]
fn a_thousand_contact_ratios_agree() {
    for (at, pair) in pairs().iter().enumerate() {
        let system = ToothSystem::new(pair.module, pair.pressure, pair.helix).unwrap();
        let ours = pair_from_shifts(&system, pair.teeth, pair.shifts, &BasicRack::ISO_53_A, true).unwrap();
        let share = (ours.contact_ratio / pair.contact_ratio - 1.0).abs();
        assert!(share <= AGREEMENT, "row {at}: ours {}, theirs {}", ours.contact_ratio, pair.contact_ratio);
    }
}

#[test]
fn a_thousand_backlashes_agree() {
    for (at, pair) in pairs().iter().enumerate() {
        let system = ToothSystem::new(pair.module, pair.pressure, pair.helix).unwrap();
        let ours = backlash(&system, pair.teeth, pair.shifts, pair.allowances, pair.opened).unwrap();
        // A difference of two lengths of the size of the pitch: held against that, as ten digits of it say.
        let off = (ours.circumferential_mm - pair.backlash).abs();
        assert!(
            off <= AGREEMENT * pair.backlash.abs().max(0.01 * pair.module),
            "row {at}: ours {}, theirs {}",
            ours.circumferential_mm,
            pair.backlash
        );
    }
}

#[test]
fn the_mesh_test_finds_their_centre_distance_free_of_backlash() {
    let (mut told, mut opened) = (0, 0);
    for (at, pair) in pairs().iter().enumerate() {
        let gear = |side: usize, hand: Hand| pair.gear(side, hand);
        let judged = judge_mesh(&Joint::mesh(pair.distance), &gear(0, Hand::Left), &gear(1, Hand::Right));
        if let Some(backlash) = judged.value_of("j_wt,min") {
            assert!(backlash.abs() <= AGREEMENT * pair.distance, "row {at}: {backlash}");
            told += 1;
        }
        let thinned = |side: usize, hand: Hand| GearTeeth {
            thickness_allowance_upper_mm: Some(pair.allowances[side]),
            thickness_allowance_lower_mm: Some(pair.allowances[side]),
            ..gear(side, hand)
        };
        let judged = judge_mesh(&Joint::mesh(pair.opened), &thinned(0, Hand::Left), &thinned(1, Hand::Right));
        if let Some(backlash) = judged.value_of("j_wt,min") {
            assert!((backlash - pair.backlash).abs() <= AGREEMENT * pair.distance, "row {at}: {backlash}");
            opened += 1;
        }
    }
    assert!(told > 900 && opened > 900, "only {told} and {opened} pairs were judged so far");
}

/// The verdict turns where the referee's backlash passes what the joint allows: a pair with more room than is asked for
/// fits on that score, one with less does not.
#[test]
fn the_verdict_turns_at_the_referees_backlash() {
    // Ten times what the judge forgives as rounding.
    const ASIDE: f64 = 0.05;
    let mut turned = 0;
    for (at, pair) in pairs().iter().enumerate() {
        let thinned = |side: usize, hand: Hand| GearTeeth {
            thickness_allowance_upper_mm: Some(pair.allowances[side]),
            thickness_allowance_lower_mm: Some(pair.allowances[side]),
            ..pair.gear(side, hand)
        };
        let too_small = |asked: f64| {
            let joint = Joint {
                minimum_backlash_mm: Some(asked),
                maximum_backlash_mm: Some(10.0),
                ..Joint::mesh(pair.opened)
            };
            let judged = judge_mesh(&joint, &thinned(0, Hand::Left), &thinned(1, Hand::Right));
            let told = judged.value_of("j_wt,min").is_some();
            told.then(|| judged.faults.iter().any(|fault| fault.kind == FaultKind::BacklashTooSmall))
        };
        let (Some(with_room), Some(without)) =
            (too_small(pair.backlash - ASIDE), too_small(pair.backlash + ASIDE))
        else {
            continue;
        };
        assert!(!with_room, "row {at}: {} is more than is asked for", pair.backlash);
        assert!(without, "row {at}: {} is less than is asked for", pair.backlash);
        turned += 1;
    }
    assert!(turned > 900, "only {turned} pairs were judged so far");
}
