//! Whether two faces bear on each other along an axis, and whether they fill the space there is.

use std::f64::consts::PI;

use crate::bounds;
use crate::feature::ThrustFace;
use crate::joint::Joint;
use crate::verdict::{FaultKind, Judgement, Side};

/// The verdict on two faces in a stack.
pub fn judge_stack(joint: &Joint, a: &ThrustFace, b: &ThrustFace) -> Judgement {
    let mut out = Judgement::open(3);
    let rings = [(Side::A, a), (Side::B, b)].map(|(side, face)| ring_of(&mut out, side, face));
    if let [Some(first), Some(second)] = rings {
        let inner = first.0.max(second.0);
        let outer = first.1.min(second.1);
        if outer <= inner {
            out.differs(FaultKind::FacesDoNotBear, outer, inner, 0.0, "mm");
        } else {
            let area = PI / 4.0 * (outer * outer - inner * inner);
            let rule = ("π/4·(D² − d²) of the common ring", "own calculation");
            out.figure(("bearing area", "A", "mm2"), area, rule);
        }
    }
    test_thickness(&mut out, joint, a, b);
    out.close()
}

fn ring_of(out: &mut Judgement, side: Side, face: &ThrustFace) -> Option<(f64, f64)> {
    let mut ends =
        [("inner_diameter_mm", face.inner_diameter_mm), ("outer_diameter_mm", face.outer_diameter_mm)].map(
            |(field, value)| match bounds::DIAMETER.check_known(field, value) {
                Ok(Some(known)) => Some(known),
                Ok(None) => {
                    out.lacks(side, field);
                    None
                }
                Err(error) => {
                    out.impossible(side, &error);
                    None
                }
            },
        );
    if let [Some(inner), Some(outer)] = ends
        && inner >= outer
    {
        out.impossible(side, &crate::mesh_gear::out_of("inner_diameter_mm", inner, 0.0, outer));
        ends[0] = None;
    }
    Some((ends[0]?, ends[1]?))
}

/// Only asked for where the joint names limits.
fn test_thickness(out: &mut Judgement, joint: &Joint, a: &ThrustFace, b: &ThrustFace) {
    if joint.minimum_thickness_mm.is_none() && joint.maximum_thickness_mm.is_none() {
        return;
    }
    let mut sum = Some(0.0);
    for (side, face) in [(Side::A, a), (Side::B, b)] {
        match bounds::LENGTH.check_known("thickness_mm", face.thickness_mm) {
            Ok(Some(thickness)) => sum = sum.map(|sum| sum + thickness),
            Ok(None) => {
                out.lacks(side, "thickness_mm");
                sum = None;
            }
            Err(error) => {
                out.impossible(side, &error);
                sum = None;
            }
        }
    }
    let mut limits = [None, None];
    let given = [
        ("minimum_thickness_mm", joint.minimum_thickness_mm),
        ("maximum_thickness_mm", joint.maximum_thickness_mm),
    ];
    for (limit, (field, value)) in limits.iter_mut().zip(given) {
        match bounds::LENGTH.check_known(field, value) {
            Ok(known) => *limit = known,
            Err(error) => out.impossible(Side::Joint, &error),
        }
    }
    let Some(sum) = sum else { return };
    out.figure(("thickness of both", "s", "mm"), sum, ("s_1 + s_2", "own calculation"));
    // A micrometre below the limit is still the limit.
    if let Some(least) = limits[0].filter(|least| sum < least - 0.0005) {
        out.beyond(FaultKind::Thickness, sum, least, "mm");
    }
    if let Some(most) = limits[1].filter(|most| sum > most + 0.0005) {
        out.beyond(FaultKind::Thickness, sum, most, "mm");
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::joint::JointKind;
    use crate::verdict::Verdict;

    fn face(inner: f64, outer: f64, thickness: Option<f64>) -> ThrustFace {
        ThrustFace { inner_diameter_mm: Some(inner), outer_diameter_mm: Some(outer), thickness_mm: thickness }
    }

    #[test]
    fn rings_bear_where_they_overlap() {
        let joint = Joint::new(JointKind::Stack);
        assert_eq!(
            judge_stack(&joint, &face(30.0, 50.0, None), &face(32.0, 60.0, None)).verdict,
            Verdict::Fits
        );
        let inside = judge_stack(&joint, &face(30.0, 40.0, None), &face(42.0, 60.0, None));
        assert_eq!(inside.faults[0].kind, FaultKind::FacesDoNotBear);
    }

    #[test]
    fn limits_of_thickness_ask_for_it() {
        let joint = Joint { maximum_thickness_mm: Some(5.0), ..Joint::new(JointKind::Stack) };
        let thick = judge_stack(&joint, &face(30.0, 50.0, Some(3.0)), &face(30.0, 50.0, Some(2.1)));
        assert_eq!(thick.faults[0].kind, FaultKind::Thickness);
        let unknown = judge_stack(&joint, &face(30.0, 50.0, Some(3.0)), &face(30.0, 50.0, None));
        assert_eq!(unknown.verdict, Verdict::Unverified);
    }
}
