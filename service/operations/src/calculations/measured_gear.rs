//! What tooth system a gear on the bench has.

use catalogue::Hazard;
use mechanics::gear_from_bench::{
    BenchMeasurements, MeasuredPins, MeasuredSpan, ModuleSource, SystemCandidate, read_bench,
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, entry};
use crate::calculations::gear::HelixHand;
use crate::calculations::sheet::figure;

/// What was measured on a gear.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MeasuredGearAsked {
    /// Teeth.
    pub tooth_count: u32,
    /// Tip diameter.
    pub tip_diameter_mm: f64,
    /// Helix angle at the tip, as the gear prints it when rolled on paper; 0 for spur.
    #[serde(default)]
    pub tip_helix_angle_deg: f64,
    /// Hand of the helix.
    pub hand: HelixHand,
    /// Spans over different numbers of teeth; two of them tell the base pitch.
    #[serde(default)]
    pub spans: Vec<SpanAsked>,
    /// Size over two pins or balls.
    pub pins: Option<PinsAsked>,
    /// Uncertainty of each reading.
    #[schema(example = 0.02)]
    pub uncertainty_mm: f64,
}

/// A span over teeth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SpanAsked {
    /// Teeth spanned.
    pub spanned_teeth: u32,
    /// The span.
    pub span_mm: f64,
}

/// A size over two pins or balls.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PinsAsked {
    /// Diameter of a pin or ball.
    pub pin_diameter_mm: f64,
    /// Size over them.
    pub size_mm: f64,
}

/// What the readings tell.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct MeasuredGearResult {
    /// Normal base pitch; null without two spans.
    pub normal_base_pitch_mm: Option<f64>,
    /// Its uncertainty: give it as `base_pitch_uncertainty_mm` where the gear is judged.
    pub base_pitch_uncertainty_mm: Option<f64>,
    /// Standard systems that agree with the readings, the best first; empty if none does.
    pub candidates: Vec<ToothSystemCandidate>,
}

/// A tooth system the readings agree with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ToothSystemCandidate {
    /// Normal module.
    pub normal_module_mm: f64,
    /// Normal diametral pitch, where the system is one of inches.
    pub normal_diametral_pitch: Option<f64>,
    /// Normal pressure angle.
    pub normal_pressure_angle_deg: f64,
    /// Helix angle on the reference cylinder.
    pub helix_angle_deg: f64,
    /// Profile shift, thinning for backlash included.
    pub profile_shift: f64,
    /// Base pitch measured less the system's.
    pub base_pitch_residual_mm: Option<f64>,
    /// Profile shift from the pins less that from the span.
    pub pins_shift_residual: Option<f64>,
    /// Addendum that the tip diameter tells, in modules.
    pub addendum: f64,
    /// Sum of squared residuals over what each may be.
    pub misfit: f64,
}

impl ToothSystemCandidate {
    fn of(found: &SystemCandidate) -> Self {
        Self {
            normal_module_mm: found.normal_module_mm,
            normal_diametral_pitch: match found.source {
                ModuleSource::Module(_) => None,
                ModuleSource::DiametralPitch(pitch) => Some(pitch),
            },
            normal_pressure_angle_deg: found.normal_pressure_angle_deg,
            helix_angle_deg: found.helix_angle_deg,
            profile_shift: found.profile_shift,
            base_pitch_residual_mm: found.base_pitch_residual_mm,
            pins_shift_residual: found.pins_shift_residual,
            addendum: found.addendum,
            misfit: found.misfit,
        }
    }
}

/// Answer to [`MeasuredGearAsked`].
pub type MeasuredGearSheet = CalculationSheet<MeasuredGearAsked, MeasuredGearResult>;

/// Reads the bench.
pub fn calculate_measured_gear(asked: &MeasuredGearAsked) -> Result<MeasuredGearSheet, CalculationFault> {
    let measured = BenchMeasurements {
        tooth_count: asked.tooth_count,
        tip_diameter_mm: asked.tip_diameter_mm,
        tip_helix_angle_deg: asked.tip_helix_angle_deg,
        hand: asked.hand.hand(),
        spans: asked
            .spans
            .iter()
            .map(|span| MeasuredSpan { spanned_teeth: span.spanned_teeth, span_mm: span.span_mm })
            .collect(),
        pins: asked
            .pins
            .as_ref()
            .map(|pins| MeasuredPins { pin_diameter_mm: pins.pin_diameter_mm, size_mm: pins.size_mm }),
        uncertainty_mm: asked.uncertainty_mm,
    };
    let reading = read_bench(&measured).map_err(|error| {
        let of_spans = |field: &str, values: Vec<f64>| {
            let mut fault = entry("/spans", values)(error.clone());
            if let Some(first) = fault.fields.first_mut().filter(|first| first.pointer != "/spans") {
                first.pointer = format!("{}/{field}", first.pointer);
            }
            fault
        };
        match error.field() {
            "spans.span_mm" => of_spans("span_mm", asked.spans.iter().map(|span| span.span_mm).collect()),
            "spans.spanned_teeth" => of_spans(
                "spanned_teeth",
                asked.spans.iter().map(|span| f64::from(span.spanned_teeth)).collect(),
            ),
            _ => CalculationFault::from(error),
        }
    })?;
    let mut figures = Vec::new();
    if let Some(pitch) = &reading.base_pitch {
        let rule = ("(W_k' − W_k)/(k' − k)", "ISO 21771");
        figures.push(figure(
            ("normal base pitch as measured", "p_bn", "mm"),
            pitch.normal_base_pitch_mm,
            rule,
        ));
        let rule = ("2·u/(k' − k)", "own calculation");
        figures.push(figure(("its uncertainty", "u(p_bn)", "mm"), pitch.uncertainty_mm, rule));
    }
    let result = MeasuredGearResult {
        normal_base_pitch_mm: reading.base_pitch.map(|pitch| pitch.normal_base_pitch_mm),
        base_pitch_uncertainty_mm: reading.base_pitch.map(|pitch| pitch.uncertainty_mm),
        candidates: reading.candidates.iter().map(ToothSystemCandidate::of).collect(),
    };
    Ok(CalculationSheet::new("measured-gear", asked.clone(), result, figures, &[Hazard::Solvent]))
}
