//! Depth of a bevel pinion from the deviation etched on it, and the shim behind its head.

use catalogue::Hazard;
use mechanics::BadInput;
use mechanics::pinion_depth::{EtchedSense, pinion_depth, shim_for_new_pinion_mm};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, field};
use crate::calculations::sheet::figure;

catalogue::choice! {
    /// How the maker means the etched figure; it differs between makers and must never be guessed.
    pub enum EtchedMeaning {
        /// A plus mark sets the pinion further from the crown wheel's axis.
        PlusIsFurtherOut = "plus_is_further_out",
        /// A plus mark sets the pinion nearer.
        PlusIsNearer = "plus_is_nearer",
    }
}

/// A pinion: measured in its housing, or taking the place of one that sat right.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PinionDepthAsked {
    /// How the maker means the etched figure.
    pub sense: EtchedMeaning,
    /// Deviation etched on the pinion that goes in.
    pub etched_deviation_mm: f64,
    /// Nominal mounting distance.
    pub nominal_mounting_distance_mm: Option<f64>,
    /// Distance measured with the shim that is in.
    pub measured_distance_mm: Option<f64>,
    /// Deviation etched on the old pinion, where it sat right and nothing is measured.
    pub old_etched_mm: Option<f64>,
    /// Shim that is in, or that was behind the old pinion.
    pub fitted_shim_mm: Option<f64>,
}

/// The shim.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PinionDepthResult {
    /// Mounting distance that the pinion needs.
    pub required_mm: Option<f64>,
    /// Shim to add behind the head; negative to take out.
    pub shim_change_mm: f64,
    /// New shim, where the fitted one is given.
    pub shim_mm: Option<f64>,
}

/// Answer to [`PinionDepthAsked`].
pub type PinionDepthSheet = CalculationSheet<PinionDepthAsked, PinionDepthResult>;

/// Calculates the shim.
pub fn calculate_pinion_depth(asked: &PinionDepthAsked) -> Result<PinionDepthSheet, CalculationFault> {
    let sense = match asked.sense {
        EtchedMeaning::PlusIsFurtherOut => EtchedSense::PlusIsFurtherOut,
        EtchedMeaning::PlusIsNearer => EtchedSense::PlusIsNearer,
    };
    let formula = match sense {
        EtchedSense::PlusIsFurtherOut => "nominal + mark",
        EtchedSense::PlusIsNearer => "nominal − mark",
    };
    let mut figures = Vec::new();
    let result = match (asked.nominal_mounting_distance_mm, asked.measured_distance_mm, asked.old_etched_mm) {
        (Some(nominal), Some(measured), None) => {
            let found = pinion_depth(nominal, asked.etched_deviation_mm, sense, measured)?;
            let head = ("mounting distance needed", "A_req", "mm");
            figures.push(figure(head, found.required_mm, (formula, "common practice, no source")));
            let shim = asked.fitted_shim_mm.map(|shim| shim + found.shim_change_mm);
            let bound = mechanics::bounds::Bound { least: 0.0, most: 100.0, unit: "mm" };
            bound.check_known("fitted_shim_mm", asked.fitted_shim_mm)?;
            bound.check_known("fitted_shim_mm", shim)?;
            PinionDepthResult {
                required_mm: Some(found.required_mm),
                shim_change_mm: found.shim_change_mm,
                shim_mm: shim,
            }
        }
        (None, None, Some(old)) => {
            let needed = || {
                let detail = "fitted_shim_mm, the shim behind the old pinion, is needed";
                CalculationFault::at("/fitted_shim_mm", "contradiction", detail)
            };
            let shim = asked.fitted_shim_mm.ok_or_else(needed)?;
            let found = shim_for_new_pinion_mm(shim, old, asked.etched_deviation_mm, sense).map_err(
                |error: BadInput| match error.field() {
                    "old_shim_mm" => field("/fitted_shim_mm")(error),
                    "new_etched_mm" => field("/etched_deviation_mm")(error),
                    _ => error.into(),
                },
            )?;
            PinionDepthResult { required_mm: None, shim_change_mm: found - shim, shim_mm: Some(found) }
        }
        _ => {
            let detail = "give nominal_mounting_distance_mm with measured_distance_mm, or old_etched_mm with fitted_shim_mm";
            return Err(CalculationFault::at("/measured_distance_mm", "contradiction", detail));
        }
    };
    let rule = ("A_measured − A_req, or the difference of the marks", "common practice, no source");
    figures.push(figure(("shim to add behind the head", "Δs", "mm"), result.shim_change_mm, rule));
    Ok(CalculationSheet::new("pinion-depth", asked.clone(), result, figures, &[Hazard::Press, Hazard::Heat]))
}
