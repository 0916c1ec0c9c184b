//! Rotary shaft lip seals d1 × d2 × b (ISO 6194-1, DIN 3760): designation, press fit, and verdict against a seat.

use crate::bad_input::BadInput;
use crate::bounds;
use crate::feature::{CylinderRole, Feature, SealSeat, ShaftSeal};
use crate::iso_286::{ToleranceClass, limits, standard_tolerance_um};
use crate::verdict::{FaultKind, Judgement, Side, WarningKind};

/// What the outside of a seal is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SealCase {
    /// Type A: covered with rubber.
    Rubber,
    /// Type B: metal.
    Metal,
    /// Type C: metal with an inner stiffening ring.
    MetalWithInnerRing,
}

/// A designation read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SealDesignation {
    /// Shaft diameter d1.
    pub shaft_mm: f64,
    /// Housing bore d2.
    pub bore_mm: f64,
    /// Width b.
    pub width_mm: f64,
    /// Type, where the text names one.
    pub case: Option<SealCase>,
    /// True if the type letter carries an S: an additional dust lip.
    pub dust_lip: bool,
}

/// Allowances of the seal's outside over the nominal bore, and the interference in the bore.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SealPressFit {
    /// Upper limit deviation of the bore in micrometres.
    pub bore_upper_um: f64,
    /// Smallest outside over nominal bore.
    pub allowance_min_mm: f64,
    /// Largest outside over nominal bore.
    pub allowance_max_mm: f64,
    /// Least interference.
    pub interference_min_mm: f64,
    /// Largest interference.
    pub interference_max_mm: f64,
}

/// Upper end of the bore step, rubber allowance, metal allowance. The step 50 to 80 mm was read (DIN 3760 tables), the
/// others are from memory.
const ALLOWANCES: [(f64, [f64; 2], [f64; 2]); 5] = [
    (50.0, [0.15, 0.30], [0.10, 0.20]),
    (80.0, [0.20, 0.35], [0.13, 0.23]),
    (120.0, [0.20, 0.35], [0.15, 0.25]),
    (180.0, [0.25, 0.45], [0.18, 0.28]),
    (300.0, [0.25, 0.45], [0.20, 0.30]),
];

/// Reads "DIN 3760 - AS 25x40x7 - NBR", "25×40×7" or "A 25-40-7".
///
/// # Errors
/// A text without three sizes, or sizes that cannot be a seal.
pub fn parse_seal(text: &str) -> Result<SealDesignation, BadInput> {
    let unreadable = || BadInput::Unreadable {
        field: "designation",
        text: text.chars().take(60).collect(),
        wanted: "shaft x bore x width in millimetres, such as AS 25x40x7",
    };
    let upper = text.to_uppercase().replace(['×', '*'], "X").replace(',', ".");
    let body = ["DIN 3760", "DIN3760", "ISO 6194-1", "ISO 6194"]
        .iter()
        .find_map(|name| upper.trim().strip_prefix(name).map(str::to_owned))
        .unwrap_or_else(|| upper.trim().to_owned());
    let start = body.find(|c: char| c.is_ascii_digit()).ok_or_else(unreadable)?;
    let letters: String = body[..start].chars().filter(char::is_ascii_alphabetic).collect();
    let (case, dust_lip) = match letters.as_str() {
        "" => (None, false),
        "A" => (Some(SealCase::Rubber), false),
        "AS" => (Some(SealCase::Rubber), true),
        "B" => (Some(SealCase::Metal), false),
        "BS" => (Some(SealCase::Metal), true),
        "C" => (Some(SealCase::MetalWithInnerRing), false),
        "CS" => (Some(SealCase::MetalWithInnerRing), true),
        _ => return Err(unreadable()),
    };
    let mut sizes = body[start..]
        .split(|c: char| !(c.is_ascii_digit() || c == '.'))
        .filter(|piece| !piece.is_empty())
        .map(str::parse::<f64>);
    let mut next = || sizes.next().and_then(Result::ok).ok_or_else(unreadable);
    let (shaft, bore, width) = (next()?, next()?, next()?);
    let shaft_mm = bounds::DIAMETER.check("shaft_mm", shaft)?;
    let bore_mm = bounds::DIAMETER.check("bore_mm", bore)?;
    let width_mm = bounds::LENGTH.check("width_mm", width)?;
    if bore_mm <= shaft_mm {
        return Err(BadInput::Contradiction { field: "bore_mm", problem: "must be larger than the shaft" });
    }
    Ok(SealDesignation { shaft_mm, bore_mm, width_mm, case, dust_lip })
}

/// Press fit of a seal of the given case in a bore of a tolerance class, usually H8.
///
/// # Errors
/// A bore above 300 mm or a class out of the tables.
pub fn seal_press_fit(
    bore_mm: f64,
    bore_class: ToleranceClass,
    case: SealCase,
) -> Result<SealPressFit, BadInput> {
    let bore = bounds::Bound { least: 4.0, most: 300.0, unit: "mm" }.check("bore_mm", bore_mm)?;
    let deviations = limits(bore, bore_class)?;
    let (_, rubber, metal) = ALLOWANCES
        .iter()
        .find(|(upper, ..)| bore <= *upper)
        .copied()
        .unwrap_or(ALLOWANCES[ALLOWANCES.len() - 1]);
    let [least, most] = match case {
        SealCase::Rubber => rubber,
        SealCase::Metal | SealCase::MetalWithInnerRing => metal,
    };
    Ok(SealPressFit {
        bore_upper_um: deviations.upper_um,
        allowance_min_mm: least,
        allowance_max_mm: most,
        interference_min_mm: least - deviations.upper_um / 1000.0,
        interference_max_mm: most - deviations.lower_um / 1000.0,
    })
}

/// The verdict on a seal and its seat, or a plain journal or bore as the seat; `seal_side` is the seal's side.
///
/// The running surface may differ from d1 by the width of h11, the bore from d2 by that of H8 (ISO 6194-1, from memory).
pub fn judge_seal(seal: &ShaftSeal, seat: &Feature, seal_side: Side) -> Judgement {
    let mut out = Judgement::open(4);
    let seat_side = seal_side.swapped();
    let places = match seat {
        Feature::SealSeat(seat) => *seat,
        Feature::Cylinder(face) => match face.role {
            CylinderRole::Journal => SealSeat { shaft_mm: face.diameter_mm, ..SealSeat::default() },
            CylinderRole::Bore => {
                SealSeat { bore_mm: face.diameter_mm, width_mm: face.length_mm, ..SealSeat::default() }
            }
            CylinderRole::BearingBore | CylinderRole::BearingOutside => SealSeat::default(),
        },
        _ => SealSeat::default(),
    };
    let ours = [("shaft_mm", seal.shaft_mm, places.shaft_mm), ("bore_mm", seal.bore_mm, places.bore_mm)];
    let kinds = [(FaultKind::SealShaft, 11), (FaultKind::SealBore, 8)];
    let mut compared = false;
    for ((field, of_seal, of_seat), (kind, grade)) in ours.into_iter().zip(kinds) {
        let seal_size = take(&mut out, seal_side, field, of_seal);
        let Some(seat_size) = take(&mut out, seat_side, field, of_seat) else { continue };
        compared = true;
        let Some(seal_size) = seal_size else {
            if of_seal.is_none() {
                out.lacks(seal_side, field);
            }
            continue;
        };
        let limit = standard_tolerance_um(seat_size.min(500.0), grade).unwrap_or(0.0) / 1000.0;
        if (seal_size - seat_size).abs() > limit {
            let (a, b) = in_order(seal_side, seal_size, seat_size);
            out.differs(kind, a, b, limit, "mm");
        }
    }
    if !compared && out.missing.is_empty() {
        out.lacks(seat_side, "shaft_mm");
    }
    test_width(&mut out, seal_side, seal.width_mm, places.width_mm);
    out.close()
}

fn in_order(seal_side: Side, seal: f64, seat: f64) -> (f64, f64) {
    if seal_side == Side::A { (seal, seat) } else { (seat, seal) }
}

fn take(out: &mut Judgement, side: Side, field: &'static str, value: Option<f64>) -> Option<f64> {
    bounds::DIAMETER.check_known(field, value).unwrap_or_else(|error| {
        out.impossible(side, &error);
        None
    })
}

/// A seal wider than its bore is deep stands proud; a narrower one must be kept from moving.
fn test_width(out: &mut Judgement, seal_side: Side, seal: Option<f64>, seat: Option<f64>) {
    /// Limit deviation of the width up to 10 mm (ISO 6194-1, from memory).
    const WIDTH_DEVIATION_MM: f64 = 0.3;
    let (Some(seal), Some(seat)) = (seal, seat) else { return };
    for (side, width) in [(seal_side, seal), (seal_side.swapped(), seat)] {
        if let Err(error) = bounds::LENGTH.check("width_mm", width) {
            out.impossible(side, &error);
            return;
        }
    }
    let (a, b) = in_order(seal_side, seal, seat);
    if seal > seat + WIDTH_DEVIATION_MM {
        out.differs(FaultKind::SealWidth, a, b, WIDTH_DEVIATION_MM, "mm");
    } else if seal < seat - WIDTH_DEVIATION_MM {
        out.warn(WarningKind::SealNarrow, seal_side, seal, seat, "mm");
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verdict::Verdict;

    const SEAL: ShaftSeal = ShaftSeal { shaft_mm: Some(25.0), bore_mm: Some(40.0), width_mm: Some(7.0) };

    #[test]
    fn a_seal_fits_its_seat_and_no_other() {
        let seat = |shaft, bore| {
            Feature::SealSeat(SealSeat { shaft_mm: Some(shaft), bore_mm: Some(bore), width_mm: Some(7.0) })
        };
        assert_eq!(judge_seal(&SEAL, &seat(25.0, 40.0), Side::A).verdict, Verdict::Fits);
        // Worn under the lip by less than h11 allows.
        assert_eq!(judge_seal(&SEAL, &seat(24.9, 40.0), Side::A).verdict, Verdict::Fits);
        let small = judge_seal(&SEAL, &seat(24.0, 40.0), Side::B);
        assert_eq!((small.verdict, small.faults[0].kind), (Verdict::DoesNotFit, FaultKind::SealShaft));
        assert_eq!(judge_seal(&SEAL, &seat(25.0, 42.0), Side::A).faults[0].kind, FaultKind::SealBore);
    }

    #[test]
    fn a_seat_without_sizes_is_unverified() {
        let got = judge_seal(&SEAL, &Feature::SealSeat(SealSeat::default()), Side::A);
        assert_eq!(got.verdict, Verdict::Unverified);
        assert_eq!(got.missing[0].side, Side::B);
    }

    #[test]
    fn sizes_that_are_no_seal_are_refused() {
        assert_eq!(parse_seal("40x25x7").unwrap_err().field(), "bore_mm");
        assert_eq!(parse_seal("AX 25x40").unwrap_err().field(), "designation");
        assert_eq!(parse_seal("BS 42,5×62×8").unwrap().shaft_mm, 42.5);
    }
}
