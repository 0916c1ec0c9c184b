//! Heating and cooling that fit a bearing or sleeve with interference.

use catalogue::Hazard;
use mechanics::shrink_fit::{
    BEARING_TEMPERATURE_MOST_DEGC, STEEL_EXPANSION, heating_plan, temperature_difference_k,
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::CalculationFault;
use crate::calculations::sheet::{figure, shown};

/// A shrink fit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ShrinkFitAsked {
    /// Diameter of the seat.
    pub diameter_mm: f64,
    /// Largest interference on the diameter.
    pub interference_mm: f64,
    /// Clearance on the diameter with which it slips on.
    #[serde(default = "usual_slip")]
    #[schema(default = 0.05)]
    pub slip_clearance_mm: f64,
    /// Thermal expansion of the outer part; left out: steel.
    #[serde(default = "steel")]
    #[schema(default = 11.5e-6)]
    pub expansion_per_k: f64,
    /// Thermal expansion of the shaft; left out: steel.
    #[serde(default = "steel")]
    #[schema(default = 11.5e-6)]
    pub shaft_expansion_per_k: f64,
    /// Temperature of the room.
    #[serde(default = "usual_room")]
    #[schema(default = 20.0)]
    pub room_degc: f64,
    /// Highest temperature of the outer part; left out: that of rolling bearings.
    #[serde(default = "bearing_limit")]
    #[schema(default = 120.0)]
    pub heat_limit_degc: f64,
}

fn usual_slip() -> f64 {
    0.05
}
fn steel() -> f64 {
    STEEL_EXPANSION
}
fn usual_room() -> f64 {
    20.0
}
fn bearing_limit() -> f64 {
    BEARING_TEMPERATURE_MOST_DEGC
}

/// How to fit it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ShrinkFitResult {
    /// Temperature of the outer part.
    pub heat_to_degc: f64,
    /// Temperature of the shaft, where heating alone does not do.
    pub cool_shaft_to_degc: Option<f64>,
    /// Whether heating to the limit and dry ice together do not do either.
    pub out_of_reach: bool,
    /// What to do, in one sentence.
    pub sentence: String,
}

/// Answer to [`ShrinkFitAsked`].
pub type ShrinkFitSheet = CalculationSheet<ShrinkFitAsked, ShrinkFitResult>;

/// Calculates the temperatures.
pub fn calculate_shrink_fit(asked: &ShrinkFitAsked) -> Result<ShrinkFitSheet, CalculationFault> {
    let expansions = [asked.expansion_per_k, asked.shaft_expansion_per_k];
    let (diameter, interference, slip) = (asked.diameter_mm, asked.interference_mm, asked.slip_clearance_mm);
    let plan =
        heating_plan(diameter, interference, slip, expansions, asked.room_degc, asked.heat_limit_degc)?;
    let difference = temperature_difference_k(diameter, interference, slip, asked.expansion_per_k)?;
    let rule = ("(δ + s)/(α·d)", "thermal expansion of solids");
    let figures = vec![
        figure(("temperature difference needed", "ΔT", "K"), difference, rule),
        figure(
            ("temperature of the outer part", "T", "degC"),
            plan.heat_to_degc,
            ("T_0 + ΔT, at most the limit", "own calculation"),
        ),
    ];
    let heat = shown(plan.heat_to_degc);
    let sentence = match (plan.out_of_reach, plan.cool_shaft_to_degc) {
        (true, _) => format!("heating to {heat} °C and dry ice do not do: press it, or choose a looser fit"),
        (false, Some(cold)) => {
            format!("heat the outer part to {heat} °C and cool the shaft to {} °C", shown(cold))
        }
        (false, None) => format!("heat the outer part to {heat} °C"),
    };
    let result = ShrinkFitResult {
        heat_to_degc: plan.heat_to_degc,
        cool_shaft_to_degc: plan.cool_shaft_to_degc,
        out_of_reach: plan.out_of_reach,
        sentence,
    };
    Ok(CalculationSheet::new("shrink-fit", asked.clone(), result, figures, &[Hazard::Heat, Hazard::Press]))
}
