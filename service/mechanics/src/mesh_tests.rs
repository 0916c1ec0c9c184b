use super::*;
use crate::verdict::Verdict;
use proptest::prelude::*;

fn gear(teeth: u32, hand: Hand, shift: f64) -> GearTeeth {
    GearTeeth {
        tooth_count: teeth,
        normal_module_mm: Some(3.0),
        normal_pressure_angle_deg: Some(20.0),
        helix_angle_deg: Some(if hand == Hand::Spur { 0.0 } else { 20.0 }),
        helix_hand: Some(hand),
        profile_shift: Some(shift),
        face_width_mm: Some(22.0),
        ..GearTeeth::default()
    }
}

fn kinds(judgement: &Judgement) -> Vec<FaultKind> {
    judgement.faults.iter().map(|fault| fault.kind).collect()
}

#[test]
fn a_pair_with_the_shifts_its_distance_asks_for_fits() {
    // Own calculation: Σx for 22/40 at 100 mm is 0.355385.
    let got = judge_mesh(&Joint::mesh(100.0), &gear(22, Hand::Left, 0.055_385), &gear(40, Hand::Right, 0.3));
    assert_eq!(got.verdict, Verdict::Fits, "{got:?}");
    assert!(got.value_of("j_wt,min").unwrap().abs() < 1e-4);
    assert!((got.value_of("a_tight").unwrap() - 100.0).abs() < 1e-4);
}

#[test]
fn one_tooth_fewer_without_its_own_shift_rattles_and_with_too_much_jams() {
    let wheel = gear(40, Hand::Right, 0.3);
    let at = |shift| judge_mesh(&Joint::mesh(100.0), &gear(21, Hand::Left, shift), &wheel);
    assert_eq!(kinds(&at(0.05)), vec![FaultKind::BacklashTooLarge]);
    assert_eq!(at(0.648_667).verdict, Verdict::Fits, "{:?}", at(0.648_667));
    assert!(kinds(&at(0.75)).contains(&FaultKind::BacklashTooSmall));
}

#[test]
fn hands_and_helix_must_suit() {
    let joint = Joint::mesh(100.0);
    let left = gear(22, Hand::Left, 0.055_385);
    assert_eq!(kinds(&judge_mesh(&joint, &left, &gear(40, Hand::Left, 0.3))), vec![FaultKind::HelixHand]);
    let spur = kinds(&judge_mesh(&joint, &left, &gear(40, Hand::Spur, 0.3)));
    assert!(spur.contains(&FaultKind::HelixHand) && spur.contains(&FaultKind::HelixAngle), "{spur:?}");
    let steeper = GearTeeth { helix_angle_deg: Some(21.0), ..gear(40, Hand::Right, 0.3) };
    assert!(kinds(&judge_mesh(&joint, &left, &steeper)).contains(&FaultKind::HelixAngle));
}

#[test]
fn module_and_tooth_count_alone_can_refuse() {
    let bare = |teeth, module| GearTeeth {
        tooth_count: teeth,
        normal_module_mm: Some(module),
        ..GearTeeth::default()
    };
    let got = judge_mesh(&Joint::new(crate::joint::JointKind::Mesh), &bare(19, 3.25), &bare(40, 3.0));
    assert_eq!(kinds(&got), vec![FaultKind::Module]);
    let far = judge_mesh(&Joint::mesh(150.0), &bare(20, 3.0), &bare(40, 3.0));
    assert_eq!(kinds(&far), vec![FaultKind::CentreDistanceOutOfReach]);
    let open = judge_mesh(&Joint::mesh(100.0), &bare(22, 3.0), &bare(40, 3.0));
    assert_eq!(open.verdict, Verdict::Unverified);
    let lacking: Vec<_> = open.missing.iter().map(|missing| (missing.side, missing.figure)).collect();
    assert!(lacking.contains(&(Side::A, "normal_pressure_angle_deg")), "{lacking:?}");
    assert!(lacking.contains(&(Side::B, "profile_shift")), "{lacking:?}");
}

#[test]
fn equal_base_pitch_of_different_modules_is_told_not_refused() {
    // m1·cos α1 = m2·cos α2: 5 mm at 20° and 4.853044 mm at 14.5°.
    let coarse = GearTeeth { normal_module_mm: Some(5.0), ..gear(20, Hand::Spur, 0.0) };
    let fine = GearTeeth {
        normal_module_mm: Some(4.853_044),
        normal_pressure_angle_deg: Some(14.5),
        ..gear(40, Hand::Spur, 0.0)
    };
    let got = judge_mesh(&Joint::mesh(148.9), &coarse, &fine);
    assert!(!kinds(&got).contains(&FaultKind::NormalBasePitch), "{got:?}");
    assert!(got.warnings.iter().any(|warning| warning.kind == WarningKind::ModulesDiffer));
}

#[test]
fn full_tips_foul_and_short_ones_do_not_reach() {
    let joint = Joint::mesh(56.4999);
    let pinion = |tip| GearTeeth { tip_diameter_mm: tip, ..gear(12, Hand::Spur, 0.6) };
    let wheel = |tip| GearTeeth { tip_diameter_mm: tip, ..gear(24, Hand::Spur, 0.36) };
    let good = judge_mesh(&joint, &pinion(Some(44.84)), &wheel(Some(79.4)));
    assert_eq!(good.verdict, Verdict::Fits, "{good:?}");
    let long = judge_mesh(&joint, &pinion(Some(45.6)), &wheel(Some(81.0)));
    assert!(kinds(&long).contains(&FaultKind::TipClearanceAtRootOfA), "{long:?}");
    let short = judge_mesh(&joint, &pinion(Some(42.0)), &wheel(Some(77.0)));
    assert_eq!(kinds(&short), vec![FaultKind::ContactRatio]);
    let shorter = judge_mesh(&joint, &pinion(Some(39.0)), &wheel(Some(73.0)));
    assert!(kinds(&shorter).contains(&FaultKind::TeethDoNotReach));
}

#[test]
fn a_large_shift_brings_interference_that_the_contact_ratio_hides() {
    let system = ToothSystem::new(3.0, 20.0, 0.0).unwrap();
    let rack = crate::gear::BasicRack::ISO_53_A;
    let pair = crate::gear_pair::pair_from_shifts(&system, [18, 40], [1.49, 0.0], &rack, true).unwrap();
    let a = GearTeeth { tip_diameter_mm: Some(pair.tip_diameters_mm[0]), ..gear(18, Hand::Spur, 1.49) };
    let b = GearTeeth { tip_diameter_mm: Some(pair.tip_diameters_mm[1]), ..gear(40, Hand::Spur, 0.0) };
    let got = judge_mesh(&Joint::mesh(pair.centre_distance_mm), &a, &b);
    assert!(
        kinds(&got)
            .iter()
            .any(|kind| matches!(kind, FaultKind::InterferenceAtRootOfA | FaultKind::InterferenceAtRootOfB)),
        "{got:?}"
    );
}

#[test]
fn a_rough_measurement_leaves_the_pair_open() {
    let measured =
        |doubt| GearTeeth { base_pitch_uncertainty_mm: Some(doubt), ..gear(22, Hand::Left, 0.055_385) };
    let wheel = gear(40, Hand::Right, 0.3);
    let rough = judge_mesh(&Joint::mesh(100.0), &measured(0.05), &wheel);
    assert_eq!(rough.verdict, Verdict::Unverified);
    assert_eq!(rough.missing.len(), 1, "{:?}", rough.missing);
    assert_eq!(rough.missing[0].figure, "normal_base_pitch");
    let fine = judge_mesh(&Joint::mesh(100.0), &measured(0.01), &wheel);
    assert_eq!(fine.verdict, Verdict::Fits);
    assert!(fine.warnings.iter().any(|warning| warning.kind == WarningKind::MeasuredFigure));
}

#[test]
fn impossible_figures_count_as_missing() {
    let wrong = GearTeeth { normal_module_mm: Some(-3.0), ..gear(22, Hand::Left, 0.0) };
    let got = judge_mesh(&Joint::mesh(100.0), &wrong, &gear(40, Hand::Right, 0.3));
    assert_eq!(got.verdict, Verdict::Unverified);
    assert!(
        got.missing
            .iter()
            .any(|missing| missing.figure == "normal_module_mm" && missing.reason.code() == "impossible")
    );
    let none = judge_mesh(&Joint::mesh(100.0), &gear(0, Hand::Left, 0.0), &gear(40, Hand::Right, 0.3));
    assert_eq!((none.verdict, none.missing[0].figure), (Verdict::Unverified, "tooth_count"));
    let below = judge_mesh(&Joint::mesh(80.0), &gear(22, Hand::Left, 0.0), &gear(40, Hand::Right, 0.3));
    assert_eq!(kinds(&below), vec![FaultKind::CentreDistanceOutOfReach]);
}

fn anything() -> impl Strategy<Value = Option<f64>> {
    prop_oneof![
        Just(None),
        (0.0_f64..100.0).prop_map(Some),
        (-3.0_f64..30.0).prop_map(Some),
        proptest::num::f64::ANY.prop_map(Some)
    ]
}

fn any_gear() -> impl Strategy<Value = GearTeeth> {
    let hand =
        prop_oneof![Just(None), Just(Some(Hand::Left)), Just(Some(Hand::Right)), Just(Some(Hand::Spur))];
    (0_u32..200, prop::collection::vec(anything(), 10), hand).prop_map(|(tooth_count, v, helix_hand)| {
        GearTeeth {
            tooth_count,
            normal_module_mm: v[0],
            normal_pressure_angle_deg: v[1],
            helix_angle_deg: v[2],
            helix_hand,
            profile_shift: v[3],
            tip_diameter_mm: v[4],
            root_diameter_mm: v[5],
            face_width_mm: v[6],
            thickness_allowance_upper_mm: v[7],
            thickness_allowance_lower_mm: v[8],
            base_pitch_uncertainty_mm: v[9],
        }
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn no_gear_gives_nan_and_the_verdict_keeps_its_meaning(
        a in any_gear(), b in any_gear(), distance in anything(), width in anything(), limit in anything(),
    ) {
        let joint = Joint {
            centre_distance_mm: distance,
            common_width_mm: width,
            minimum_backlash_mm: limit,
            ..Joint::new(crate::joint::JointKind::Mesh)
        };
        let got = judge_mesh(&joint, &a, &b);
        for figure in &got.figures {
            prop_assert!(figure.value.is_finite(), "{figure:?}");
        }
        prop_assert_eq!(got.verdict == Verdict::DoesNotFit, !got.faults.is_empty());
        prop_assert_eq!(got.verdict == Verdict::Fits, got.faults.is_empty() && got.missing.is_empty());
    }

    #[test]
    fn changing_the_gears_over_changes_only_the_sides(
        z1 in 10_u32..60, z2 in 10_u32..60, x1 in -0.4_f64..0.8, x2 in -0.4_f64..0.8, spread in -1.0_f64..1.5,
        helical in any::<bool>(),
    ) {
        let (left, right) = if helical { (Hand::Left, Hand::Right) } else { (Hand::Spur, Hand::Spur) };
        let (a, b) = (gear(z1, left, x1), gear(z2, right, x2));
        let joint = Joint::mesh(1.5 * f64::from(z1 + z2) + spread * 3.0);
        let (one, other) = (judge_mesh(&joint, &a, &b), judge_mesh(&joint, &b, &a));
        prop_assert_eq!(one.verdict, other.verdict);
        prop_assert_eq!(one.faults.len(), other.faults.len());
        prop_assert_eq!(one.missing.len(), other.missing.len());
        prop_assert_eq!(one.warnings.len(), other.warnings.len());
        for symbol in ["ε_α", "j_wt,min", "a_tight"] {
            if let (Some(x), Some(y)) = (one.value_of(symbol), other.value_of(symbol)) {
                prop_assert!((x - y).abs() < 1e-9 * x.abs().max(1.0), "{symbol} {x} {y}");
            }
        }
    }
}
