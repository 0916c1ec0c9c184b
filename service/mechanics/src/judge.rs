//! The one entry to all verdicts on joints.

use crate::bearing_seat::judge_bearing_seat;
use crate::cone::judge_cone;
use crate::dog_teeth::judge_dog_clutch;
use crate::feature::Feature;
use crate::joint::{Joint, JointKind};
use crate::mesh::judge_mesh;
use crate::shaft_seal::judge_seal;
use crate::spline_fit::judge_spline;
use crate::thread::judge_thread;
use crate::thrust_face::judge_stack;
use crate::verdict::{FaultKind, Judgement, Side};

/// Whether face `a` and face `b` go together in `joint`.
///
/// Never fails: a face that cannot take part in the joint is a fault, an impossible figure counts as missing.
/// The same faces the other way round give the same verdict, with the sides changed over.
#[inline]
pub fn judge(joint: &Joint, a: &Feature, b: &Feature) -> Judgement {
    match (joint.kind, a, b) {
        (JointKind::Mesh, Feature::Gear(a), Feature::Gear(b)) => judge_mesh(joint, a, b),
        (JointKind::Spline, Feature::Spline(a), Feature::Spline(b)) => judge_spline(joint, a, b),
        (JointKind::BearingSeat, Feature::Cylinder(a), Feature::Cylinder(b)) => {
            judge_bearing_seat(joint, a, b)
        }
        (JointKind::Seal, Feature::Seal(seal), seat) if is_seal_seat(seat) => judge_seal(seal, seat, Side::A),
        (JointKind::Seal, seat, Feature::Seal(seal)) if is_seal_seat(seat) => judge_seal(seal, seat, Side::B),
        (JointKind::Thread, Feature::Thread(a), Feature::Thread(b)) => judge_thread(a, b),
        (JointKind::Stack, Feature::ThrustFace(a), Feature::ThrustFace(b)) => judge_stack(joint, a, b),
        (JointKind::DogClutch, Feature::DogTeeth(a), Feature::DogTeeth(b)) => judge_dog_clutch(a, b),
        (JointKind::Cone, Feature::Cone(a), Feature::Cone(b)) => judge_cone(a, b),
        _ => wrong_features(joint.kind, a, b),
    }
}

/// A seal runs on a seat, or on a plain journal or in a plain bore.
fn is_seal_seat(feature: &Feature) -> bool {
    matches!(feature, Feature::SealSeat(_) | Feature::Cylinder(_))
}

fn suits(joint: JointKind, feature: &Feature) -> bool {
    match joint {
        JointKind::Mesh => matches!(feature, Feature::Gear(_)),
        JointKind::Spline => matches!(feature, Feature::Spline(_)),
        JointKind::BearingSeat => matches!(feature, Feature::Cylinder(_)),
        JointKind::Seal => matches!(feature, Feature::Seal(_)) || is_seal_seat(feature),
        JointKind::Thread => matches!(feature, Feature::Thread(_)),
        JointKind::Stack => matches!(feature, Feature::ThrustFace(_)),
        JointKind::DogClutch => matches!(feature, Feature::DogTeeth(_)),
        JointKind::Cone => matches!(feature, Feature::Cone(_)),
    }
}

fn wrong_features(joint: JointKind, a: &Feature, b: &Feature) -> Judgement {
    let mut out = Judgement::open(0);
    let (a_code, b_code) = (a.kind().code(), b.kind().code());
    for (side, feature) in [(Side::A, a), (Side::B, b)] {
        if !suits(joint, feature) {
            out.word_fault(FaultKind::WrongFeature { side, joint, found: feature.kind() }, a_code, b_code);
        }
    }
    if out.faults.is_empty() {
        // Each face suits the joint but not the other one: two seals, or a seat on a seat.
        out.word_fault(FaultKind::SameSex, a_code, b_code);
    }
    out.close()
}
