//! Rating life of a rolling bearing (ISO 281), and the rating that a wanted life takes.

use catalogue::Hazard;
use mechanics::BadInput;
use mechanics::bearing_life::{
    LoadPart, RollingElement, equivalent_load, equivalent_load_of_spectrum, rating_life_h, rating_life_mrev,
    required_rating, tapered_factors,
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, entry, field};
use crate::calculations::road_speed::one;
use crate::calculations::sheet::{figure, shown};

catalogue::choice! {
    /// What rolls in the bearing.
    pub enum Rolling {
        /// Balls: exponent 3.
        Ball = "ball",
        /// Rollers: exponent 10/3.
        Roller = "roller",
    }
}

/// Most parts of a load spectrum.
const PARTS_MOST: usize = 100;

/// A bearing, its load and its speed. Give the equivalent load, or radial and axial load with their factors, or a spectrum.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BearingLifeAsked {
    /// What rolls.
    pub element: Rolling,
    /// Dynamic load rating C.
    pub dynamic_rating_n: f64,
    /// Equivalent load P.
    pub equivalent_load_n: Option<f64>,
    /// Radial load F_r.
    pub radial_load_n: Option<f64>,
    /// Axial load F_a.
    #[serde(default)]
    pub axial_load_n: f64,
    /// Radial factor X.
    #[serde(default = "one")]
    #[schema(default = 1.0)]
    pub radial_factor: f64,
    /// Axial factor Y.
    #[serde(default)]
    pub axial_factor: f64,
    /// Limit value e of a single-row tapered roller bearing, instead of the factors: X and Y follow from it.
    pub limit_e: Option<f64>,
    /// Loads over the time, each with its speed.
    #[serde(default)]
    pub spectrum: Vec<LoadPartAsked>,
    /// Speed in 1/min, for the life in hours.
    pub speed_per_min: Option<f64>,
    /// Life that is wanted, in hours.
    pub wanted_life_h: Option<f64>,
}

/// One part of a load spectrum.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LoadPartAsked {
    /// Share of the time, 0 to 1.
    pub time_share: f64,
    /// Speed in 1/min.
    pub speed_per_min: f64,
    /// Equivalent load in this part.
    pub load_n: f64,
}

/// The life.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BearingLifeResult {
    /// Equivalent load that was calculated with.
    pub equivalent_load_n: f64,
    /// Rating life in millions of revolutions: nine of ten bearings reach it.
    pub life_million_revolutions: f64,
    /// Rating life in hours.
    pub life_h: Option<f64>,
    /// Rating that the wanted life takes.
    pub required_rating_n: Option<f64>,
    /// Whether the wanted life is reached.
    pub reaches_wanted_life: Option<bool>,
    /// The life in one sentence.
    pub sentence: String,
}

/// Answer to [`BearingLifeAsked`].
pub type BearingLifeSheet = CalculationSheet<BearingLifeAsked, BearingLifeResult>;

/// Calculates the life.
pub fn calculate_bearing_life(asked: &BearingLifeAsked) -> Result<BearingLifeSheet, CalculationFault> {
    let element = match asked.element {
        Rolling::Ball => RollingElement::Ball,
        Rolling::Roller => RollingElement::Roller,
    };
    let load = load_of(asked, element)?;
    let iso = |formula| (formula, "ISO 281");
    let life = rating_life_mrev(asked.dynamic_rating_n, load, element).map_err(of_fields)?;
    let mut figures = vec![
        figure(("equivalent load", "P", "N"), load, iso("X·F_r + Y·F_a, or of the spectrum")),
        figure(("exponent", "p", "1"), element.exponent(), iso("3 for balls, 10/3 for rollers")),
        figure(("rating life", "L_10", "10⁶"), life, iso("(C/P)^p")),
    ];
    if let (Some(limit), Some(radial)) = (asked.limit_e, asked.radial_load_n) {
        let (x, y) = factors(asked, radial)?;
        let angle = tapered_factors(limit)?.contact_angle_deg;
        figures.push(figure(("contact angle", "α", "deg"), angle, iso("tan α = e/1.5")));
        figures.push(figure(("radial factor", "X", "1"), x, iso("1 up to F_a/F_r = e, 0.4 beyond")));
        figures.push(figure(("axial factor", "Y", "1"), y, iso("0 up to F_a/F_r = e, 0.4·cot α beyond")));
    }
    let hours = match asked.speed_per_min {
        Some(speed) => Some(rating_life_h(asked.dynamic_rating_n, load, element, speed).map_err(of_fields)?),
        None => None,
    };
    figures.extend(
        hours.map(|hours| figure(("rating life in hours", "L_10h", "h"), hours, iso("10⁶·L_10/(60·n)"))),
    );
    let required = match (asked.speed_per_min, asked.wanted_life_h) {
        (Some(speed), Some(wanted)) => {
            Some(required_rating(load, element, speed, wanted).map_err(of_fields)?)
        }
        (None, Some(_)) => {
            let detail = "speed_per_min is needed to hold a life in hours against";
            return Err(CalculationFault::at("/speed_per_min", "contradiction", detail));
        }
        (_, None) => None,
    };
    figures.extend(
        required.map(|c| figure(("rating that the wanted life takes", "C_req", "N"), c, iso("P·L_10^(1/p)"))),
    );
    let reaches = required.map(|required| asked.dynamic_rating_n >= required);
    let sentence = match (hours, asked.wanted_life_h, reaches) {
        (Some(hours), Some(wanted), Some(true)) => {
            format!("{} h, and {} h are wanted: reached", shown(hours), shown(wanted))
        }
        (Some(hours), Some(wanted), _) => {
            format!("{} h, and {} h are wanted: not reached", shown(hours), shown(wanted))
        }
        (Some(hours), None, _) => format!("{} h", shown(hours)),
        (None, ..) => format!("{} million revolutions", shown(life)),
    };
    let result = BearingLifeResult {
        equivalent_load_n: load,
        life_million_revolutions: life,
        life_h: hours,
        required_rating_n: required,
        reaches_wanted_life: reaches,
        sentence,
    };
    Ok(CalculationSheet::new("bearing-life", asked.clone(), result, figures, &[Hazard::Press, Hazard::Heat]))
}

/// Loads carry their unit in the request.
fn of_fields(error: BadInput) -> CalculationFault {
    match error.field() {
        name @ ("dynamic_rating" | "equivalent_load" | "radial_load" | "axial_load") => {
            field(&format!("/{name}_n"))(error)
        }
        "life_h" => field("/wanted_life_h")(error),
        _ => error.into(),
    }
}

fn load_of(asked: &BearingLifeAsked, element: RollingElement) -> Result<f64, CalculationFault> {
    match (asked.equivalent_load_n, asked.radial_load_n, asked.spectrum.as_slice()) {
        (Some(load), None, []) => Ok(load),
        (None, Some(radial), []) => {
            let (x, y) = factors(asked, radial)?;
            equivalent_load(radial, asked.axial_load_n, x, y, 1.0).map_err(of_fields)
        }
        (None, None, [_, ..]) => spectrum_load(asked, element),
        (None, None, []) => {
            let detail = "give equivalent_load_n, or radial_load_n, or a spectrum";
            Err(CalculationFault::at("/equivalent_load_n", "contradiction", detail))
        }
        _ => {
            let detail = "equivalent_load_n, radial_load_n and spectrum say the same thing; give one of them";
            Err(CalculationFault::at("/equivalent_load_n", "contradiction", detail))
        }
    }
}

/// X and Y as given, or those of a tapered roller bearing: 1 and 0 up to F_a/F_r = e, beyond it 0.4 and 0.4·cot α
/// (ISO 281, from memory).
fn factors(asked: &BearingLifeAsked, radial: f64) -> Result<(f64, f64), CalculationFault> {
    let Some(limit) = asked.limit_e else { return Ok((asked.radial_factor, asked.axial_factor)) };
    let tapered = tapered_factors(limit)?;
    Ok(if asked.axial_load_n <= limit * radial { (1.0, 0.0) } else { (0.4, tapered.axial_factor) })
}

fn spectrum_load(asked: &BearingLifeAsked, element: RollingElement) -> Result<f64, CalculationFault> {
    if asked.spectrum.len() > PARTS_MOST {
        let detail =
            format!("the spectrum has {} parts; at most {PARTS_MOST} are taken", asked.spectrum.len());
        return Err(CalculationFault::at("/spectrum", "out_of_range", detail));
    }
    let part = |part: &LoadPartAsked| LoadPart {
        time_share: part.time_share,
        speed_per_min: part.speed_per_min,
        load: part.load_n,
    };
    let parts: Vec<LoadPart> = asked.spectrum.iter().map(part).collect();
    equivalent_load_of_spectrum(&parts, element).map_err(|error| {
        let (name, values): (&str, Vec<f64>) = match error.field() {
            "load" => ("load_n", parts.iter().map(|part| part.load).collect()),
            "speed_per_min" => ("speed_per_min", parts.iter().map(|part| part.speed_per_min).collect()),
            _ => ("time_share", parts.iter().map(|part| part.time_share).collect()),
        };
        let mut fault = entry("/spectrum", values)(error);
        if let Some(first) = fault.fields.first_mut().filter(|first| first.pointer != "/spectrum") {
            first.pointer = format!("{}/{name}", first.pointer);
        }
        fault
    })
}
