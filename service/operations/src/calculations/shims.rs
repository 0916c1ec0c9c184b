//! The exact best combination of shims from those in the box.

use catalogue::Hazard;
use mechanics::BadInput;
use mechanics::shims::{PIECES_MOST, ShimAdvice, ShimChoice, ShimMeasurement, choose_shims};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, entry};
use crate::calculations::sheet::{figure, shown};

/// A box of shims and the thickness wanted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ShimsAsked {
    /// Thickness of each piece in the box; a size that lies there twice stands here twice.
    #[schema(max_items = 200)]
    pub shims_mm: Vec<f64>,
    /// Thickness wanted.
    pub wanted_mm: f64,
    /// Error that does no harm.
    #[serde(default = "usual_tolerance")]
    #[schema(default = 0.01)]
    pub tolerance_mm: f64,
    /// The measurements that the wanted thickness was made from.
    #[serde(default)]
    pub measurements: Vec<MeasurementAsked>,
}

pub(crate) fn usual_tolerance() -> f64 {
    0.01
}

/// A measurement with its uncertainty.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MeasurementAsked {
    /// What was measured.
    pub name: String,
    /// Uncertainty of the reading.
    pub uncertainty_mm: f64,
}

/// The choice.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ShimsResult {
    /// Places in `shims_mm` of the chosen pieces, counted from 0, the thickest first.
    pub places: Vec<usize>,
    /// Their thicknesses.
    pub chosen_mm: Vec<f64>,
    /// Their thickness together.
    pub total_mm: f64,
    /// Total less wanted. No other combination comes nearer.
    pub error_mm: f64,
    /// What to do: `fit`, `repeat_measurement`, `box_too_thin`, `wanted_below_nought` or `piece_lacking`.
    pub advice: String,
    /// The measurement to repeat first.
    pub repeat: Option<String>,
    /// What all pieces together lack.
    pub lacking_mm: Option<f64>,
    /// Thickness of the one further piece that would do.
    pub piece_mm: Option<f64>,
    /// The same in one sentence.
    pub sentence: String,
}

/// Answer to [`ShimsAsked`].
pub type ShimsSheet = CalculationSheet<ShimsAsked, ShimsResult>;

/// Chooses shims.
pub fn calculate_shims(asked: &ShimsAsked) -> Result<ShimsSheet, CalculationFault> {
    let result = choose(&asked.shims_mm, asked.wanted_mm, asked.tolerance_mm, &asked.measurements)?;
    let figures = vec![
        figure(("thickness of the chosen shims", "s", "mm"), result.total_mm, ("Σ s_i", "own calculation")),
        figure(("remaining error", "Δs", "mm"), result.error_mm, ("s − s_wanted", "own calculation")),
    ];
    Ok(CalculationSheet::new("shims", asked.clone(), result, figures, &[Hazard::Press]))
}

/// The best combination, with what to do in words.
pub(crate) fn choose(
    shims_mm: &[f64],
    wanted_mm: f64,
    tolerance_mm: f64,
    measured: &[MeasurementAsked],
) -> Result<ShimsResult, CalculationFault> {
    if measured.len() > PIECES_MOST {
        let detail = format!("{} measurements are named; at most {PIECES_MOST} are taken", measured.len());
        return Err(CalculationFault::at("/measurements", "out_of_range", detail));
    }
    // Mechanics knows the measurements by their place.
    let measurements: Vec<ShimMeasurement> =
        measured.iter().map(|one| ShimMeasurement { name: "", uncertainty_mm: one.uncertainty_mm }).collect();
    let choice = choose_shims(shims_mm, wanted_mm, tolerance_mm, &measurements).map_err(
        |error: BadInput| match error.field() {
            "shims_mm" => entry("/shims_mm", shims_mm.iter().copied())(error),
            "uncertainty_mm" => {
                let mut fault = entry("/measurements", measured.iter().map(|one| one.uncertainty_mm))(error);
                for field in &mut fault.fields {
                    field.pointer.push_str("/uncertainty_mm");
                }
                fault
            }
            _ => error.into(),
        },
    )?;
    Ok(told(&choice, shims_mm, measured))
}

fn told(choice: &ShimChoice, shims_mm: &[f64], measured: &[MeasurementAsked]) -> ShimsResult {
    let chosen_mm: Vec<f64> =
        choice.pieces.iter().filter_map(|place| shims_mm.get(*place).copied()).collect();
    let listed: Vec<String> = chosen_mm.iter().map(|thickness| shown(*thickness)).collect();
    let fit =
        if listed.is_empty() { "fit no shim".to_owned() } else { format!("fit {} mm", listed.join(" + ")) };
    let reached = format!("{fit}: {} mm, off by {} mm", shown(choice.total_mm), shown(choice.error_mm));
    let mut result = ShimsResult {
        places: choice.pieces.clone(),
        chosen_mm,
        total_mm: choice.total_mm,
        error_mm: choice.error_mm,
        advice: String::new(),
        repeat: None,
        lacking_mm: None,
        piece_mm: None,
        sentence: String::new(),
    };
    let (advice, sentence) = match choice.advice {
        ShimAdvice::Reached => ("fit", reached),
        ShimAdvice::RepeatMeasurement { index } => {
            let name = measured.get(index).map_or(String::new(), |one| one.name.clone());
            result.repeat = Some(name.clone());
            (
                "repeat_measurement",
                format!("measure {name} again before fitting anything; as it stands, {reached}"),
            )
        }
        ShimAdvice::BoxTooThin { lacking_mm } => {
            result.lacking_mm = Some(lacking_mm);
            ("box_too_thin", format!("all shims in the box together are {} mm too thin", shown(lacking_mm)))
        }
        ShimAdvice::WantedBelowNought => (
            "wanted_below_nought",
            "the wanted thickness is below nought: measure again with a thicker trial shim or another spacer"
                .to_owned(),
        ),
        ShimAdvice::PieceLacking { thickness_mm } => {
            result.piece_mm = Some(thickness_mm);
            let piece = shown(thickness_mm);
            (
                "piece_lacking",
                format!(
                    "no combination comes near enough; a piece of {piece} mm would do; nearest: {reached}"
                ),
            )
        }
    };
    result.advice = advice.to_owned();
    result.sentence = sentence;
    result
}
