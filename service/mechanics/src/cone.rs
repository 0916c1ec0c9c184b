//! Whether a synchroniser ring seats on a gear's cone.

use crate::bounds::{self, Bound};
use crate::feature::Cone;
use crate::verdict::{FaultKind, Judgement, Side};

/// Largest difference of half angles (common practice, no source).
pub const HALF_ANGLE_LIMIT_DEG: f64 = 0.1;
/// Largest difference of mean diameters: 0.8 mm along the axis at 7° (common practice, no source).
pub const MEAN_DIAMETER_LIMIT_MM: f64 = 0.2;

const HALF_ANGLE: Bound = Bound { least: 0.5, most: 45.0, unit: "deg" };

/// The verdict on a cone and a ring.
pub fn judge_cone(a: &Cone, b: &Cone) -> Judgement {
    let mut out = Judgement::open(2);
    if let (Some(first), Some(second)) = (a.internal, b.internal)
        && first == second
    {
        let word = |internal| if internal { "ring" } else { "cone" };
        out.word_fault(FaultKind::SameSex, word(first), word(second));
    }
    let angles = [(Side::A, a), (Side::B, b)]
        .map(|(side, cone)| take(&mut out, side, &HALF_ANGLE, "half_angle_deg", cone.half_angle_deg));
    let diameters = [(Side::A, a), (Side::B, b)].map(|(side, cone)| {
        take(&mut out, side, &bounds::DIAMETER, "mean_diameter_mm", cone.mean_diameter_mm)
    });
    if let [Some(first), Some(second)] = angles
        && (first - second).abs() > HALF_ANGLE_LIMIT_DEG
    {
        out.differs(FaultKind::ConeAngle, first, second, HALF_ANGLE_LIMIT_DEG, "deg");
    }
    if let [Some(first), Some(second)] = diameters {
        if (first - second).abs() > MEAN_DIAMETER_LIMIT_MM {
            out.differs(FaultKind::ConeDiameter, first, second, MEAN_DIAMETER_LIMIT_MM, "mm");
        }
        if let [Some(angle), _] = angles {
            let offset = (first - second).abs() / (2.0 * angle.to_radians().tan());
            let rule = ("|d_1 − d_2|/(2·tan α)", "own calculation");
            out.figure(("axial offset of the ring", "Δz", "mm"), offset, rule);
        }
    }
    out.close()
}

fn take(
    out: &mut Judgement,
    side: Side,
    bound: &Bound,
    field: &'static str,
    value: Option<f64>,
) -> Option<f64> {
    match bound.check_known(field, value) {
        Ok(Some(known)) => Some(known),
        Ok(None) => {
            out.lacks(side, field);
            None
        }
        Err(error) => {
            out.impossible(side, &error);
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verdict::Verdict;

    #[test]
    fn a_ring_seats_on_its_own_cone_only() {
        let cone = Cone {
            internal: Some(false),
            half_angle_deg: Some(7.0),
            mean_diameter_mm: Some(80.0),
            width_mm: None,
        };
        let ring = Cone { internal: Some(true), ..cone };
        assert_eq!(judge_cone(&cone, &ring).verdict, Verdict::Fits);
        let steep = Cone { half_angle_deg: Some(6.5), ..ring };
        assert_eq!(judge_cone(&cone, &steep).faults[0].kind, FaultKind::ConeAngle);
        let small = Cone { mean_diameter_mm: Some(78.0), ..ring };
        assert_eq!(judge_cone(&cone, &small).faults[0].kind, FaultKind::ConeDiameter);
        assert_eq!(judge_cone(&cone, &cone).faults[0].kind, FaultKind::SameSex);
        let unknown = Cone { mean_diameter_mm: None, ..ring };
        assert_eq!(judge_cone(&cone, &unknown).verdict, Verdict::Unverified);
    }
}
