//! Engine speed over road speed in each gear, before and after a change.

use catalogue::Hazard;
use mechanics::gear_train::overall_ratio;
use mechanics::road_speed::{engine_speed, road_speed};
use mechanics::svg::{SpeedDiagram, speed_diagram};
use mechanics::tyre::parse_tyre;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, field, within};
use crate::calculations::sheet::figure;

/// Most gears at once.
const GEARS_MOST: usize = 24;

/// A vehicle's gears, final drive and tyre.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RoadSpeedAsked {
    /// The gears, in order.
    pub gears: Vec<GearRatioAsked>,
    /// Ratio of the drop box.
    #[serde(default = "one")]
    #[schema(default = 1.0)]
    pub transfer_ratio: f64,
    /// Ratio of the axle.
    pub final_drive_ratio: f64,
    /// Ratio of the axle after the change; left out: as before.
    pub final_drive_ratio_after: Option<f64>,
    /// Tyre designation, such as 265/70R16.
    pub tyre: Option<String>,
    /// Rolling circumference instead of the tyre.
    pub rolling_circumference_m: Option<f64>,
    /// Slip of the driven wheels.
    #[serde(default)]
    pub slip: f64,
    /// The road speed at which the gears are compared.
    pub road_speed_kmh: f64,
    /// Highest engine speed.
    pub engine_speed_most: f64,
}

pub(crate) fn one() -> f64 {
    1.0
}

/// One gear.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GearRatioAsked {
    /// Its name.
    pub name: String,
    /// Its ratio.
    pub ratio: f64,
    /// Its ratio after the change; left out: as before.
    pub ratio_after: Option<f64>,
}

/// What each gear does on the road.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RoadSpeedResult {
    /// Rolling circumference that was calculated with.
    pub rolling_circumference_m: f64,
    /// The gears, in order.
    pub gears: Vec<GearOnTheRoad>,
}

/// One gear on the road.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct GearOnTheRoad {
    /// Its name.
    pub name: String,
    /// Overall ratio.
    pub total_ratio: f64,
    /// Engine speed in 1/min at the road speed.
    pub engine_speed_per_min: f64,
    /// Road speed at the highest engine speed.
    pub road_speed_most_kmh: f64,
    /// Overall ratio after the change.
    pub total_ratio_after: Option<f64>,
    /// Engine speed after the change.
    pub engine_speed_after_per_min: Option<f64>,
    /// Road speed at the highest engine speed after the change.
    pub road_speed_most_after_kmh: Option<f64>,
    /// Revolutions a minute fewer; negative if more.
    pub drop_per_min: Option<f64>,
    /// The same in per cent.
    pub drop_percent: Option<f64>,
}

/// Answer to [`RoadSpeedAsked`].
pub type RoadSpeedSheet = CalculationSheet<RoadSpeedAsked, RoadSpeedResult>;

/// Calculates engine and road speeds.
pub fn calculate_road_speed(asked: &RoadSpeedAsked) -> Result<RoadSpeedSheet, CalculationFault> {
    let around = circumference(asked.tyre.as_deref(), asked.rolling_circumference_m)?;
    let totals = totals(asked)?;
    let mut figures = vec![figure(
        ("rolling circumference", "U", "m"),
        around,
        (if asked.tyre.is_some() { "3.05·D" } else { "given" }, "trade rule, from memory"),
    )];
    let mut gears = Vec::new();
    for (gear, (before, after)) in asked.gears.iter().zip(&totals) {
        let engine = |total: f64| engine_speed(asked.road_speed_kmh, total, around, asked.slip);
        let road = |total: f64| road_speed(asked.engine_speed_most, total, around, asked.slip);
        let top = |total: f64| {
            road(total).map_err(|error| match error.field() {
                "engine_speed_per_min" => field("/engine_speed_most")(error),
                _ => error.into(),
            })
        };
        let speed = engine(*before)?;
        let speed_after = after.map(engine).transpose()?;
        let rule = ("i_gear·i_transfer·i_final", "own calculation");
        figures.push(figure((&format!("overall ratio in {}", gear.name), "i_tot", "1"), *before, rule));
        let rule = ("v·1000·i_tot/(60·U·(1 − s))", "own calculation");
        figures.push(figure((&format!("engine speed in {}", gear.name), "n", "1/min"), speed, rule));
        if let Some(after) = speed_after {
            figures.push(figure(
                (&format!("engine speed in {} after", gear.name), "n'", "1/min"),
                after,
                rule,
            ));
        }
        gears.push(GearOnTheRoad {
            name: gear.name.clone(),
            total_ratio: *before,
            engine_speed_per_min: speed,
            road_speed_most_kmh: top(*before)?,
            total_ratio_after: *after,
            engine_speed_after_per_min: speed_after,
            road_speed_most_after_kmh: after.map(top).transpose()?,
            drop_per_min: speed_after.map(|after| speed - after),
            drop_percent: after.map(|after| (1.0 - after / before) * 100.0),
        });
    }
    let result = RoadSpeedResult { rolling_circumference_m: around, gears };
    let hazards = [Hazard::ChangedGearing, Hazard::Brakes];
    Ok(CalculationSheet::new("road-speed", asked.clone(), result, figures, &hazards))
}

/// Engine speed over road speed, a line a gear; the road axis ends where the fastest gear does.
pub fn draw_road_speed(asked: &RoadSpeedAsked) -> Result<String, CalculationFault> {
    let sheet = calculate_road_speed(asked)?;
    let changed = sheet.result.gears.iter().any(|gear| gear.total_ratio_after.is_some());
    let fastest = sheet
        .result
        .gears
        .iter()
        .map(|gear| gear.road_speed_most_kmh.max(gear.road_speed_most_after_kmh.unwrap_or(0.0)))
        .fold(1.0, f64::max);
    let diagram = SpeedDiagram {
        gears: asked.gears.iter().map(|gear| gear.name.clone()).collect(),
        before: sheet.result.gears.iter().map(|gear| gear.total_ratio).collect(),
        after: changed.then(|| {
            sheet.result.gears.iter().map(|gear| gear.total_ratio_after.unwrap_or(gear.total_ratio)).collect()
        }),
        rolling_circumference_m: sheet.result.rolling_circumference_m,
        engine_speed_most: asked.engine_speed_most,
        road_speed_most_kmh: (fastest * 1.05).ceil().min(1000.0),
    };
    speed_diagram(&diagram).map_err(CalculationFault::from)
}

/// Rolling circumference from a tyre or as given.
pub(crate) fn circumference(tyre: Option<&str>, given: Option<f64>) -> Result<f64, CalculationFault> {
    match (tyre, given) {
        (Some(_), Some(_)) => Err(CalculationFault::at(
            "/rolling_circumference_m",
            "contradiction",
            "tyre and rolling_circumference_m say the same thing twice; give one of them",
        )),
        (Some(tyre), None) => Ok(parse_tyre(tyre)?.rolling_circumference_mm / 1000.0),
        (None, Some(around)) => Ok(around),
        (None, None) => Err(CalculationFault::at(
            "/tyre",
            "contradiction",
            "give a tyre such as 265/70R16, or rolling_circumference_m",
        )),
    }
}

fn totals(asked: &RoadSpeedAsked) -> Result<Vec<(f64, Option<f64>)>, CalculationFault> {
    if asked.gears.is_empty() || asked.gears.len() > GEARS_MOST {
        let detail = format!("{} gears are named; name from 1 to {GEARS_MOST}", asked.gears.len());
        return Err(CalculationFault::at("/gears", "out_of_range", detail));
    }
    let final_after = asked.final_drive_ratio_after;
    asked
        .gears
        .iter()
        .enumerate()
        .map(|(at, gear)| {
            let total = |ratio: f64, name: &str, last: f64, last_name: &str| {
                overall_ratio(ratio, asked.transfer_ratio, last).map_err(|error| match error.field() {
                    "gear_ratio" => field(&format!("/gears/{at}/{name}"))(error),
                    "final_drive_ratio" => field(&format!("/{last_name}"))(error),
                    _ => within("")(error),
                })
            };
            let before = total(gear.ratio, "ratio", asked.final_drive_ratio, "final_drive_ratio")?;
            let after = match (gear.ratio_after, final_after) {
                (None, None) => None,
                (ratio, last) => Some(total(
                    ratio.unwrap_or(gear.ratio),
                    "ratio_after",
                    last.unwrap_or(asked.final_drive_ratio),
                    "final_drive_ratio_after",
                )?),
            };
            Ok((before, after))
        })
        .collect()
}
