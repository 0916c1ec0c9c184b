//! Both driven axles of a vehicle must turn alike: a changed ratio of one requires the other's to match.

use catalogue::{FeatureKind, UnitKey, UnitKind};
use mechanics::gear_train::axles_match;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::context::Context;
use crate::gearing::train::Standing;
use crate::gearing::{fitted, inside};
use crate::graph::{Graph, PartIx};
use crate::requirement::Solved;

/// By how many per cent axles may differ where the vehicle names nothing (common practice, no source).
const TOLERANCE_PERCENT: f64 = 1.0;

/// The ratio of an axle before and after.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct AxleChange {
    /// Ratio before.
    pub ratio_before: f64,
    /// Ratio after.
    pub ratio_after: f64,
    /// The other driven axles of the vehicles that carry this one.
    pub others: Vec<OtherAxle>,
    /// What measures road speed and must be looked at; empty where the ratio stays.
    pub to_check: Vec<String>,
    /// What endangers the driveline: another driven axle that does not match, or is not in the request.
    pub danger: Option<String>,
}

/// Another driven axle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct OtherAxle {
    /// The unit.
    pub unit: UnitKey,
    /// By how many per cent the two may differ.
    pub tolerance_percent: f64,
    /// Its ratio after the rebuild; null where it is not in the request.
    pub ratio_after: Option<f64>,
    /// By how many per cent the changed axle differs from it.
    pub difference_percent: Option<f64>,
    /// Whether they match; null where it is not in the request.
    pub matches: Option<bool>,
}

/// The ratio of a crown wheel and pinion: a part with two gears and no more is such a pair.
pub(crate) fn axle_ratio(graph: &Graph<'_>, part: PartIx) -> Option<f64> {
    let gears: Vec<i64> = graph
        .features(part)
        .iter()
        .filter(|feature| feature.kind == FeatureKind::Gear)
        .map(|feature| feature.tooth_count)
        .collect::<Option<_>>()?;
    match gears.as_slice() {
        // Tooth counts are far below what a float holds exactly.
        [a, b] if a.min(b) > &0 => Some(*a.max(b) as f64 / *a.min(b) as f64),
        _ => None,
    }
}

/// The ratio of the pair that stands in an axle.
pub(super) fn axle_ratio_at(
    context: &Context<'_>,
    solved: &Solved<'_>,
    unit: usize,
    standing: &Standing,
) -> Option<f64> {
    let places = solved.fit.places.iter().enumerate().filter(|(_, place)| place.unit == unit);
    places.filter_map(|(at, _)| axle_ratio(context.graph, standing(solved, at)?)).next()
}

/// The other driven axles that some vehicle carries beside a unit, each with the narrowest tolerance.
pub(crate) fn other_axles(graph: &Graph<'_>, unit: &UnitKey) -> Vec<(UnitKey, f64)> {
    let snapshot = graph.snapshot;
    let mut found: Vec<(UnitKey, f64)> = Vec::new();
    for own in snapshot.vehicle_units.iter().filter(|row| row.driven && row.unit == *unit) {
        let vehicle = snapshot.vehicles.iter().find(|vehicle| vehicle.vehicle == own.vehicle);
        let tolerance =
            vehicle.and_then(|vehicle| vehicle.axle_ratio_tolerance_percent).unwrap_or(TOLERANCE_PERCENT);
        for other in snapshot
            .vehicle_units
            .iter()
            .filter(|row| row.driven && row.vehicle == own.vehicle && row.unit != *unit)
        {
            match found.iter_mut().find(|(key, _)| *key == other.unit) {
                Some((_, known)) => *known = known.min(tolerance),
                None => found.push((other.unit.clone(), tolerance)),
            }
        }
    }
    found
}

/// Whether two axle ratios may run together.
pub(crate) fn may_run_together(a: f64, b: f64, tolerance_percent: f64) -> bool {
    axles_match(a, b, tolerance_percent).is_ok_and(|found| found.matches)
}

/// What a rebuild does to the ratio of an axle; none where the pair inside stays.
pub(super) fn axle_change(context: &Context<'_>, solved: &Solved<'_>, unit: usize) -> Option<AxleChange> {
    let before = axle_ratio_at(context, solved, unit, &inside)?;
    let after = axle_ratio_at(context, solved, unit, &fitted)?;
    let pair_stays =
        solved.fit.places.iter().enumerate().filter(|(_, place)| place.unit == unit).all(|(at, _)| {
            let (old, new) = (inside(solved, at), fitted(solved, at));
            old == new || new.is_none_or(|part| axle_ratio(context.graph, part).is_none())
        });
    if pair_stays {
        return None;
    }
    let changed = (before - after).abs() > 1e-9;
    let others: Vec<OtherAxle> = other_axles(context.graph, &context.units[unit].unit.unit)
        .into_iter()
        .map(|(key, tolerance_percent)| {
            let index = context.units.iter().find(|known| known.unit.unit == key).map(|known| known.index);
            let ratio_after = index.and_then(|index| axle_ratio_at(context, solved, index, &fitted));
            let found = ratio_after.and_then(|other| axles_match(after, other, tolerance_percent).ok());
            OtherAxle {
                unit: key,
                tolerance_percent,
                ratio_after,
                difference_percent: found.map(|found| found.difference_percent),
                matches: found.map(|found| found.matches),
            }
        })
        .collect();
    let wrong: Vec<&OtherAxle> = if changed {
        others.iter().filter(|other| other.matches != Some(true)).collect()
    } else {
        Vec::new()
    };
    let danger = wrong.first().map(|other| {
        let where_it_stands = match other.matches {
            Some(_) => "does not match",
            None => "is not in this request",
        };
        format!(
            "The ratio of this axle changes from {before:.3} to {after:.3}. The other driven axle, {}, {where_it_stands}: it must \
             have the same ratio within {} %, or the drive winds up and breaks. Change both axles or none.",
            other.unit, other.tolerance_percent
        )
    });
    let to_check = if changed {
        vec![
            "the speedometer and its drive".to_owned(),
            "a tachograph, speed limiter or any other device that measures road speed at the driveline"
                .to_owned(),
        ]
    } else {
        Vec::new()
    };
    Some(AxleChange { ratio_before: before, ratio_after: after, others, to_check, danger })
}

/// Whether a unit of the request is an axle.
pub(crate) fn is_axle(context: &Context<'_>, unit: usize) -> bool {
    context.units[unit].unit.kind == UnitKind::Axle
}
