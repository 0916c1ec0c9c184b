//! What a verdict and a shim choice cost.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use mechanics::shims::choose_shims;
use mechanics::{
    Cylinder, CylinderRole, Feature, GearTeeth, Hand, Joint, JointKind, SplineStandard, SplineTeeth,
    Tolerance, judge,
};

fn gear(teeth: u32, hand: Hand, shift: f64, tip: f64) -> Feature {
    Feature::Gear(GearTeeth {
        tooth_count: teeth,
        normal_module_mm: Some(3.0),
        normal_pressure_angle_deg: Some(20.0),
        helix_angle_deg: Some(20.0),
        helix_hand: Some(hand),
        profile_shift: Some(shift),
        tip_diameter_mm: Some(tip),
        face_width_mm: Some(22.0),
        ..GearTeeth::default()
    })
}

fn verdicts(c: &mut Criterion) {
    let (a, b) = (gear(22, Hand::Left, 0.055_385, 76.4), gear(40, Hand::Right, 0.3, 135.3));
    let mesh = Joint::mesh(100.0);
    c.bench_function("mesh verdict", |bench| {
        bench.iter(|| judge(black_box(&mesh), black_box(&a), black_box(&b)))
    });

    let iso = |class: &str| class.parse().ok().map(Tolerance::Iso286);
    let journal =
        Feature::Cylinder(Cylinder { tolerance: iso("k5"), ..Cylinder::new(CylinderRole::Journal, 40.0) });
    let bearing = Feature::Cylinder(Cylinder::new(CylinderRole::BearingBore, 40.0));
    let shaft = SplineTeeth {
        module_mm: Some(2.0),
        pressure_angle_deg: Some(30.0),
        ..SplineTeeth::new(SplineStandard::Iso4156, 20, true)
    };
    let (shaft, hub) = (Feature::Spline(shaft), Feature::Spline(SplineTeeth { external: false, ..shaft }));
    let seat = Joint::new(JointKind::BearingSeat);
    let spline = Joint::new(JointKind::Spline);
    c.bench_function("unit of 100 joints, 4 candidates each", |bench| {
        bench.iter(|| {
            let mut fits = 0_u32;
            for i in 0..400_u32 {
                let judged = match i % 3 {
                    0 => judge(black_box(&mesh), &a, &b),
                    1 => judge(black_box(&seat), &bearing, &journal),
                    _ => judge(black_box(&spline), &shaft, &hub),
                };
                fits += u32::from(judged.faults.is_empty());
            }
            fits
        });
    });
}

fn shims(c: &mut Criterion) {
    let pieces: Vec<f64> =
        (0..30).map(|i| 0.1 + 0.037 * f64::from(i)).map(|t| (t * 1000.0).round() / 1000.0).collect();
    c.bench_function("shims from 30 pieces", |bench| {
        bench.iter(|| choose_shims(black_box(&pieces), black_box(2.713), 0.01, &[]));
    });
    c.bench_function("shims from 30 pieces, thick pack", |bench| {
        bench.iter(|| choose_shims(black_box(&pieces), black_box(12.349), 0.01, &[]));
    });
}

criterion_group!(benches, verdicts, shims);
criterion_main!(benches);
