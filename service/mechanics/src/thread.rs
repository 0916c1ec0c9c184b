//! Metric ISO threads: designation, basic profile (ISO 68-1, ISO 724), tolerance 6g (ISO 965-1), nut on screw.

use std::f64::consts::PI;

use crate::bad_input::BadInput;
use crate::bounds::{self, Bound};
use crate::feature::{Hand, Thread};
use crate::verdict::{FaultKind, Judgement, Side, WarningKind};

/// Nominal diameters and coarse pitches of ISO 261. The tables that `tests/thread_referee.rs` reads have these pitches too,
/// but for 1, 1.2, 60, 68 and 76 mm, which are from memory.
pub const COARSE_PITCHES_MM: [(f64, f64); 37] = [
    (1.0, 0.25),
    (1.2, 0.25),
    (1.6, 0.35),
    (2.0, 0.4),
    (2.5, 0.45),
    (3.0, 0.5),
    (3.5, 0.6),
    (4.0, 0.7),
    (5.0, 0.8),
    (6.0, 1.0),
    (7.0, 1.0),
    (8.0, 1.25),
    (9.0, 1.25),
    (10.0, 1.5),
    (11.0, 1.5),
    (12.0, 1.75),
    (14.0, 2.0),
    (16.0, 2.0),
    (18.0, 2.5),
    (20.0, 2.5),
    (22.0, 2.5),
    (24.0, 3.0),
    (27.0, 3.0),
    (30.0, 3.5),
    (33.0, 3.5),
    (36.0, 4.0),
    (39.0, 4.0),
    (42.0, 4.5),
    (45.0, 4.5),
    (48.0, 5.0),
    (52.0, 5.0),
    (56.0, 5.5),
    (60.0, 5.5),
    (64.0, 6.0),
    (68.0, 6.0),
    (72.0, 6.0),
    (76.0, 6.0),
];

/// Class 6g by pitch: P, upper deviation es and width of the major diameter's tolerance T_d in micrometres, as printed after
/// ISO 965 in the table of external threads of Debian's freecad-common 0.20.2.
const CLASS_6G_UM: [(f64, f64, f64); 22] = [
    (0.2, -17.0, 56.0),
    (0.25, -18.0, 67.0),
    (0.3, -18.0, 75.0),
    (0.35, -19.0, 85.0),
    (0.4, -19.0, 95.0),
    (0.45, -20.0, 100.0),
    (0.5, -20.0, 106.0),
    (0.6, -21.0, 125.0),
    (0.7, -22.0, 140.0),
    (0.75, -22.0, 140.0),
    (0.8, -24.0, 150.0),
    (1.0, -26.0, 180.0),
    (1.25, -28.0, 212.0),
    (1.5, -32.0, 236.0),
    (1.75, -34.0, 265.0),
    (2.0, -38.0, 280.0),
    (2.5, -42.0, 335.0),
    (3.0, -48.0, 375.0),
    (3.5, -53.0, 425.0),
    (4.0, -60.0, 475.0),
    (4.5, -63.0, 500.0),
    (5.0, -71.0, 530.0),
];

const PITCH: Bound = Bound { least: 0.1, most: 20.0, unit: "mm" };

/// A thread designation read.
#[derive(Debug, Clone, PartialEq)]
pub struct ThreadDesignation {
    /// Nominal diameter d.
    pub diameter_mm: f64,
    /// Pitch P.
    pub pitch_mm: f64,
    /// True if the pitch is the coarse one.
    pub coarse: bool,
    /// Left hand.
    pub left_hand: bool,
    /// Tolerance class as written, such as 6g.
    pub tolerance: Option<String>,
}

/// Basic profile of a metric thread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThreadGeometry {
    /// Pitch diameter d2 = d − 0.75·H.
    pub pitch_diameter_mm: f64,
    /// Minor diameter of the nut D1 = d − 1.25·H.
    pub nut_minor_diameter_mm: f64,
    /// Minor diameter of the screw d3 = d − 17·H/12.
    pub screw_minor_diameter_mm: f64,
    /// Stress area A_s = π/4·((d2 + d3)/2)².
    pub stress_area_mm2: f64,
}

/// Limits of a screw's major diameter in class 6g.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScrewLimits6g {
    /// Upper deviation of all diameters, es; by formula −(15 + 11P) µm.
    pub upper_deviation_um: f64,
    /// Width of the major diameter's tolerance, T_d(6); by formula 180·P^⅔ − 3.15/√P µm.
    pub major_tolerance_um: f64,
    /// True if both stand so in the table of ISO 965-1, false if the pitch is none of the table's and they are the formulae's.
    pub printed: bool,
}

/// The coarse pitch of a diameter.
pub fn coarse_pitch_mm(diameter_mm: f64) -> Option<f64> {
    COARSE_PITCHES_MM.iter().find(|(known, _)| (known - diameter_mm).abs() < 1e-9).map(|(_, pitch)| *pitch)
}

/// Reads "M20x1.5-6g-LH", "M12" or "M 24 × 2 LH".
///
/// # Errors
/// A text of another form, a pitch that the diameter cannot carry, or a diameter without a coarse pitch and none given.
pub fn parse_thread(text: &str) -> Result<ThreadDesignation, BadInput> {
    let unreadable = || BadInput::Unreadable {
        field: "designation",
        text: text.chars().take(40).collect(),
        wanted: "M, diameter, perhaps x pitch, -tolerance, -LH, such as M20x1.5-6g-LH",
    };
    let plain = text.trim().replace(['×', 'X'], "x").replace(',', ".");
    let body = plain.strip_prefix('M').or_else(|| plain.strip_prefix('m')).ok_or_else(unreadable)?.trim();
    let mut left_hand = false;
    let mut tolerance = None;
    let mut pieces = body.split(['-', ' ']).map(str::trim).filter(|piece| !piece.is_empty());
    let mut size = String::new();
    for piece in &mut pieces {
        // "24 x 2" comes in pieces; the size ends where a piece starts with neither digit nor x after a complete one.
        let numeric = piece.chars().all(|c| c.is_ascii_digit() || c == '.' || c == 'x');
        if numeric {
            size.push_str(piece);
        } else if piece.eq_ignore_ascii_case("LH") {
            left_hand = true;
        } else if piece.eq_ignore_ascii_case("RH") {
            left_hand = false;
        } else if is_tolerance(piece) {
            tolerance = Some(piece.to_owned());
        } else {
            return Err(unreadable());
        }
    }
    let (diameter, pitch) = match size.split_once('x') {
        Some((diameter, pitch)) => {
            (diameter.to_owned(), Some(pitch.parse::<f64>().map_err(|_| unreadable())?))
        }
        None => (size, None),
    };
    let diameter: f64 = diameter.parse().map_err(|_| unreadable())?;
    let diameter = bounds::DIAMETER.check("diameter_mm", diameter)?;
    let coarse = coarse_pitch_mm(diameter);
    let pitch = pitch.or(coarse).ok_or(BadInput::NotInTable {
        field: "designation",
        text: text.chars().take(40).collect(),
        table: "the coarse pitches of ISO 261; give the pitch",
    })?;
    checked_pitch(diameter, pitch)?;
    let is_coarse = coarse.is_some_and(|known| (known - pitch).abs() < 1e-9);
    Ok(ThreadDesignation { diameter_mm: diameter, pitch_mm: pitch, coarse: is_coarse, left_hand, tolerance })
}

fn is_tolerance(piece: &str) -> bool {
    let digits = piece.chars().filter(char::is_ascii_digit).count();
    let letters = piece.chars().filter(char::is_ascii_alphabetic).count();
    (1..=2).contains(&digits)
        && digits == letters
        && piece.len() == digits + letters
        && piece.starts_with(|c: char| c.is_ascii_digit())
}

fn checked_pitch(diameter: f64, pitch: f64) -> Result<f64, BadInput> {
    let pitch = PITCH.check("pitch_mm", pitch)?;
    if pitch > diameter / 2.0 {
        return Err(BadInput::OutOfRange {
            field: "pitch_mm",
            value: pitch,
            least: PITCH.least,
            most: diameter / 2.0,
            unit: "mm",
        });
    }
    Ok(pitch)
}

/// Basic profile (ISO 68-1: H = √3/2·P) and stress area.
///
/// # Errors
/// A figure out of range.
pub fn thread_geometry(diameter_mm: f64, pitch_mm: f64) -> Result<ThreadGeometry, BadInput> {
    let diameter = bounds::DIAMETER.check("diameter_mm", diameter_mm)?;
    let pitch = checked_pitch(diameter, pitch_mm)?;
    let height = 3.0_f64.sqrt() / 2.0 * pitch;
    let pitch_diameter = diameter - 0.75 * height;
    let screw_minor = diameter - 17.0 / 12.0 * height;
    let mean = (pitch_diameter + screw_minor) / 2.0;
    Ok(ThreadGeometry {
        pitch_diameter_mm: pitch_diameter,
        nut_minor_diameter_mm: diameter - 1.25 * height,
        screw_minor_diameter_mm: screw_minor,
        stress_area_mm2: PI / 4.0 * mean * mean,
    })
}

/// Class 6g of a screw: the table of ISO 965-1 where it has the pitch, for others the formulae behind it (from memory),
/// whose results the table rounds.
///
/// # Errors
/// A pitch out of range.
pub fn screw_limits_6g(pitch_mm: f64) -> Result<ScrewLimits6g, BadInput> {
    let pitch = PITCH.check("pitch_mm", pitch_mm)?;
    if let Some((_, es, width)) = CLASS_6G_UM.iter().find(|(known, ..)| (known - pitch).abs() < 1e-9) {
        return Ok(ScrewLimits6g { upper_deviation_um: *es, major_tolerance_um: *width, printed: true });
    }
    Ok(ScrewLimits6g {
        upper_deviation_um: -(15.0 + 11.0 * pitch),
        major_tolerance_um: 180.0 * pitch.powf(2.0 / 3.0) - 3.15 / pitch.sqrt(),
        printed: false,
    })
}

struct ReadThread {
    diameter: Option<f64>,
    pitch: Option<f64>,
    hand: Hand,
}

fn read(out: &mut Judgement, side: Side, thread: &Thread) -> ReadThread {
    let mut take = |bound: &Bound, field: &'static str, value: Option<f64>| {
        bound.check_known(field, value).unwrap_or_else(|error| {
            out.impossible(side, &error);
            None
        })
    };
    let diameter = take(&bounds::DIAMETER, "diameter_mm", thread.diameter_mm);
    let mut pitch = take(&PITCH, "pitch_mm", thread.pitch_mm);
    if thread.diameter_mm.is_none() {
        out.lacks(side, "diameter_mm");
    }
    if thread.pitch_mm.is_none() {
        pitch = diameter.and_then(coarse_pitch_mm);
        match pitch {
            Some(coarse) => out.warn(WarningKind::CoarsePitchAssumed, side, coarse, coarse, "mm"),
            None => out.lacks(side, "pitch_mm"),
        }
    }
    // A thread is right hand unless it says otherwise; "spur" says nothing of a thread.
    let hand = if thread.hand == Some(Hand::Left) { Hand::Left } else { Hand::Right };
    ReadThread { diameter, pitch, hand }
}

/// The verdict on a nut and a screw: size, pitch and hand must all agree.
pub fn judge_thread(a: &Thread, b: &Thread) -> Judgement {
    let mut out = Judgement::open(4);
    if a.internal == b.internal {
        let word = |internal| if internal { "nut" } else { "screw" };
        out.word_fault(FaultKind::SameSex, word(a.internal), word(b.internal));
        return out.close();
    }
    let (first, second) = (read(&mut out, Side::A, a), read(&mut out, Side::B, b));
    if let (Some(x), Some(y)) = (first.diameter, second.diameter)
        && (x - y).abs() > 0.005
    {
        out.differs(FaultKind::ThreadDiameter, x, y, 0.005, "mm");
    }
    if let (Some(x), Some(y)) = (first.pitch, second.pitch)
        && (x - y).abs() > 0.001
    {
        out.differs(FaultKind::ThreadPitch, x, y, 0.001, "mm");
    }
    if first.hand != second.hand {
        out.word_fault(FaultKind::ThreadHand, first.hand.code(), second.hand.code());
    }
    if let (Some(diameter), Some(pitch)) = (first.diameter, first.pitch)
        && let Ok(geometry) = thread_geometry(diameter, pitch)
    {
        let rule = ("d − 0.75·√3/2·P", "ISO 724");
        out.figure(("pitch diameter", "d_2", "mm"), geometry.pitch_diameter_mm, rule);
        let rule = ("π/4·((d_2 + d_3)/2)²", "ISO 898-1, from memory");
        out.figure(("stress area", "A_s", "mm2"), geometry.stress_area_mm2, rule);
    }
    out.close()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verdict::Verdict;

    fn thread(diameter: f64, pitch: Option<f64>, hand: Option<Hand>, internal: bool) -> Thread {
        Thread { diameter_mm: Some(diameter), pitch_mm: pitch, hand, internal }
    }

    #[test]
    fn size_pitch_and_hand_must_agree() {
        let screw = thread(20.0, Some(1.5), Some(Hand::Left), false);
        assert_eq!(
            judge_thread(&screw, &thread(20.0, Some(1.5), Some(Hand::Left), true)).verdict,
            Verdict::Fits
        );
        for (nut, kind) in [
            (thread(20.0, None, Some(Hand::Left), true), FaultKind::ThreadPitch),
            (thread(20.0, Some(1.5), None, true), FaultKind::ThreadHand),
            (thread(22.0, Some(1.5), Some(Hand::Left), true), FaultKind::ThreadDiameter),
        ] {
            let got = judge_thread(&screw, &nut);
            assert_eq!(got.verdict, Verdict::DoesNotFit);
            assert_eq!(got.faults[0].kind, kind);
        }
    }

    #[test]
    fn the_table_of_6g_is_the_formula_rounded() {
        for (pitch, es, width) in CLASS_6G_UM {
            let formula = 180.0 * f64::powf(pitch, 2.0 / 3.0) - 3.15 / f64::sqrt(pitch);
            assert!((es + 15.0 + 11.0 * pitch).abs() <= 1.51, "{pitch}: {es}");
            assert!((width / formula - 1.0).abs() < 0.055, "{pitch}: {width} beside {formula}");
        }
        let between = screw_limits_6g(1.6).unwrap();
        assert!(!between.printed && (between.upper_deviation_um + 32.6).abs() < 1e-9);
    }

    #[test]
    fn odd_designations_are_read_or_refused() {
        let spaced = parse_thread("M 24 × 2 LH").unwrap();
        assert_eq!((spaced.diameter_mm, spaced.pitch_mm, spaced.left_hand), (24.0, 2.0, true));
        assert_eq!(parse_thread("M13").unwrap_err().code(), "not_in_table");
        assert_eq!(parse_thread("M10x9").unwrap_err().field(), "pitch_mm");
        for bad in ["", "M", "20x1.5", "Mxx", "M20x", "M20-banana"] {
            assert!(parse_thread(bad).is_err(), "{bad}");
        }
    }
}
