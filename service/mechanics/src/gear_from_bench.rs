//! What tooth system a gear on the bench has: from tooth count, tip diameter, spans or pins, and the helix at the tip.
//!
//! Spans over k and k + 1 teeth differ by the normal base pitch, whatever the profile shift: that alone feeds the mesh
//! test. Standard systems near that pitch are listed with their residuals; the helix seen at the tip (the print of the
//! gear rolled on paper) belongs to a system by sin β = tan β_a·z·m_n/d_a, since tan β/d = tan β_a/d_a.

use crate::bad_input::BadInput;
use crate::bounds::{self, Bound};
use crate::feature::{GearTeeth, Hand};
use crate::gear::{ToothSystem, checked_teeth};
use crate::pitch::{DIAMETRAL_PITCHES, INCH_MM, MODULES_FIRST_SERIES_MM, MODULES_SECOND_SERIES_MM};
use crate::tooth_thickness::{shift_from_pins, shift_from_span};

/// Normal pressure angles that standard and vehicle tools have (common practice, no source).
pub const TOOL_PRESSURE_ANGLES_DEG: [f64; 7] = [14.5, 15.0, 16.0, 17.5, 20.0, 22.5, 25.0];

/// A span over teeth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredSpan {
    /// Teeth spanned, k.
    pub spanned_teeth: u32,
    /// Span W_k.
    pub span_mm: f64,
}

/// A size over two pins or balls.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredPins {
    /// Diameter of pin or ball D_M.
    pub pin_diameter_mm: f64,
    /// Size over them M.
    pub size_mm: f64,
}

/// What was measured.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchMeasurements {
    /// Teeth.
    pub tooth_count: u32,
    /// Tip diameter.
    pub tip_diameter_mm: f64,
    /// Helix angle at the tip; nought for spur gears.
    pub tip_helix_angle_deg: f64,
    /// Hand of the helix.
    pub hand: Hand,
    /// Spans over different numbers of teeth.
    pub spans: Vec<MeasuredSpan>,
    /// Size over pins.
    pub pins: Option<MeasuredPins>,
    /// Uncertainty ± of each reading of a span, pins or diameter.
    pub uncertainty_mm: f64,
}

/// Where a system's module comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ModuleSource {
    /// A module of ISO 54.
    Module(f64),
    /// A diametral pitch.
    DiametralPitch(f64),
}

/// The base pitch as measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredBasePitch {
    /// Normal base pitch p_bn.
    pub normal_base_pitch_mm: f64,
    /// Its uncertainty ±.
    pub uncertainty_mm: f64,
}

/// A tooth system the readings agree with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SystemCandidate {
    /// Module or diametral pitch.
    pub source: ModuleSource,
    /// Normal module.
    pub normal_module_mm: f64,
    /// Normal pressure angle.
    pub normal_pressure_angle_deg: f64,
    /// Reference helix angle.
    pub helix_angle_deg: f64,
    /// Profile shift that the span (or else the pins) tells, thinning for backlash included.
    pub profile_shift: f64,
    /// Base pitch measured less the system's; none without two spans.
    pub base_pitch_residual_mm: Option<f64>,
    /// Size over pins measured less what the span's shift would give, as a difference of shifts; none without both.
    pub pins_shift_residual: Option<f64>,
    /// Addendum that the tip diameter tells, (d_a − d)/(2·m_n) − x; 1 for a full tooth, less when shortened or stub.
    pub addendum: f64,
    /// How badly it fits: sum of squared residuals over what each may be. Smallest first.
    pub misfit: f64,
}

/// Base pitch and candidates.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchReading {
    /// Measured base pitch; none without spans over two numbers of teeth.
    pub base_pitch: Option<MeasuredBasePitch>,
    /// Candidates, best first.
    pub candidates: Vec<SystemCandidate>,
}

/// What an addendum and a shift may be off by before it counts as much as one uncertainty (own choice).
const ADDENDUM_SPREAD: f64 = 0.15;
const SHIFT_SPREAD: f64 = 0.6;
const ADDENDUM_BOUND: (f64, f64) = (0.6, 1.45);
const SHIFT_BOUND: (f64, f64) = (-1.0, 1.5);
/// Candidates given at most.
const CANDIDATES_MOST: usize = 12;

/// Reads the bench: base pitch and candidate systems, best first.
///
/// # Errors
/// A figure out of range, two spans over one number of teeth, or neither span nor pins.
pub fn read_bench(measured: &BenchMeasurements) -> Result<BenchReading, BadInput> {
    check(measured)?;
    let base_pitch = measured_base_pitch(measured)?;
    let modules = MODULES_FIRST_SERIES_MM
        .iter()
        .chain(&MODULES_SECOND_SERIES_MM)
        .map(|module| (ModuleSource::Module(*module), *module))
        .chain(DIAMETRAL_PITCHES.iter().map(|pitch| (ModuleSource::DiametralPitch(*pitch), INCH_MM / pitch)));
    let mut candidates: Vec<SystemCandidate> = modules
        .flat_map(|(source, module)| TOOL_PRESSURE_ANGLES_DEG.map(|angle| (source, module, angle)))
        .filter_map(|(source, module, angle)| candidate(measured, base_pitch.as_ref(), source, module, angle))
        .collect();
    candidates.sort_by(|a, b| {
        a.misfit
            .total_cmp(&b.misfit)
            .then(a.normal_module_mm.total_cmp(&b.normal_module_mm))
            .then(a.normal_pressure_angle_deg.total_cmp(&b.normal_pressure_angle_deg))
    });
    candidates.truncate(CANDIDATES_MOST);
    Ok(BenchReading { base_pitch, candidates })
}

fn check(measured: &BenchMeasurements) -> Result<(), BadInput> {
    checked_teeth("tooth_count", measured.tooth_count)?;
    bounds::DIAMETER.check("tip_diameter_mm", measured.tip_diameter_mm)?;
    Bound { least: 0.0, most: 60.0, unit: "deg" }
        .check("tip_helix_angle_deg", measured.tip_helix_angle_deg)?;
    Bound { least: 0.0005, most: 1.0, unit: "mm" }.check("uncertainty_mm", measured.uncertainty_mm)?;
    if (measured.hand == Hand::Spur) != (measured.tip_helix_angle_deg == 0.0) {
        return Err(BadInput::Contradiction {
            field: "hand",
            problem: "a spur gear has no helix angle, a helical one a left or right hand",
        });
    }
    if measured.spans.is_empty() && measured.pins.is_none() {
        return Err(BadInput::Contradiction {
            field: "spans",
            problem: "a span or a size over pins is needed",
        });
    }
    for span in &measured.spans {
        bounds::LENGTH.check("spans.span_mm", span.span_mm)?;
        let most = f64::from(measured.tooth_count) - 1.0;
        Bound { least: 1.0, most, unit: "1" }.check("spans.spanned_teeth", f64::from(span.spanned_teeth))?;
    }
    if let Some(pins) = measured.pins {
        bounds::DIAMETER.check("pins.pin_diameter_mm", pins.pin_diameter_mm)?;
        bounds::DIAMETER.check("pins.size_mm", pins.size_mm)?;
    }
    Ok(())
}

/// From the two spans furthest apart: (W_k' − W_k)/(k' − k).
fn measured_base_pitch(measured: &BenchMeasurements) -> Result<Option<MeasuredBasePitch>, BadInput> {
    let mut spans = measured.spans.clone();
    spans.sort_by_key(|span| span.spanned_teeth);
    if spans.windows(2).any(|pair| pair[0].spanned_teeth == pair[1].spanned_teeth) {
        return Err(BadInput::Contradiction {
            field: "spans.spanned_teeth",
            problem: "give one span for each number of teeth",
        });
    }
    let (Some(first), Some(last)) = (spans.first(), spans.last()) else { return Ok(None) };
    if first.spanned_teeth == last.spanned_teeth {
        return Ok(None);
    }
    let steps = f64::from(last.spanned_teeth - first.spanned_teeth);
    let pitch = (last.span_mm - first.span_mm) / steps;
    let bound = Bound { least: 0.1, most: 400.0, unit: "mm" };
    Ok(Some(MeasuredBasePitch {
        normal_base_pitch_mm: bound.check("spans.span_mm", pitch)?,
        uncertainty_mm: 2.0 * measured.uncertainty_mm / steps,
    }))
}

fn candidate(
    measured: &BenchMeasurements,
    base_pitch: Option<&MeasuredBasePitch>,
    source: ModuleSource,
    module: f64,
    angle: f64,
) -> Option<SystemCandidate> {
    let teeth = f64::from(measured.tooth_count);
    let sine = measured.tip_helix_angle_deg.to_radians().tan() * teeth * module / measured.tip_diameter_mm;
    if sine >= 0.86 {
        return None;
    }
    let helix = sine.asin().to_degrees();
    let system = ToothSystem::new(module, angle, helix).ok()?;
    let residual = base_pitch.map(|pitch| pitch.normal_base_pitch_mm - system.normal_base_pitch_mm);
    let mut misfit = 0.0;
    if let (Some(residual), Some(pitch)) = (residual, base_pitch) {
        let share = residual / pitch.uncertainty_mm;
        // Three times the uncertainty is out of the question.
        if share.abs() > 3.0 {
            return None;
        }
        misfit += share * share;
    }
    let from_span = measured.spans.first().and_then(|span| {
        shift_from_span(&system, measured.tooth_count, span.spanned_teeth, span.span_mm).ok()
    });
    let from_pins = measured.pins.and_then(|pins| {
        shift_from_pins(&system, measured.tooth_count, pins.pin_diameter_mm, pins.size_mm).ok()
    });
    let shift = from_span.or(from_pins)?;
    let pins_shift_residual = from_span.zip(from_pins).map(|(span, pins)| pins - span);
    if let Some(residual) = pins_shift_residual {
        // A reading's uncertainty in terms of shift, with room for the pin's steeper effect.
        let share = residual * module / (4.0 * measured.uncertainty_mm);
        misfit += share * share;
    }
    let addendum = (measured.tip_diameter_mm - system.reference_diameter_mm(measured.tooth_count))
        / (2.0 * module)
        - shift;
    let likely = (SHIFT_BOUND.0..=SHIFT_BOUND.1).contains(&shift)
        && (ADDENDUM_BOUND.0..=ADDENDUM_BOUND.1).contains(&addendum);
    if !likely {
        return None;
    }
    misfit += ((addendum - 1.0) / ADDENDUM_SPREAD).powi(2) + (shift / SHIFT_SPREAD).powi(2);
    Some(SystemCandidate {
        source,
        normal_module_mm: module,
        normal_pressure_angle_deg: angle,
        helix_angle_deg: helix,
        profile_shift: shift,
        base_pitch_residual_mm: residual,
        pins_shift_residual,
        addendum,
        misfit,
    })
}

impl SystemCandidate {
    /// The measured gear as a feature: the candidate's system, the measured tip, and the uncertainty of the base pitch.
    /// Without two spans the base pitch rests on the guess of the system alone, and no uncertainty can be told.
    pub fn feature(&self, measured: &BenchMeasurements, reading: &BenchReading) -> GearTeeth {
        GearTeeth {
            tooth_count: measured.tooth_count,
            normal_module_mm: Some(self.normal_module_mm),
            normal_pressure_angle_deg: Some(self.normal_pressure_angle_deg),
            helix_angle_deg: Some(self.helix_angle_deg),
            helix_hand: Some(measured.hand),
            profile_shift: Some(self.profile_shift),
            tip_diameter_mm: Some(measured.tip_diameter_mm),
            base_pitch_uncertainty_mm: reading.base_pitch.map(|pitch| pitch.uncertainty_mm),
            ..GearTeeth::default()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::gear::BasicRack;
    use crate::tooth_thickness::{size_over_pins_mm, span_mm, span_teeth};

    /// The readings a gear of a known system would give.
    fn readings(module: f64, angle: f64, helix: f64, teeth: u32, shift: f64) -> BenchMeasurements {
        let system = ToothSystem::new(module, angle, helix).unwrap();
        let tip = system.tip_diameter_mm(teeth, shift, &BasicRack::ISO_53_A, 0.0);
        let at_tip =
            (helix.to_radians().tan() * tip / system.reference_diameter_mm(teeth)).atan().to_degrees();
        let k = span_teeth(&system, teeth, shift).unwrap();
        let span = |k| MeasuredSpan { spanned_teeth: k, span_mm: span_mm(&system, teeth, shift, k).unwrap() };
        let pin = 1.728 * module;
        BenchMeasurements {
            tooth_count: teeth,
            tip_diameter_mm: tip,
            tip_helix_angle_deg: at_tip,
            hand: if helix == 0.0 { Hand::Spur } else { Hand::Left },
            spans: vec![span(k), span(k + 1)],
            pins: Some(MeasuredPins {
                pin_diameter_mm: pin,
                size_mm: size_over_pins_mm(&system, teeth, shift, pin).unwrap(),
            }),
            uncertainty_mm: 0.005,
        }
    }

    #[test]
    fn a_gear_is_known_again_from_its_readings() {
        for (module, angle, helix, teeth, shift) in [
            (3.0, 20.0, 20.0, 22, 0.1),
            (2.5, 17.5, 28.0, 31, 0.25),
            (3.175, 20.0, 0.0, 40, 0.0),
            (2.75, 22.5, 15.0, 18, 0.4),
            (4.0, 14.5, 0.0, 35, -0.1),
        ] {
            let measured = readings(module, angle, helix, teeth, shift);
            let got = read_bench(&measured).unwrap();
            let best = got.candidates[0];
            assert!((best.normal_module_mm - module).abs() < 1e-9, "{module} {angle}: {got:?}");
            assert_eq!(best.normal_pressure_angle_deg, angle);
            assert!((best.helix_angle_deg - helix).abs() < 1e-6);
            assert!((best.profile_shift - shift).abs() < 1e-6);
            assert!(best.base_pitch_residual_mm.unwrap().abs() < 1e-9);
        }
    }

    #[test]
    fn the_uncertainty_goes_into_the_feature() {
        let measured = readings(3.0, 20.0, 20.0, 22, 0.1);
        let reading = read_bench(&measured).unwrap();
        let feature = reading.candidates[0].feature(&measured, &reading);
        assert_eq!(feature.base_pitch_uncertainty_mm, Some(0.01));
    }

    #[test]
    fn pins_alone_give_candidates_without_a_base_pitch() {
        let measured = BenchMeasurements { spans: vec![], ..readings(3.0, 20.0, 0.0, 30, 0.0) };
        let got = read_bench(&measured).unwrap();
        assert!(got.base_pitch.is_none());
        assert!(got.candidates.iter().any(
            |candidate| candidate.normal_module_mm == 3.0 && candidate.normal_pressure_angle_deg == 20.0
        ));
    }

    #[test]
    fn readings_that_cannot_be_are_refused() {
        let good = readings(3.0, 20.0, 20.0, 22, 0.1);
        let twice = BenchMeasurements { spans: vec![good.spans[0], good.spans[0]], ..good.clone() };
        assert_eq!(read_bench(&twice).unwrap_err().field(), "spans.spanned_teeth");
        let none = BenchMeasurements { spans: vec![], pins: None, ..good.clone() };
        assert_eq!(read_bench(&none).unwrap_err().field(), "spans");
        let straight = BenchMeasurements { hand: Hand::Spur, ..good.clone() };
        assert_eq!(read_bench(&straight).unwrap_err().field(), "hand");
        let nothing = BenchMeasurements { tip_diameter_mm: f64::NAN, ..good };
        assert_eq!(read_bench(&nothing).unwrap_err().field(), "tip_diameter_mm");
    }
}
