//! A measured value against the limits that the maker gives, and the share of the wear that is left.

use catalogue::Hazard;
use mechanics::wear::{WearLimits, WearVerdict, wear_reading};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::CalculationFault;
use crate::calculations::sheet::{figure, shown};

catalogue::choice! {
    /// What a worn face is good for.
    pub enum WearWord {
        /// As new.
        Reuse = "reuse",
        /// Worn but good.
        ReuseWorn = "reuse_worn",
        /// Past its limit.
        Replace = "replace",
    }
}

/// A measurement and its limits, all in one unit. Wear may go up (backlash, bore) or down (thickness, journal): the side of the
/// limit tells.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WearAsked {
    /// The value measured.
    pub measured: f64,
    /// Smallest value of a new part.
    pub new_min: f64,
    /// Largest value of a new part.
    pub new_max: f64,
    /// Last good value of a worn part; left out: a worn part is always replaced.
    pub wear_limit: Option<f64>,
    /// The unit, as a word for the answer.
    #[serde(default = "millimetres")]
    #[schema(default = "mm", max_length = 12)]
    pub unit: String,
}

fn millimetres() -> String {
    "mm".to_owned()
}

/// What the measurement says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WearResult {
    /// The verdict. A value on the limit is still good.
    pub verdict: WearWord,
    /// Share of the wear allowance that is left: 1 as new, 0 at the limit or past it; null without a limit.
    pub remaining_share: Option<f64>,
    /// The verdict with its figures.
    pub sentence: String,
}

/// Answer to [`WearAsked`].
pub type WearSheet = CalculationSheet<WearAsked, WearResult>;

/// Holds a measurement against its limits.
pub fn calculate_wear(asked: &WearAsked) -> Result<WearSheet, CalculationFault> {
    if asked.unit.chars().count() > 12 {
        return Err(CalculationFault::at(
            "/unit",
            "out_of_range",
            "unit has more than 12 letters; write it as mm or N.m",
        ));
    }
    let limits = WearLimits { new_min: asked.new_min, new_max: asked.new_max, wear_limit: asked.wear_limit };
    let reading = wear_reading(asked.measured, &limits)?;
    let unit = &asked.unit;
    let measured = shown(asked.measured);
    let limit = asked
        .wear_limit
        .map_or("no limit for a worn part".to_owned(), |limit| format!("limit {} {unit}", shown(limit)));
    let (verdict, words) = match reading.verdict {
        WearVerdict::Reuse => (WearWord::Reuse, "as new"),
        WearVerdict::ReuseWorn => (WearWord::ReuseWorn, "worn but good"),
        WearVerdict::Replace => (WearWord::Replace, "replace"),
    };
    let left = reading
        .remaining_share
        .map_or(String::new(), |share| format!(", {} % of the wear left", shown(share * 100.0)));
    let figures = reading
        .remaining_share
        .map(|share| {
            figure(
                ("share of the wear left", "r", "1"),
                share,
                ("(limit − measured)/(limit − new)", "own calculation"),
            )
        })
        .into_iter()
        .collect();
    let result = WearResult {
        verdict,
        remaining_share: reading.remaining_share,
        sentence: format!("{words}: {measured} {unit}, {limit}{left}"),
    };
    Ok(CalculationSheet::new("wear", asked.clone(), result, figures, &[Hazard::Press, Hazard::Solvent]))
}
