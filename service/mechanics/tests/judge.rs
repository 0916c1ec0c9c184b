//! The entry `judge` over every kind of joint and face, with sensible, silly and impossible figures.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use mechanics::*;
use proptest::prelude::*;

fn figure() -> impl Strategy<Value = Option<f64>> {
    prop_oneof![
        2 => Just(None),
        3 => (0.5_f64..120.0).prop_map(Some),
        2 => prop::sample::select(vec![20.0, 25.0, 40.0, 30.0, 2.0, 1.5]).prop_map(Some),
        1 => proptest::num::f64::ANY.prop_map(Some),
    ]
}

fn hand() -> impl Strategy<Value = Option<Hand>> {
    prop::sample::select(vec![None, Some(Hand::Left), Some(Hand::Right), Some(Hand::Spur)])
}

fn tolerance() -> impl Strategy<Value = Option<Tolerance>> {
    prop_oneof![
        Just(None),
        Just(Some(Tolerance::BearingNormal)),
        prop::sample::select(vec!["k6", "H7", "js5", "t7", "K9", "N3", "m6", "J7", "c11"])
            .prop_map(|text| Some(Tolerance::Iso286(text.parse().unwrap()))),
        (proptest::num::f64::ANY, -50.0_f64..50.0)
            .prop_map(|(lower_um, upper_um)| Some(Tolerance::Limits { lower_um, upper_um })),
    ]
}

fn feature() -> impl Strategy<Value = Feature> {
    let roles = vec![
        CylinderRole::Bore,
        CylinderRole::Journal,
        CylinderRole::BearingBore,
        CylinderRole::BearingOutside,
    ];
    let standards = vec![
        SplineStandard::Iso4156,
        SplineStandard::Din5480,
        SplineStandard::AnsiB92,
        SplineStandard::Straight,
    ];
    let figures = prop::collection::vec(figure(), 8);
    let choice = (0_u8..9, 0_u32..40, any::<bool>(), any::<Option<u32>>());
    (choice, figures, hand(), prop::sample::select(roles), prop::sample::select(standards), tolerance())
        .prop_map(|((kind, count, flag, carrying), v, hand, role, standard, tolerance)| match kind {
            0 => Feature::Gear(GearTeeth {
                tooth_count: count,
                normal_module_mm: v[0],
                normal_pressure_angle_deg: v[1],
                helix_angle_deg: v[2],
                helix_hand: hand,
                profile_shift: v[3],
                tip_diameter_mm: v[4],
                ..GearTeeth::default()
            }),
            1 => Feature::Spline(SplineTeeth {
                module_mm: v[0],
                pressure_angle_deg: v[1],
                reference_diameter_mm: v[2],
                major_diameter_mm: v[3],
                minor_diameter_mm: v[4],
                tooth_or_space_width_mm: v[5],
                engaged_length_mm: v[6],
                carrying_teeth: carrying.map(|teeth| teeth % 50),
                ..SplineTeeth::new(standard, count, flag)
            }),
            2 => Feature::Cylinder(Cylinder { role, diameter_mm: v[0], tolerance, length_mm: v[1] }),
            3 => Feature::Seal(ShaftSeal { shaft_mm: v[0], bore_mm: v[1], width_mm: v[2] }),
            4 => Feature::SealSeat(SealSeat { shaft_mm: v[0], bore_mm: v[1], width_mm: v[2] }),
            5 => Feature::Thread(Thread { diameter_mm: v[0], pitch_mm: v[1], hand, internal: flag }),
            6 => Feature::ThrustFace(ThrustFace {
                inner_diameter_mm: v[0],
                outer_diameter_mm: v[1],
                thickness_mm: v[2],
            }),
            7 => Feature::DogTeeth(DogTeeth {
                tooth_count: count,
                internal: Some(flag),
                pitch_diameter_mm: v[0],
                flank_angle_deg: v[1],
                length_mm: v[2],
            }),
            _ => Feature::Cone(Cone {
                internal: Some(flag),
                half_angle_deg: v[0],
                mean_diameter_mm: v[1],
                width_mm: v[2],
            }),
        })
}

const KINDS: [JointKind; 8] = [
    JointKind::Mesh,
    JointKind::Spline,
    JointKind::BearingSeat,
    JointKind::Seal,
    JointKind::Thread,
    JointKind::Stack,
    JointKind::DogClutch,
    JointKind::Cone,
];

/// The joint that suits a feature.
fn own_joint(feature: &Feature) -> JointKind {
    match feature {
        Feature::Gear(_) => JointKind::Mesh,
        Feature::Spline(_) => JointKind::Spline,
        Feature::Cylinder(_) => JointKind::BearingSeat,
        Feature::Seal(_) | Feature::SealSeat(_) => JointKind::Seal,
        Feature::Thread(_) => JointKind::Thread,
        Feature::ThrustFace(_) => JointKind::Stack,
        Feature::DogTeeth(_) => JointKind::DogClutch,
        Feature::Cone(_) => JointKind::Cone,
    }
}

fn numbers(judgement: &Judgement) -> Vec<f64> {
    let mut all: Vec<f64> = judgement.figures.iter().map(|figure| figure.value).collect();
    for fault in &judgement.faults {
        for side in [fault.a, fault.b] {
            if let Value::Number(number) = side {
                all.push(number);
            }
        }
        all.extend(fault.limit);
    }
    for missing in &judgement.missing {
        match missing.reason {
            MissingReason::NotGiven => {}
            MissingReason::Impossible { value, least, most, .. } => all.extend([value, least, most]),
            MissingReason::TooUncertain { uncertainty, difference, limit, .. } => {
                all.extend([uncertainty, difference, limit]);
            }
        }
    }
    all.extend(judgement.warnings.iter().flat_map(|warning| [warning.value, warning.advised]));
    all
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1000))]

    #[test]
    fn every_joint_and_face_gives_a_sound_judgement(
        a in feature(), b in feature(), foreign in prop::option::of(prop::sample::select(KINDS.to_vec())),
        v in prop::collection::vec(figure(), 9),
    ) {
        let joint = Joint {
            kind: foreign.unwrap_or(own_joint(&a)),
            centre_distance_mm: v[0],
            minimum_backlash_mm: v[1],
            maximum_backlash_mm: v[2],
            common_width_mm: v[3],
            minimum_length_mm: v[4],
            minimum_clearance_um: v[5],
            maximum_clearance_um: v[6],
            minimum_thickness_mm: v[7],
            maximum_thickness_mm: v[8],
        };
        let got = judge(&joint, &a, &b);
        for number in numbers(&got) {
            prop_assert!(number.is_finite(), "{got:?}");
        }
        prop_assert_eq!(got.verdict == Verdict::DoesNotFit, !got.faults.is_empty());
        prop_assert_eq!(got.verdict == Verdict::Fits, got.faults.is_empty() && got.missing.is_empty());
        let swapped = judge(&joint, &b, &a);
        prop_assert_eq!(got.verdict, swapped.verdict, "{:?} {:?}", got, swapped);
    }

    #[test]
    fn a_face_of_another_kind_never_fits(a in feature(), b in feature()) {
        let seal = |feature: &Feature| matches!(feature, Feature::Seal(_) | Feature::SealSeat(_) | Feature::Cylinder(_));
        prop_assume!(a.kind() != b.kind() && !(seal(&a) && seal(&b)));
        for kind in KINDS {
            prop_assert_eq!(judge(&Joint::new(kind), &a, &b).verdict, Verdict::DoesNotFit);
        }
    }
}

#[test]
fn the_wrong_face_is_named() {
    let gear = Feature::Gear(GearTeeth { tooth_count: 20, ..GearTeeth::default() });
    let cone = Feature::Cone(Cone::default());
    let got = judge(&Joint::new(JointKind::Mesh), &gear, &cone);
    let wanted = FaultKind::WrongFeature { side: Side::B, joint: JointKind::Mesh, found: FeatureKind::Cone };
    assert_eq!(got.faults.iter().map(|fault| fault.kind).collect::<Vec<_>>(), vec![wanted]);
    let two_seats = judge(
        &Joint::new(JointKind::Seal),
        &Feature::SealSeat(SealSeat::default()),
        &Feature::SealSeat(SealSeat::default()),
    );
    assert_eq!(two_seats.faults[0].kind, FaultKind::SameSex);
}
