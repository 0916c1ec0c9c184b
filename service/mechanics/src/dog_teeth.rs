//! Whether dog teeth engage: equal counts, equal pitch circles, equal flanks.

use crate::bounds::{self, Bound};
use crate::feature::DogTeeth;
use crate::verdict::{FaultKind, Judgement, Side};

/// Largest difference of pitch diameters (common practice, no source).
pub const PITCH_DIAMETER_LIMIT_MM: f64 = 0.1;
/// Largest difference of flank angles (common practice, no source).
pub const FLANK_ANGLE_LIMIT_DEG: f64 = 0.5;

/// Flanks of dogs: straight ones have angles down to nought.
const FLANK: Bound = Bound { least: 0.0, most: 60.0, unit: "deg" };

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

/// The verdict on two rings of dog teeth.
pub fn judge_dog_clutch(a: &DogTeeth, b: &DogTeeth) -> Judgement {
    let mut out = Judgement::open(2);
    if let (Some(first), Some(second)) = (a.internal, b.internal)
        && first == second
    {
        let word = |internal| if internal { "sleeve" } else { "gear" };
        out.word_fault(FaultKind::SameSex, word(first), word(second));
    }
    let counts = [(Side::A, a), (Side::B, b)].map(|(side, dogs)| {
        bounds::SPLINE_TEETH
            .check("tooth_count", f64::from(dogs.tooth_count))
            .map_err(|error| out.impossible(side, &error))
            .ok()
    });
    if let [Some(first), Some(second)] = counts
        && first != second
    {
        out.differs(FaultKind::ToothCount, first, second, 0.0, "1");
    }
    let pairs = [
        (
            &bounds::DIAMETER,
            "pitch_diameter_mm",
            [a.pitch_diameter_mm, b.pitch_diameter_mm],
            (FaultKind::PitchDiameter, PITCH_DIAMETER_LIMIT_MM, "mm"),
        ),
        (
            &FLANK,
            "flank_angle_deg",
            [a.flank_angle_deg, b.flank_angle_deg],
            (FaultKind::FlankAngle, FLANK_ANGLE_LIMIT_DEG, "deg"),
        ),
    ];
    for (bound, field, values, (kind, limit, unit)) in pairs {
        let first = take(&mut out, Side::A, bound, field, values[0]);
        let second = take(&mut out, Side::B, bound, field, values[1]);
        if let (Some(first), Some(second)) = (first, second)
            && (first - second).abs() > limit
        {
            out.differs(kind, first, second, limit, unit);
        }
    }
    out.close()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verdict::Verdict;

    const GEAR: DogTeeth = DogTeeth {
        tooth_count: 36,
        internal: Some(false),
        pitch_diameter_mm: Some(90.0),
        flank_angle_deg: Some(30.0),
        length_mm: None,
    };

    #[test]
    fn a_sleeve_engages_its_own_gear_only() {
        let sleeve = DogTeeth { internal: Some(true), ..GEAR };
        assert_eq!(judge_dog_clutch(&GEAR, &sleeve).verdict, Verdict::Fits);
        let finer = DogTeeth { tooth_count: 39, ..sleeve };
        let got = judge_dog_clutch(&GEAR, &finer);
        assert_eq!((got.verdict, got.faults[0].kind), (Verdict::DoesNotFit, FaultKind::ToothCount));
        let unknown = DogTeeth { flank_angle_deg: None, ..sleeve };
        assert_eq!(judge_dog_clutch(&GEAR, &unknown).verdict, Verdict::Unverified);
    }
}
