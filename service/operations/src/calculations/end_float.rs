//! End float of a shaft, measured or from the parts in its space, and the shim that brings it within limits.

use catalogue::Hazard;
use mechanics::end_float::{end_float_of_stack_mm, shim_for_end_float};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, entry};
use crate::calculations::sheet::{figure, shown};

/// Most parts in a stack.
const PARTS_MOST: usize = 100;

/// An end float, measured or from its parts, and its limits.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct EndFloatAsked {
    /// End float as measured.
    pub measured_end_float_mm: Option<f64>,
    /// Space in which the parts stand, instead of a measurement.
    pub space_mm: Option<f64>,
    /// Lengths of the parts in the space.
    #[serde(default)]
    pub parts_mm: Vec<f64>,
    /// Least end float.
    pub min_end_float_mm: f64,
    /// Most end float.
    pub max_end_float_mm: f64,
}

/// The end float against its limits.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct EndFloatResult {
    /// The end float; negative: the parts do not go in.
    pub end_float_mm: f64,
    /// Whether it lies within the limits.
    pub within: bool,
    /// Least shim to add; negative to take out.
    pub least_change_mm: f64,
    /// Most shim to add.
    pub most_change_mm: f64,
    /// Change that reaches the middle of the limits.
    pub middle_change_mm: f64,
    /// What to do, in one sentence.
    pub sentence: String,
}

/// Answer to [`EndFloatAsked`].
pub type EndFloatSheet = CalculationSheet<EndFloatAsked, EndFloatResult>;

/// Holds an end float against its limits.
pub fn calculate_end_float(asked: &EndFloatAsked) -> Result<EndFloatSheet, CalculationFault> {
    if asked.parts_mm.len() > PARTS_MOST {
        let detail = format!("{} parts are named; at most {PARTS_MOST} are taken", asked.parts_mm.len());
        return Err(CalculationFault::at("/parts_mm", "out_of_range", detail));
    }
    let (float, formula) = match (asked.measured_end_float_mm, asked.space_mm) {
        (Some(measured), None) => (measured, "as measured"),
        (None, Some(space)) => {
            let left =
                end_float_of_stack_mm(space, &asked.parts_mm).map_err(|error| match error.field() {
                    "parts_mm" => entry("/parts_mm", asked.parts_mm.iter().copied())(error),
                    _ => error.into(),
                })?;
            (left, "space − Σ parts")
        }
        _ => {
            let detail = "give measured_end_float_mm, or space_mm with parts_mm";
            return Err(CalculationFault::at("/measured_end_float_mm", "contradiction", detail));
        }
    };
    let found = shim_for_end_float(float, asked.min_end_float_mm, asked.max_end_float_mm).map_err(
        |error| match (error.field(), asked.space_mm) {
            ("measured_end_float_mm", Some(_)) => CalculationFault::of(&error, "/space_mm"),
            _ => error.into(),
        },
    )?;
    let middle = found.middle_change_mm;
    let sentence = if found.within {
        format!("{} mm: within the limits", shown(float))
    } else if middle > 0.0 {
        format!("{} mm: too much; add {} mm of shim", shown(float), shown(middle))
    } else {
        format!("{} mm: too little; take {} mm of shim out", shown(float), shown(-middle))
    };
    let figures = vec![
        figure(("end float", "f", "mm"), float, (formula, "own calculation")),
        figure(
            ("change that reaches the middle", "Δs", "mm"),
            middle,
            ("f − (f_min + f_max)/2", "own calculation"),
        ),
    ];
    let result = EndFloatResult {
        end_float_mm: float,
        within: found.within,
        least_change_mm: found.least_change_mm,
        most_change_mm: found.most_change_mm,
        middle_change_mm: middle,
        sentence,
    };
    Ok(CalculationSheet::new("end-float", asked.clone(), result, figures, &[Hazard::Press, Hazard::Spring]))
}
