//! Ratio of every speed of a box from its tooth counts, and the steps between them.

use catalogue::Hazard;
use mechanics::BadInput;
use mechanics::gear_train::{Chain, Speed, TrainRatio, layshaft_ratios, steps};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, entry};
use crate::calculations::sheet::figure;

/// Most speeds of a box.
pub const SPEEDS_MOST: usize = 24;

/// A layshaft box by its tooth counts, perhaps with other speeds after a change.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GearRatiosAsked {
    /// Constant-mesh input pair: teeth from the driving gear to the driven one, idlers between. Empty: the speeds' own
    /// chains are the whole train, as in a drop box.
    #[serde(default)]
    pub input: Vec<u32>,
    /// The speeds, in the order of the gears.
    pub speeds: Vec<SpeedAsked>,
    /// The input pair after a change; left out: as before.
    pub input_after: Option<Vec<u32>>,
    /// Speeds after a change, by name; those not named stay.
    #[serde(default)]
    pub speeds_after: Vec<SpeedAsked>,
}

/// One speed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SpeedAsked {
    /// Its name, such as `fifth`.
    pub name: String,
    /// Teeth from the driving gear over any idlers to the driven gear; empty: input locked to output.
    #[serde(default)]
    pub tooth_counts: Vec<u32>,
}

/// The ratios.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct GearRatiosResult {
    /// The speeds in the order given.
    pub speeds: Vec<SpeedRatio>,
}

/// Ratio of one speed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SpeedRatio {
    /// Its name.
    pub name: String,
    /// Ratio i = n_in/n_out.
    pub ratio: f64,
    /// Whether the output turns against the input.
    pub reversed: bool,
    /// Step from the speed before it, i_before/i; null at the first and where either turns the other way.
    pub step: Option<f64>,
    /// Ratio after the change; null without a change.
    pub ratio_after: Option<f64>,
    /// Step after the change.
    pub step_after: Option<f64>,
    /// (1 − i_after/i)·100: how much slower the input turns at the same output speed.
    pub slower_percent: Option<f64>,
}

/// Answer to [`GearRatiosAsked`].
pub type GearRatiosSheet = CalculationSheet<GearRatiosAsked, GearRatiosResult>;

/// Calculates the ratios.
pub fn calculate_gear_ratios(asked: &GearRatiosAsked) -> Result<GearRatiosSheet, CalculationFault> {
    check_counts(asked)?;
    let before = ratios(&asked.input, &asked.speeds, "/input", "/speeds")?;
    let changed = asked.input_after.is_some() || !asked.speeds_after.is_empty();
    let after = if changed { Some(ratios_after(asked)?) } else { None };
    let (steps_before, steps_after) = (steps_of(&before)?, after.as_deref().map(steps_of).transpose()?);
    let mut figures = Vec::new();
    let mut speeds = Vec::new();
    for (at, (speed, ratio)) in asked.speeds.iter().zip(&before).enumerate() {
        let after = after.as_ref().and_then(|after| after.get(at)).map(|found| found.ratio);
        let rule = ("Π z_driven/Π z_driving", "own calculation");
        figures.push(figure((&format!("ratio of {}", speed.name), "i", "1"), ratio.ratio, rule));
        if let Some(after) = after.filter(|after| *after != ratio.ratio) {
            figures.push(figure((&format!("ratio of {} after", speed.name), "i'", "1"), after, rule));
        }
        speeds.push(SpeedRatio {
            name: speed.name.clone(),
            ratio: ratio.ratio,
            reversed: ratio.reversed,
            step: steps_before[at],
            ratio_after: after,
            step_after: steps_after.as_ref().and_then(|steps| steps[at]),
            slower_percent: after.map(|after| (1.0 - after / ratio.ratio) * 100.0),
        });
    }
    let hazards: &[Hazard] =
        if changed { &[Hazard::ChangedGearing, Hazard::Press] } else { &[Hazard::ChangedGearing] };
    Ok(CalculationSheet::new("gear-ratios", asked.clone(), GearRatiosResult { speeds }, figures, hazards))
}

fn check_counts(asked: &GearRatiosAsked) -> Result<(), CalculationFault> {
    let lists = [("/speeds", asked.speeds.len(), 1), ("/speeds_after", asked.speeds_after.len(), 0)];
    for (pointer, count, least) in lists {
        if count < least || count > SPEEDS_MOST {
            let detail = format!("{} speeds are named; name from {least} to {SPEEDS_MOST}", count);
            return Err(CalculationFault::at(pointer, "out_of_range", detail));
        }
    }
    for (at, speed) in asked.speeds_after.iter().enumerate() {
        if !asked.speeds.iter().any(|known| known.name == speed.name) {
            let known: Vec<&str> = asked.speeds.iter().map(|speed| speed.name.as_str()).collect();
            let detail = format!("`{}` is none of the speeds: {}", speed.name, known.join(", "));
            return Err(CalculationFault::at(format!("/speeds_after/{at}/name"), "contradiction", detail));
        }
    }
    Ok(())
}

fn ratios_after(asked: &GearRatiosAsked) -> Result<Vec<TrainRatio>, CalculationFault> {
    // First the changed speeds alone, so that a fault is told where it stands.
    let input = asked.input_after.as_ref().unwrap_or(&asked.input);
    ratios(input, &asked.speeds_after, "/input_after", "/speeds_after")?;
    let named = |speed: &SpeedAsked| asked.speeds_after.iter().find(|after| after.name == speed.name);
    let speeds: Vec<SpeedAsked> =
        asked.speeds.iter().map(|speed| named(speed).unwrap_or(speed).clone()).collect();
    ratios(input, &speeds, "/input_after", "/speeds")
}

fn ratios(
    input: &[u32],
    speeds: &[SpeedAsked],
    input_pointer: &str,
    pointer: &str,
) -> Result<Vec<TrainRatio>, CalculationFault> {
    let wrong = |pointer: &str, counts: &[u32], error: BadInput| {
        entry(pointer, counts.iter().map(|teeth| f64::from(*teeth)))(error)
    };
    // Without an input pair the speeds' chains are the whole train: a pair of equal gears in front changes nothing but the
    // sense, which is turned back below.
    let own = Chain { tooth_counts: input.to_vec() };
    let whole_train = input.is_empty();
    let front = if whole_train { Chain::pair(10, 10) } else { own };
    layshaft_ratios(&front, &[Speed::OverLayshaft(Chain::pair(10, 10))])
        .map_err(|error| wrong(input_pointer, input, error))?;
    let mut found = Vec::new();
    for (at, speed) in speeds.iter().enumerate() {
        let counts = &speed.tooth_counts;
        let kind = if counts.is_empty() {
            Speed::Direct
        } else {
            Speed::OverLayshaft(Chain { tooth_counts: counts.clone() })
        };
        let one = layshaft_ratios(&front, std::slice::from_ref(&kind))
            .map_err(|error| wrong(&format!("{pointer}/{at}/tooth_counts"), counts, error))?;
        let turned = whole_train && !counts.is_empty();
        found.extend(one.into_iter().map(|ratio| TrainRatio { reversed: ratio.reversed ^ turned, ..ratio }));
    }
    Ok(found)
}

fn steps_of(ratios: &[TrainRatio]) -> Result<Vec<Option<f64>>, CalculationFault> {
    let all: Vec<f64> = ratios.iter().map(|ratio| ratio.ratio).collect();
    let between = steps(&all)?;
    let step = |at: usize| {
        let before = at.checked_sub(1)?;
        (ratios[before].reversed == ratios[at].reversed).then(|| between[before])
    };
    Ok((0..ratios.len()).map(step).collect())
}
