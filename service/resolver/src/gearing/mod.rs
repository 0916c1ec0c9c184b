//! What a rebuild does to the gearing: the ratio of every speed, the steps, the engine speed and the pull, before and after.
//!
//! Before is what is inside, after is what the plan fits. How the power flows follows from the joints: the first position of a
//! mesh drives the second, a spline or an interference fit makes two positions one body, and dogs on the input shaft are the
//! direct speed. Where that leads to no single input, nothing is said.

pub(crate) mod axles;
mod pull;
mod road;
mod train;

use catalogue::{Code, JointKind, UnitKey, UnitKind};
use mechanics::gear_train::steps;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::context::Context;
use crate::gearing::axles::axle_change;
use crate::gearing::pull::top_gear_pull;
use crate::gearing::road::road_basis;
use crate::gearing::train::{Speed, speeds};
use crate::graph::PartIx;
use crate::requirement::Solved;

pub use axles::{AxleChange, OtherAxle};
pub use pull::{GRADE_SETTING, TopGearPull};
pub use road::{RoadBasis, RoadGap, RoadGapKind};

/// Engine speed before that the speeds are compared at, where the vehicle's engine is not known, in 1/min.
const REFERENCE_PER_MIN: f64 = 1000.0;

/// The gearing of a unit before and after.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct UnitGearing {
    /// Every speed, from the lowest; reverse last. Empty for an axle.
    pub speeds: Vec<SpeedChange>,
    /// Engine speed before, in 1/min, that the speeds are compared at: the highest of the vehicle's engine curve where the
    /// vehicle is known.
    pub compared_at_per_min: f64,
    /// What the road speeds were calculated with; null where vehicle, tyre, drop box or axle are not known.
    pub road: Option<RoadBasis>,
    /// What lacks for road speeds; left out where nothing does.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub road_lacks: Vec<RoadGap>,
    /// The steepest grade that the laden vehicle holds in the top gear; null where its figures are not known.
    pub top_gear: Option<TopGearPull>,
    /// The ratio of an axle; null for other units.
    pub axle: Option<AxleChange>,
}

/// One speed before and after.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SpeedChange {
    /// What it is called: the gear at the end of the power's way, or `direct`.
    pub name: String,
    /// The positions that the power goes through.
    pub over: Vec<Code>,
    /// Whether it turns the output the other way than most speeds do.
    pub reverse: bool,
    /// Ratio before, n_in/n_out.
    pub ratio_before: f64,
    /// Ratio after.
    pub ratio_after: f64,
    /// Step from the speed before it, before the change.
    pub step_before: Option<f64>,
    /// The same after the change.
    pub step_after: Option<f64>,
    /// (1 − after/before)·100: how much slower the engine turns at the same road speed.
    pub slower_percent: f64,
    /// Engine speed after, in 1/min, at the road speed at which it was `compared_at_per_min` before.
    pub engine_speed_after_per_min: f64,
    /// That road speed.
    pub road_speed_kmh: Option<f64>,
}

/// The gearing in outcomes of what is not known, where it is not the same in all.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct OutcomeGearing {
    /// The outcomes, each by the variants that hold in it.
    pub outcomes: Vec<Vec<Code>>,
    /// The gearing in them; null where no gear changes.
    pub gearing: Option<UnitGearing>,
}

/// The gearing of a unit of the request, where the plan changes a gear in it: of the first outcome that does, and of each
/// outcome where they are not alike.
pub(crate) fn unit_gearing(
    context: &Context<'_>,
    solved: &[Solved<'_>],
    unit: usize,
) -> (Option<UnitGearing>, Vec<OutcomeGearing>) {
    let mut different: Vec<OutcomeGearing> = Vec::new();
    for outcome in solved {
        let gearing = gearing_in(context, outcome, unit);
        let variants = outcome.branch.open.clone();
        match different.iter_mut().find(|known| known.gearing == gearing) {
            Some(known) => known.outcomes.push(variants),
            None => different.push(OutcomeGearing { outcomes: vec![variants], gearing }),
        }
    }
    let first = different.iter().find_map(|outcome| outcome.gearing.clone());
    let apart = if different.len() > 1 { different } else { Vec::new() };
    (first, apart)
}

fn gearing_in(context: &Context<'_>, solved: &Solved<'_>, unit: usize) -> Option<UnitGearing> {
    if context.units[unit].unit.kind == UnitKind::Axle {
        let axle = axle_change(context, solved, unit)?;
        let compared_at_per_min = highest_engine_speed(context);
        return Some(UnitGearing {
            speeds: Vec::new(),
            compared_at_per_min,
            road: None,
            road_lacks: Vec::new(),
            top_gear: None,
            axle: Some(axle),
        });
    }
    if !changes_a_gear(solved, unit) {
        return None;
    }
    let before = speeds(context, solved, unit, &inside)?;
    let after = speeds(context, solved, unit, &fitted)?;
    let (road, road_lacks) = match road_basis(context, solved) {
        Ok(road) => (Some(road), Vec::new()),
        Err(lacks) => (None, lacks),
    };
    let compared_at_per_min = highest_engine_speed(context);
    let changes = speed_changes(&before, &after, compared_at_per_min, road.as_ref())?;
    let top_gear = road.as_ref().and_then(|road| top_gear_pull(context, road, &changes));
    Some(UnitGearing { speeds: changes, compared_at_per_min, road, road_lacks, top_gear, axle: None })
}

/// What is inside at a place before the rebuild.
pub(crate) fn inside(solved: &Solved<'_>, at: usize) -> Option<PartIx> {
    solved.fit.places[at].inside
}

/// What stands at a place after it.
pub(crate) fn fitted(solved: &Solved<'_>, at: usize) -> Option<PartIx> {
    solved.fit.values[at][*solved.allocation.chosen.get(at)?].main()
}

fn changes_a_gear(solved: &Solved<'_>, unit: usize) -> bool {
    let in_unit = |at: usize| solved.fit.places[at].unit == unit;
    let meshes = solved.fit.joints.iter().filter(|placed| placed.joint.kind == JointKind::Mesh);
    meshes
        .flat_map(|placed| [placed.a, placed.b])
        .any(|at| in_unit(at) && inside(solved, at) != fitted(solved, at))
}

fn highest_engine_speed(context: &Context<'_>) -> f64 {
    let of_vehicle = road::vehicle(context).and_then(|vehicle| {
        let points =
            context.graph.snapshot.engine_points.iter().filter(|point| point.vehicle == vehicle.vehicle);
        points.map(|point| point.speed_rpm).max()
    });
    // Engine speeds are far below what a float holds exactly.
    of_vehicle.map_or(REFERENCE_PER_MIN, |speed| speed as f64)
}

fn speed_changes(
    before: &[Speed],
    after: &[Speed],
    compared_at: f64,
    road: Option<&RoadBasis>,
) -> Option<Vec<SpeedChange>> {
    let same = |speed: &Speed| after.iter().find(|other| other.over == speed.over);
    let pairs: Vec<(&Speed, &Speed)> =
        before.iter().map(|speed| Some((speed, same(speed)?))).collect::<Option<_>>()?;
    let ratios = |of: fn(&(&Speed, &Speed)) -> f64| steps(&pairs.iter().map(of).collect::<Vec<f64>>()).ok();
    let (steps_before, steps_after) = (ratios(|pair| pair.0.ratio)?, ratios(|pair| pair.1.ratio)?);
    let step = |steps: &[f64], at: usize| {
        let earlier = at.checked_sub(1)?;
        (pairs[earlier].0.reverse == pairs[at].0.reverse).then(|| steps[earlier])
    };
    let change = |(at, (old, new)): (usize, &(&Speed, &Speed))| SpeedChange {
        name: old.name.clone(),
        over: old.over.clone(),
        reverse: old.reverse,
        ratio_before: old.ratio,
        ratio_after: new.ratio,
        step_before: step(&steps_before, at),
        step_after: step(&steps_after, at),
        slower_percent: (1.0 - new.ratio / old.ratio) * 100.0,
        engine_speed_after_per_min: compared_at * new.ratio / old.ratio,
        road_speed_kmh: road.and_then(|road| road.speed_kmh(compared_at, old.ratio)),
    };
    Some(pairs.iter().enumerate().map(change).collect())
}

/// What the gearing of an answer makes dangerous, in words, with the unit it speaks of.
pub(crate) fn dangers(unit: &UnitKey, gearing: &UnitGearing) -> Vec<(UnitKey, String)> {
    let pull = gearing.top_gear.as_ref().and_then(|top| top.danger.clone());
    let axle = gearing.axle.as_ref().and_then(|axle| axle.danger.clone());
    pull.into_iter().chain(axle).map(|words| (unit.clone(), words)).collect()
}
