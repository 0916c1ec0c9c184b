//! Whether a bore and a journal go together, one of them perhaps a rolling bearing's.

use crate::bad_input::BadInput;
use crate::bearing_tolerance::{bearing_bore_limits, bearing_outside_limits};
use crate::bounds;
use crate::feature::{Cylinder, CylinderRole, Tolerance};
use crate::iso_286::{Fit, FitKind, Limits, fit_of, limits};
use crate::joint::Joint;
use crate::verdict::{FaultKind, Judgement, Side, WarningKind};

/// Largest difference of nominal diameters that is taken for rounding (own choice).
pub const NOMINAL_ROUNDING_MM: f64 = 0.005;
/// Tightest seat of a rolling bearing where the joint names none, per mille of the diameter (common practice, no source).
pub const TIGHTEST_BEARING_SEAT_PER_MILLE: f64 = 1.5;
/// Loosest seat of a rolling bearing where the joint names none, per mille of the diameter, at least
/// [`LOOSEST_BEARING_SEAT_UM`] (common practice, no source).
pub const LOOSEST_BEARING_SEAT_PER_MILLE: f64 = 1.0;
/// See [`LOOSEST_BEARING_SEAT_PER_MILLE`].
pub const LOOSEST_BEARING_SEAT_UM: f64 = 60.0;

const ISO_286: &str = "ISO 286-1";

/// The verdict on a seat.
pub fn judge_bearing_seat(joint: &Joint, a: &Cylinder, b: &Cylinder) -> Judgement {
    let mut out = Judgement::open(8);
    if a.role.is_internal() == b.role.is_internal() {
        out.word_fault(FaultKind::SameSex, a.role.code(), b.role.code());
        return out.close();
    }
    let sides = [(Side::A, a), (Side::B, b)];
    let known = sides.map(|(side, face)| diameter_of(&mut out, side, face));
    let bands = [0, 1].map(|i| known[i].and_then(|d| band_of(&mut out, sides[i].0, sides[i].1, d)));
    test_length(&mut out, joint, a, b);
    let [Some(da), Some(db)] = known else { return out.close() };
    out.figure(("nominal diameter of the first face", "d_1", "mm"), da, ("given", ISO_286));
    out.figure(("nominal diameter of the second face", "d_2", "mm"), db, ("given", ISO_286));
    let limited = joint.minimum_clearance_um.is_some() || joint.maximum_clearance_um.is_some();
    let apart = (da - db).abs() > NOMINAL_ROUNDING_MM;
    let [Some(of_a), Some(of_b)] = bands else {
        if apart {
            out.differs(FaultKind::Diameter, da, db, NOMINAL_ROUNDING_MM, "mm");
        }
        return out.close();
    };
    if apart && !limited {
        out.differs(FaultKind::Diameter, da, db, NOMINAL_ROUNDING_MM, "mm");
        return out.close();
    }
    let (hole, shaft, offset_um) = if a.role.is_internal() {
        (of_a, of_b, (da - db) * 1000.0)
    } else {
        (of_b, of_a, (db - da) * 1000.0)
    };
    let shifted = Limits { upper_um: hole.upper_um + offset_um, lower_um: hole.lower_um + offset_um };
    test_fit(&mut out, joint, a, b, da, fit_of(shifted, shaft));
    out.close()
}

fn diameter_of(out: &mut Judgement, side: Side, face: &Cylinder) -> Option<f64> {
    match bounds::DIAMETER.check_known("diameter_mm", face.diameter_mm) {
        Ok(Some(diameter)) => Some(diameter),
        Ok(None) => {
            out.lacks(side, "diameter_mm");
            None
        }
        Err(error) => {
            out.impossible(side, &error);
            None
        }
    }
}

/// Limit deviations of one face.
fn band_of(out: &mut Judgement, side: Side, face: &Cylinder, diameter: f64) -> Option<Limits> {
    let bearing = |role| match role {
        CylinderRole::BearingBore => Some(bearing_bore_limits(diameter)),
        CylinderRole::BearingOutside => Some(bearing_outside_limits(diameter)),
        CylinderRole::Bore | CylinderRole::Journal => None,
    };
    let wrong_class = || BadInput::Contradiction {
        field: "tolerance",
        problem: "a hole class belongs to a bore, a shaft class to a journal, a bearing class to a bearing",
    };
    let found = match face.tolerance {
        Some(Tolerance::Iso286(class)) if class.hole == face.role.is_internal() => limits(diameter, class),
        Some(Tolerance::Iso286(_)) => Err(wrong_class()),
        Some(Tolerance::BearingNormal) => bearing(face.role).unwrap_or_else(|| Err(wrong_class())),
        Some(Tolerance::Limits { lower_um, upper_um }) => checked_limits(lower_um, upper_um),
        None => match bearing(face.role) {
            Some(found) => {
                out.warn(WarningKind::BearingClassAssumed, side, diameter, diameter, "mm");
                found
            }
            None => {
                out.lacks(side, "tolerance");
                return None;
            }
        },
    };
    found.map_err(|error| out.impossible(side, &error)).ok()
}

fn checked_limits(lower_um: f64, upper_um: f64) -> Result<Limits, BadInput> {
    let lower_um = bounds::DEVIATION_UM.check("lower_deviation_um", lower_um)?;
    let upper_um = bounds::DEVIATION_UM.check("upper_deviation_um", upper_um)?;
    if lower_um > upper_um {
        return Err(BadInput::OutOfRange {
            field: "lower_deviation_um",
            value: lower_um,
            least: bounds::DEVIATION_UM.least,
            most: upper_um,
            unit: "um",
        });
    }
    Ok(Limits { upper_um, lower_um })
}

/// A limit of the joint; an impossible one counts as missing.
fn limit_of(out: &mut Judgement, field: &'static str, value: Option<f64>) -> Option<f64> {
    bounds::DEVIATION_UM.check_known(field, value).unwrap_or_else(|error| {
        out.impossible(Side::Joint, &error);
        None
    })
}

fn test_fit(out: &mut Judgement, joint: &Joint, a: &Cylinder, b: &Cylinder, diameter: f64, fit: Fit) {
    out.figure(("least clearance", "C_min", "um"), fit.clearance_min_um, ("EI − es", ISO_286));
    out.figure(("largest clearance", "C_max", "um"), fit.clearance_max_um, ("ES − ei", ISO_286));
    let mut tightest = limit_of(out, "minimum_clearance_um", joint.minimum_clearance_um);
    let mut loosest = limit_of(out, "maximum_clearance_um", joint.maximum_clearance_um);
    let rolling = |role| matches!(role, CylinderRole::BearingBore | CylinderRole::BearingOutside);
    if joint.minimum_clearance_um.is_none()
        && joint.maximum_clearance_um.is_none()
        && (rolling(a.role) || rolling(b.role))
    {
        tightest = Some(-TIGHTEST_BEARING_SEAT_PER_MILLE * diameter);
        loosest = Some((LOOSEST_BEARING_SEAT_PER_MILLE * diameter).max(LOOSEST_BEARING_SEAT_UM));
    }
    // A micrometre is the step of the tables; below it lies rounding.
    if let Some(limit) = tightest.filter(|limit| fit.clearance_min_um < limit - 0.5) {
        out.beyond(FaultKind::FitTooTight, fit.clearance_min_um, limit, "um");
    }
    if let Some(limit) = loosest.filter(|limit| fit.clearance_max_um > limit + 0.5) {
        out.beyond(FaultKind::FitTooLoose, fit.clearance_max_um, limit, "um");
    }
    if fit.kind == FitKind::Transition {
        out.warn(WarningKind::TransitionFit, Side::Joint, fit.clearance_max_um, 0.0, "um");
    }
}

fn test_length(out: &mut Judgement, joint: &Joint, a: &Cylinder, b: &Cylinder) {
    let Some(least) = joint.minimum_length_mm.filter(|least| least.is_finite()) else { return };
    for (side, face) in [(Side::A, a), (Side::B, b)] {
        match bounds::LENGTH.check_known("length_mm", face.length_mm) {
            Ok(Some(length)) if length < least => {
                out.beyond(FaultKind::EngagedLength, length, least, "mm");
            }
            Ok(Some(_)) => {}
            Ok(None) => out.lacks(side, "length_mm"),
            Err(error) => out.impossible(side, &error),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::joint::JointKind;
    use crate::verdict::Verdict;

    fn face(role: CylinderRole, diameter: f64, class: Option<&str>) -> Cylinder {
        let tolerance = class.map(|text| Tolerance::Iso286(text.parse().unwrap()));
        Cylinder { tolerance, ..Cylinder::new(role, diameter) }
    }

    fn seat() -> Joint {
        Joint::new(JointKind::BearingSeat)
    }

    #[test]
    fn a_bearing_fits_its_k5_seat() {
        let bearing = face(CylinderRole::BearingBore, 40.0, None);
        let got = judge_bearing_seat(&seat(), &bearing, &face(CylinderRole::Journal, 40.0, Some("k5")));
        assert_eq!(got.verdict, Verdict::Fits);
        assert_eq!(got.value_of("C_min"), Some(-25.0));
        assert_eq!(got.warnings[0].kind, WarningKind::BearingClassAssumed);
    }

    #[test]
    fn another_nominal_size_does_not_fit_even_without_tolerances() {
        let bearing = face(CylinderRole::BearingBore, 40.0, None);
        let got = judge_bearing_seat(&seat(), &bearing, &face(CylinderRole::Journal, 42.0, None));
        assert_eq!(got.verdict, Verdict::DoesNotFit);
        assert_eq!(got.faults[0].kind, FaultKind::Diameter);
    }

    #[test]
    fn without_the_journals_tolerance_nothing_is_proven() {
        let bearing = face(CylinderRole::BearingBore, 40.0, None);
        let got = judge_bearing_seat(&seat(), &bearing, &face(CylinderRole::Journal, 40.0, None));
        assert_eq!(got.verdict, Verdict::Unverified);
        assert_eq!((got.missing[0].side, got.missing[0].figure), (Side::B, "tolerance"));
    }

    #[test]
    fn a_wanted_interference_is_held_against_the_fit() {
        let wanted = Joint { maximum_clearance_um: Some(0.0), ..seat() };
        let loose = judge_bearing_seat(
            &wanted,
            &face(CylinderRole::Journal, 40.0, Some("g6")),
            &face(CylinderRole::Bore, 40.0, Some("H7")),
        );
        assert_eq!(loose.faults[0].kind, FaultKind::FitTooLoose);
        let two_journals = judge_bearing_seat(
            &wanted,
            &face(CylinderRole::Journal, 40.0, None),
            &face(CylinderRole::Journal, 40.0, None),
        );
        assert_eq!(two_journals.faults[0].kind, FaultKind::SameSex);
    }

    #[test]
    fn a_hole_class_on_a_journal_is_told() {
        let got = judge_bearing_seat(
            &seat(),
            &face(CylinderRole::Journal, 40.0, Some("K6")),
            &face(CylinderRole::BearingBore, 40.0, None),
        );
        assert_eq!(got.verdict, Verdict::Unverified);
        assert_eq!(got.missing[0].figure, "tolerance");
    }
}
