//! What heat does to a seat and to an axial setting between a housing and its shaft.

use catalogue::Hazard;
use mechanics::shrink_fit::{ALUMINIUM_EXPANSION, STEEL_EXPANSION, growth_mm, setting_change_mm};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, field};
use crate::calculations::sheet::{figure, shown};

/// A seat, or an axial setting, or both, warmed from one temperature to another.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct HeatGrowthAsked {
    /// Diameter of the seat.
    pub diameter_mm: Option<f64>,
    /// Distance along the shaft between what holds the bearings.
    pub length_mm: Option<f64>,
    /// Thermal expansion of the outer part, the housing; left out: aluminium.
    #[serde(default = "aluminium")]
    #[schema(default = 23.0e-6)]
    pub outer_expansion_per_k: f64,
    /// Thermal expansion of the inner part, the shaft or bearing; left out: steel.
    #[serde(default = "steel")]
    #[schema(default = 11.5e-6)]
    pub inner_expansion_per_k: f64,
    /// Temperature at which the parts were measured.
    #[serde(default = "usual_room")]
    #[schema(default = 20.0)]
    pub from_degc: f64,
    /// Temperature in work.
    pub to_degc: f64,
    /// Clearance of the seat as measured, in micrometres; negative is interference.
    pub clearance_um: Option<f64>,
}

fn aluminium() -> f64 {
    ALUMINIUM_EXPANSION
}
fn steel() -> f64 {
    STEEL_EXPANSION
}
fn usual_room() -> f64 {
    20.0
}

/// What the heat changes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct HeatGrowthResult {
    /// Growth of the outer part's diameter; null without a seat.
    pub outer_growth_mm: Option<f64>,
    /// Growth of the inner part's diameter.
    pub inner_growth_mm: Option<f64>,
    /// Change of the seat's clearance in micrometres; positive opens it.
    pub clearance_change_um: Option<f64>,
    /// Clearance at work; negative is interference.
    pub clearance_in_work_um: Option<f64>,
    /// Change of the axial setting; positive loosens bearings held between covers; null without a length.
    pub setting_change_mm: Option<f64>,
    /// What changes, in one sentence.
    pub sentence: String,
}

/// Answer to [`HeatGrowthAsked`].
pub type HeatGrowthSheet = CalculationSheet<HeatGrowthAsked, HeatGrowthResult>;

/// Calculates the growth.
pub fn calculate_heat_growth(asked: &HeatGrowthAsked) -> Result<HeatGrowthSheet, CalculationFault> {
    if asked.diameter_mm.is_none() && asked.length_mm.is_none() {
        let detail = "give diameter_mm for a seat, or length_mm for a setting, or both";
        return Err(CalculationFault::at("/diameter_mm", "contradiction", detail));
    }
    let bounds = [("from_degc", asked.from_degc), ("to_degc", asked.to_degc)];
    for (name, value) in bounds {
        mechanics::bounds::TEMPERATURE.check(name, value)?;
    }
    mechanics::bounds::DEVIATION_UM.check_known("clearance_um", asked.clearance_um)?;
    let grown = |name: &str, expansion: f64| {
        let pointer = format!("/{name}");
        let growth = |diameter| growth_mm(diameter, expansion, asked.from_degc, asked.to_degc);
        asked.diameter_mm.map(growth).transpose().map_err(|error| match error.field() {
            "expansion_per_k" => field(&pointer)(error),
            _ => error.into(),
        })
    };
    let outer = grown("outer_expansion_per_k", asked.outer_expansion_per_k)?;
    let inner = grown("inner_expansion_per_k", asked.inner_expansion_per_k)?;
    let change = outer.zip(inner).map(|(outer, inner)| (outer - inner) * 1000.0);
    let (outer_alpha, inner_alpha) = (asked.outer_expansion_per_k, asked.inner_expansion_per_k);
    let rise = asked.to_degc - asked.from_degc;
    let setting = asked
        .length_mm
        .map(|length| setting_change_mm(outer_alpha, inner_alpha, length, rise))
        .transpose()
        .map_err(|error| match error.field() {
            "housing_expansion_per_k" => field("/outer_expansion_per_k")(error),
            "shaft_expansion_per_k" => field("/inner_expansion_per_k")(error),
            "temperature_rise_k" => field("/to_degc")(error),
            _ => error.into(),
        })?;
    let hot = change.zip(asked.clearance_um).map(|(change, cold)| cold + change);
    let rule = |formula| (formula, "thermal expansion of solids");
    let mut figures = Vec::new();
    for (head, value, formula) in [
        (("growth of the outer part", "Δd_o", "mm"), outer, "α_o·d·ΔT"),
        (("growth of the inner part", "Δd_i", "mm"), inner, "α_i·d·ΔT"),
        (("change of the clearance", "ΔC", "um"), change, "(α_o − α_i)·d·ΔT"),
        (("clearance in work", "C_hot", "um"), hot, "C + ΔC"),
        (("change of the axial setting", "Δf", "mm"), setting, "(α_o − α_i)·L·ΔT"),
    ] {
        figures.extend(value.map(|value| figure(head, value, rule(formula))));
    }
    let sentence = sentence(change, hot, setting);
    let result = HeatGrowthResult {
        outer_growth_mm: outer,
        inner_growth_mm: inner,
        clearance_change_um: change,
        clearance_in_work_um: hot,
        setting_change_mm: setting,
        sentence,
    };
    Ok(CalculationSheet::new("heat-growth", asked.clone(), result, figures, &[Hazard::Heat, Hazard::Press]))
}

fn sentence(change: Option<f64>, hot: Option<f64>, setting: Option<f64>) -> String {
    let way = |value: f64, more: &'static str, less: &'static str| if value < 0.0 { less } else { more };
    let mut told = Vec::new();
    if let Some(change) = change {
        told.push(format!("the seat {} by {} µm", way(change, "opens", "tightens"), shown(change.abs())));
    }
    if let Some(hot) = hot {
        told.push(format!("{} of {} µm in work", way(hot, "clearance", "interference"), shown(hot.abs())));
    }
    if let Some(setting) = setting {
        let words = way(setting, "loosens", "tightens");
        told.push(format!("a setting between covers {words} by {} mm", shown(setting.abs())));
    }
    told.join("; ")
}
