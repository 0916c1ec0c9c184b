//! The form in which every calculation answers.

use catalogue::Hazard;
use resolver::FigureValue;
use resolver::answer::CautionNote;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::safety::notes;

/// A calculation with everything it was made from and led to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CalculationSheet<A, R> {
    /// Which calculation: the last part of its path.
    pub calculation: String,
    /// What it was made from, in full; a figure that was not given is null.
    pub inputs: A,
    /// What came of it.
    pub result: R,
    /// The figures on the way, each with its symbol, unit, formula and where the formula stands.
    pub figures: Vec<FigureValue>,
    /// What can hurt someone who acts on it.
    pub cautions: Vec<CautionNote>,
    /// Sentence that always goes with an answer for bench or road.
    pub deferral: String,
}

impl<A, R> CalculationSheet<A, R> {
    /// A sheet with the cautions of the hazards that acting on it brings.
    pub(crate) fn new(
        calculation: &str,
        inputs: A,
        result: R,
        figures: Vec<FigureValue>,
        hazards: &[Hazard],
    ) -> Self {
        Self {
            calculation: calculation.to_owned(),
            inputs,
            result,
            figures,
            cautions: notes(hazards),
            deferral: resolver::DEFERRAL.to_owned(),
        }
    }
}

/// A figure with its formula: name, symbol and unit; value; formula and where it stands.
pub(crate) fn figure(
    (name, symbol, unit): (&str, &str, &str),
    value: f64,
    (formula, standard): (&str, &str),
) -> FigureValue {
    FigureValue {
        name: name.to_owned(),
        symbol: symbol.to_owned(),
        unit: unit.to_owned(),
        value,
        formula: formula.to_owned(),
        standard: standard.to_owned(),
    }
}

/// A figure as a sentence shows it: at most four decimals.
pub(crate) fn shown(value: f64) -> String {
    let text = format!("{value:.4}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}
