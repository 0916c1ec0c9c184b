//! Whether a hub goes on a shaft, and how the joint's capacity compares.

use crate::bounds::{self, Bound};
use crate::feature::{SplineStandard, SplineTeeth};
use crate::joint::Joint;
use crate::verdict::{FaultKind, Judgement, Side, WarningKind};

/// Largest difference of modules, as a share: rounded figures of one system, never two systems.
pub const MODULE_SHARE: f64 = 0.001;
/// Largest difference of pressure angles.
pub const PRESSURE_ANGLE_LIMIT_DEG: f64 = 0.1;
/// Largest difference of DIN 5480 reference diameters.
pub const REFERENCE_DIAMETER_LIMIT_MM: f64 = 0.01;

/// The verdict on a splined shaft and hub.
pub fn judge_spline(joint: &Joint, a: &SplineTeeth, b: &SplineTeeth) -> Judgement {
    let mut out = Judgement::open(6);
    if a.external == b.external {
        let word = |external| if external { "shaft" } else { "hub" };
        out.word_fault(FaultKind::SameSex, word(a.external), word(b.external));
        return out.close();
    }
    if a.standard != b.standard {
        out.word_fault(FaultKind::SplineStandard, a.standard.code(), b.standard.code());
    }
    let counts = [(Side::A, a), (Side::B, b)].map(|(side, teeth)| {
        bounds::SPLINE_TEETH
            .check("tooth_count", f64::from(teeth.tooth_count))
            .map_err(|error| out.impossible(side, &error))
            .ok()
    });
    if let [Some(first), Some(second)] = counts
        && first != second
    {
        out.differs(FaultKind::ToothCount, first, second, 0.0, "1");
    }
    if a.standard == SplineStandard::Straight || b.standard == SplineStandard::Straight {
        test_diameters(&mut out, a, b, true);
    } else {
        test_flanks(&mut out, a, b);
        test_diameters(&mut out, a, b, false);
    }
    test_width(&mut out, a, b);
    test_length(&mut out, joint, a, b);
    note_carrying(&mut out, a, b);
    out.close()
}

fn take(
    out: &mut Judgement,
    side: Side,
    bound: &Bound,
    field: &'static str,
    value: Option<f64>,
) -> Option<f64> {
    bound.check_known(field, value).unwrap_or_else(|error| {
        out.impossible(side, &error);
        None
    })
}

/// A figure both sides must have and share.
fn test_equal(
    out: &mut Judgement,
    (bound, field): (&Bound, &'static str),
    (a, b): (Option<f64>, Option<f64>),
    kind: FaultKind,
    limit: impl Fn(f64) -> f64,
) -> Option<f64> {
    for (side, value) in [(Side::A, a), (Side::B, b)] {
        if value.is_none() {
            out.lacks(side, field);
        }
    }
    let first = take(out, Side::A, bound, field, a);
    let second = take(out, Side::B, bound, field, b);
    let (first, second) = (first?, second?);
    let limit = limit(first.max(second));
    if (first - second).abs() > limit {
        out.differs(kind, first, second, limit, bound.unit);
    }
    Some(first)
}

/// DIN 5480 has one pressure angle; the others must say theirs.
fn pressure_angle(teeth: &SplineTeeth) -> Option<f64> {
    match teeth.standard {
        SplineStandard::Din5480 => teeth.pressure_angle_deg.or(Some(30.0)),
        SplineStandard::Iso4156 | SplineStandard::AnsiB92 | SplineStandard::Straight => {
            teeth.pressure_angle_deg
        }
    }
}

fn test_flanks(out: &mut Judgement, a: &SplineTeeth, b: &SplineTeeth) {
    let module = test_equal(
        out,
        (&bounds::MODULE, "module_mm"),
        (a.module_mm, b.module_mm),
        FaultKind::SplineModule,
        |module| MODULE_SHARE * module,
    );
    let angle = test_equal(
        out,
        (&bounds::PRESSURE_ANGLE, "pressure_angle_deg"),
        (pressure_angle(a), pressure_angle(b)),
        FaultKind::FlankAngle,
        |_| PRESSURE_ANGLE_LIMIT_DEG,
    );
    if a.standard == SplineStandard::Din5480 && b.standard == SplineStandard::Din5480 {
        test_equal(
            out,
            (&bounds::DIAMETER, "reference_diameter_mm"),
            (a.reference_diameter_mm, b.reference_diameter_mm),
            FaultKind::ReferenceDiameter,
            |_| REFERENCE_DIAMETER_LIMIT_MM,
        );
    }
    if let Some(module) = module {
        let pitch = module * f64::from(a.tooth_count);
        out.figure(("pitch diameter", "d", "mm"), pitch, ("m·z", "ISO 4156, DIN 5480-1"));
        if let Some(angle) = angle {
            let base = pitch * angle.to_radians().cos();
            out.figure(("base diameter", "d_b", "mm"), base, ("m·z·cos α", "ISO 4156, DIN 5480-1"));
        }
    }
}

/// Crests must clear roots, and teeth must overlap. Straight splines are defined by these diameters and need them.
fn test_diameters(out: &mut Judgement, a: &SplineTeeth, b: &SplineTeeth, needed: bool) {
    let (shaft, hub, shaft_side) = if a.external { (a, b, Side::A) } else { (b, a, Side::B) };
    let hub_side = shaft_side.swapped();
    let mut compared = 0;
    let mut get = |side, field, value: Option<f64>| {
        if value.is_none() && needed {
            out.lacks(side, field);
        }
        let found = take(out, side, &bounds::DIAMETER, field, value);
        compared += usize::from(found.is_some());
        found
    };
    let shaft_major = get(shaft_side, "major_diameter_mm", shaft.major_diameter_mm);
    let shaft_minor = get(shaft_side, "minor_diameter_mm", shaft.minor_diameter_mm);
    let hub_major = get(hub_side, "major_diameter_mm", hub.major_diameter_mm);
    let hub_minor = get(hub_side, "minor_diameter_mm", hub.minor_diameter_mm);
    if compared < 4 && !needed {
        out.warn(WarningKind::DiametersNotCompared, Side::Joint, compared as f64, 4.0, "1");
    }
    for (kind, of_shaft, of_hub) in [
        (FaultKind::MajorDiameter, shaft_major, hub_major),
        (FaultKind::MinorDiameter, shaft_minor, hub_minor),
    ] {
        if let (Some(of_shaft), Some(of_hub)) = (of_shaft, of_hub)
            && of_shaft > of_hub + 0.0005
        {
            let (first, second) = ordered(a.external, of_shaft, of_hub);
            out.differs(kind, first, second, 0.0, "mm");
        }
    }
    if let (Some(major), Some(minor)) = (shaft_major, hub_minor)
        && major <= minor
    {
        let (first, second) = ordered(a.external, major, minor);
        out.differs(FaultKind::NoOverlap, first, second, 0.0, "mm");
    }
}

fn ordered(a_is_shaft: bool, of_shaft: f64, of_hub: f64) -> (f64, f64) {
    if a_is_shaft { (of_shaft, of_hub) } else { (of_hub, of_shaft) }
}

fn test_width(out: &mut Judgement, a: &SplineTeeth, b: &SplineTeeth) {
    let first = take(out, Side::A, &bounds::LENGTH, "tooth_or_space_width_mm", a.tooth_or_space_width_mm);
    let second = take(out, Side::B, &bounds::LENGTH, "tooth_or_space_width_mm", b.tooth_or_space_width_mm);
    let (Some(first), Some(second)) = (first, second) else { return };
    let clearance = if a.external { second - first } else { first - second };
    out.figure(("flank clearance", "c_v", "mm"), clearance, ("E − S", "ISO 4156"));
    if clearance < -0.0005 {
        out.differs(FaultKind::SpaceWidth, first, second, 0.0, "mm");
    }
}

fn test_length(out: &mut Judgement, joint: &Joint, a: &SplineTeeth, b: &SplineTeeth) {
    let first = take(out, Side::A, &bounds::LENGTH, "engaged_length_mm", a.engaged_length_mm);
    let second = take(out, Side::B, &bounds::LENGTH, "engaged_length_mm", b.engaged_length_mm);
    let least = take(out, Side::Joint, &bounds::LENGTH, "minimum_length_mm", joint.minimum_length_mm);
    let common = match (first, second) {
        (Some(first), Some(second)) => Some(first.min(second)),
        (known, other) => known.or(other),
    };
    if let Some(length) = common {
        out.figure(("engaged length", "L", "mm"), length, ("min(L_1, L_2)", "own calculation"));
    }
    if let Some(least) = least {
        match common {
            Some(length) if length < least => out.beyond(FaultKind::EngagedLength, length, least, "mm"),
            Some(_) => {}
            None => out.lacks(Side::A, "engaged_length_mm"),
        }
    }
}

fn note_carrying(out: &mut Judgement, a: &SplineTeeth, b: &SplineTeeth) {
    for (side, teeth) in [(Side::A, a), (Side::B, b)] {
        let Some(carrying) = teeth.carrying_teeth else { continue };
        let most = f64::from(teeth.tooth_count);
        if carrying == 0 || carrying > teeth.tooth_count {
            let bound = Bound { least: 1.0, most, unit: "1" };
            if let Err(error) = bound.check("carrying_teeth", f64::from(carrying)) {
                out.impossible(side, &error);
            }
        } else if carrying < teeth.tooth_count {
            out.warn(WarningKind::PartialSpline, side, f64::from(carrying), most, "1");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::joint::JointKind;
    use crate::verdict::Verdict;

    fn shaft() -> SplineTeeth {
        SplineTeeth {
            module_mm: Some(2.0),
            pressure_angle_deg: Some(30.0),
            ..SplineTeeth::new(SplineStandard::Iso4156, 20, true)
        }
    }

    fn judge(a: &SplineTeeth, b: &SplineTeeth) -> Judgement {
        judge_spline(&Joint::new(JointKind::Spline), a, b)
    }

    #[test]
    fn a_hub_goes_on_its_own_shaft_only() {
        let hub = SplineTeeth { external: false, ..shaft() };
        assert_eq!(judge(&shaft(), &hub).verdict, Verdict::Fits);
        for (other, kind) in [
            (SplineTeeth { tooth_count: 21, ..hub }, FaultKind::ToothCount),
            (SplineTeeth { module_mm: Some(2.5), ..hub }, FaultKind::SplineModule),
            (SplineTeeth { pressure_angle_deg: Some(37.5), ..hub }, FaultKind::FlankAngle),
            (SplineTeeth { standard: SplineStandard::AnsiB92, ..hub }, FaultKind::SplineStandard),
            (shaft(), FaultKind::SameSex),
        ] {
            let got = judge(&shaft(), &other);
            assert_eq!(got.verdict, Verdict::DoesNotFit);
            assert_eq!(got.faults[0].kind, kind);
        }
    }

    #[test]
    fn tooth_count_and_outside_diameter_alone_prove_nothing() {
        let bare = |external| SplineTeeth {
            major_diameter_mm: Some(if external { 42.0 } else { 43.0 }),
            ..SplineTeeth::new(SplineStandard::Iso4156, 20, external)
        };
        let got = judge(&bare(true), &bare(false));
        assert_eq!(got.verdict, Verdict::Unverified);
        assert!(got.missing.iter().any(|missing| missing.figure == "pressure_angle_deg"));
    }

    #[test]
    fn din_5480_needs_the_reference_diameter() {
        let din = |external, d_b| SplineTeeth {
            module_mm: Some(2.0),
            reference_diameter_mm: d_b,
            ..SplineTeeth::new(SplineStandard::Din5480, 14, external)
        };
        assert_eq!(judge(&din(true, Some(30.0)), &din(false, Some(30.0))).verdict, Verdict::Fits);
        let other = judge(&din(true, Some(30.0)), &din(false, Some(32.0)));
        assert_eq!(other.faults[0].kind, FaultKind::ReferenceDiameter);
        assert_eq!(judge(&din(true, Some(30.0)), &din(false, None)).verdict, Verdict::Unverified);
    }

    #[test]
    fn straight_splines_are_their_diameters() {
        let straight = |external, minor, major| SplineTeeth {
            major_diameter_mm: Some(major),
            minor_diameter_mm: Some(minor),
            ..SplineTeeth::new(SplineStandard::Straight, 10, external)
        };
        assert_eq!(judge(&straight(true, 36.0, 46.0), &straight(false, 36.0, 46.2)).verdict, Verdict::Fits);
        let tight = judge(&straight(true, 36.0, 46.0), &straight(false, 36.0, 45.0));
        assert_eq!(tight.faults[0].kind, FaultKind::MajorDiameter);
        let partial = SplineTeeth { carrying_teeth: Some(5), ..straight(true, 36.0, 46.0) };
        let got = judge(&partial, &straight(false, 36.0, 46.0));
        assert_eq!(got.warnings[0].kind, WarningKind::PartialSpline);
    }
}
