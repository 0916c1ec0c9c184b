//! Facts of the trade as check values (common practice, no source; the geometry is made up).

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use mechanics::gear::ToothSystem;
use mechanics::gear_pair::pair_at_centre_distance;
use mechanics::preload::{DragLimits, DragVerdict, TorqueLimits, drag_reading};
use mechanics::road_speed::ratio_change;
use mechanics::spline_capacity::{CarryingSpline, capacity_ratio};
use mechanics::{Fault, FaultKind, Feature, GearTeeth, Hand, Joint, Judgement, Verdict, judge};

const CENTRE_DISTANCE_MM: f64 = 88.0;

fn gear(teeth: u32, module: f64, angle: f64, helix: f64, shift: f64, hand: Hand) -> Feature {
    Feature::Gear(GearTeeth {
        tooth_count: teeth,
        normal_module_mm: Some(module),
        normal_pressure_angle_deg: Some(angle),
        helix_angle_deg: Some(helix),
        helix_hand: Some(hand),
        profile_shift: Some(shift),
        face_width_mm: Some(20.0),
        ..GearTeeth::default()
    })
}

/// The shift that lets `teeth` run without backlash on a wheel of 28 teeth and shift 0.1.
fn shift_for(module: f64, angle: f64, helix: f64, teeth: u32) -> f64 {
    let system = ToothSystem::new(module, angle, helix).unwrap();
    pair_at_centre_distance(&system, [teeth, 28], CENTRE_DISTANCE_MM).unwrap().sum_of_shifts - 0.1
}

fn on_the_original_wheel(layshaft_gear: &Feature) -> Judgement {
    let wheel = gear(28, 2.75, 20.0, 22.0, 0.1, Hand::Right);
    judge(&Joint::mesh(CENTRE_DISTANCE_MM), layshaft_gear, &wheel)
}

#[test]
fn a_longer_top_gear_saves_some_five_hundred_revolutions() {
    let change = ratio_change(3000.0, 0.838, 0.7101).unwrap();
    assert!((change.engine_speed_after - 2542.0).abs() < 0.5);
    assert!((change.drop - 500.0).abs() <= 60.0);
}

#[test]
fn a_full_complement_and_a_longer_spline_each_about_double() {
    let old = CarryingSpline {
        carrying_teeth: 15,
        flank_height_mm: 1.8,
        engaged_length_mm: 37.5,
        mean_radius_mm: 21.0,
        load_share: 0.75,
    };
    let full = CarryingSpline { carrying_teeth: 30, ..old };
    assert!((capacity_ratio(&full, &old).unwrap() - 2.0).abs() < 0.1);
    for length in [80.0, 100.0] {
        let longer = CarryingSpline { engaged_length_mm: length, ..old };
        assert!(capacity_ratio(&longer, &old).unwrap() >= 2.0);
    }
}

#[test]
fn an_overdrive_layshaft_with_another_tooth_form_loses_the_original_intermediate_gear() {
    let original = gear(31, 2.75, 20.0, 22.0, shift_for(2.75, 20.0, 22.0, 31), Hand::Left);
    assert_eq!(on_the_original_wheel(&original).verdict, Verdict::Fits);

    // The set that brings another tooth form.
    let other_form = gear(30, 2.75, 17.5, 25.0, 0.2, Hand::Left);
    let lost = on_the_original_wheel(&other_form);
    assert_eq!(lost.verdict, Verdict::DoesNotFit);
    let kinds: Vec<FaultKind> = lost.faults.iter().map(|fault: &Fault| fault.kind).collect();
    assert!(kinds.contains(&FaultKind::NormalBasePitch), "{kinds:?}");
    assert!(kinds.contains(&FaultKind::HelixAngle), "{kinds:?}");

    // The set cut to suit the original: a tooth fewer, with the shift the distance asks for.
    let suited = gear(30, 2.75, 20.0, 22.0, shift_for(2.75, 20.0, 22.0, 30), Hand::Left);
    assert_eq!(on_the_original_wheel(&suited).verdict, Verdict::Fits);
}

#[test]
fn preload_too_tight_and_too_loose_are_told_apart() {
    let limits =
        DragLimits { new_bearings: TorqueLimits { min_nm: 1.5, max_nm: 2.5 }, run_in_bearings: None };
    assert_eq!(drag_reading(4.0, &limits, true, false).unwrap().verdict, DragVerdict::TooTight);
    assert_eq!(drag_reading(0.4, &limits, true, false).unwrap().verdict, DragVerdict::TooLoose);
}
