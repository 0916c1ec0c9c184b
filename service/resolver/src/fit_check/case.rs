//! One alternative in one outcome of what is not known.

use catalogue::{Code, PartKey};

use super::answer::{AlongLine, FitCase, FitVerdict, FitWay, FurtherChange, WayCost};
use super::conflict_facts::group;
use super::joint_figures::{JointFigures, joint_figures};
use super::priced::{Bill, Priced, price};
use super::ways::{ChangeSet, Found, ways};
use crate::branch::Branch;
use crate::causes::Causes;
use crate::context::Context;
use crate::fit_model::Model;
use crate::need::For;
use crate::request_fault::RequestFault;
use crate::requirement::{because, joint_notes, part_name};
use crate::value::{State, Upgrades};

/// Checks the context's request in a branch. Upgrades that nobody asked for are let in only where nothing else helps.
pub(super) fn case<'a>(
    context: &Context<'a>,
    branch: &Branch,
    wanted: usize,
) -> Result<FitCase, RequestFault> {
    for upgrades in [Upgrades::Asked, Upgrades::All] {
        let model = Model::new(context, branch, upgrades)?;
        match ways(context, &model, wanted)? {
            Found::Ways(sets, more_ways) => return told(context, branch, upgrades, &sets, more_ways),
            Found::None(conflict, facts) if upgrades == Upgrades::All => {
                let conflict_is_smallest = conflict.minimal;
                let conflict = group(context, &model, &facts, &conflict);
                let said: Vec<&str> = conflict.iter().map(|fact| fact.sentence.as_str()).collect();
                let sentence = format!("it cannot be fitted: {}", said.join("; "));
                return Ok(FitCase {
                    variants: Vec::new(),
                    verdict: FitVerdict::CannotFit,
                    ways: Vec::new(),
                    more_ways: false,
                    conflict,
                    conflict_is_smallest,
                    sentence,
                });
            }
            Found::None(..) => {}
        }
    }
    Err(crate::fit::too_open())
}

fn told(
    context: &Context<'_>,
    branch: &Branch,
    upgrades: Upgrades,
    sets: &[ChangeSet],
    more_ways: bool,
) -> Result<FitCase, RequestFault> {
    let mut ways: Vec<FitWay> = Vec::new();
    for set in sets {
        let priced = price(context, branch, upgrades, set)?;
        ways.push(way(context, &priced));
    }
    let rank = |way: &FitWay| {
        let parts: Vec<PartKey> =
            way.changes.iter().flat_map(|change| &change.to).map(|part| part.part.clone()).collect();
        (way.further_changes, way.unverified_joints.len(), way.cost.cash, way.cost.job_cost, parts)
    };
    ways.sort_by_cached_key(rank);
    let as_it_is = ways.first().is_some_and(|way| way.changes.is_empty());
    let verdict = if as_it_is { FitVerdict::FitsAsItIs } else { FitVerdict::FitsWithChanges };
    let sentence = ways.first().map(|way| way.sentence.clone()).unwrap_or_default();
    Ok(FitCase {
        variants: Vec::new(),
        verdict,
        ways,
        more_ways,
        conflict: Vec::new(),
        conflict_is_smallest: false,
        sentence,
    })
}

/// Cases that are alike are one, which names the variants it holds in unless it holds in all.
pub(super) fn merged(found: Vec<(Vec<Code>, FitCase)>) -> Vec<FitCase> {
    let all: Vec<Vec<Code>> = found.iter().map(|(open, _)| open.clone()).collect();
    let mut cases: Vec<(FitCase, Vec<Vec<Code>>)> = Vec::new();
    for (open, case) in found {
        match cases.iter_mut().find(|(other, _)| *other == case) {
            Some((_, holds)) => holds.push(open),
            None => cases.push((case, vec![open])),
        }
    }
    let mut told = Vec::new();
    for (case, holds) in cases {
        if holds.len() == all.len() {
            told.push(case);
            continue;
        }
        let shared: Vec<Code> = holds.first().cloned().unwrap_or_default();
        let shared: Vec<Code> =
            shared.into_iter().filter(|code| holds.iter().all(|open| open.contains(code))).collect();
        let exact = all.iter().filter(|open| shared.iter().all(|code| open.contains(code))).count();
        if exact == holds.len() {
            let variants: Vec<Code> =
                shared.into_iter().filter(|code| !all.iter().all(|open| open.contains(code))).collect();
            told.push(FitCase { variants, ..case });
        } else {
            // No few variants tell these outcomes from the rest: each stands for itself.
            told.extend(holds.into_iter().map(|variants| FitCase { variants, ..case.clone() }));
        }
    }
    told
}

fn way<'a>(context: &Context<'a>, priced: &Priced<'a>) -> FitWay {
    let causes = Causes { context, fit: &priced.solved.fit, allocation: &priced.solved.allocation };
    let mut changes = Vec::new();
    let mut along = along_without_place(context, priced);
    for (at, place) in priced.solved.fit.places.iter().enumerate() {
        let value = causes.value(at);
        if value.state != State::New || !place.must.is_empty() || causes.asked(at).is_some() {
            continue;
        }
        let reasons = because(&causes.reasons(at, value.main()));
        let takes_a_place = place.inside.is_some() && value.companion_of.is_none();
        if !takes_a_place {
            let line = |(part, quantity): &(usize, catalogue::Quantity)| AlongLine {
                unit: place.position.unit.clone(),
                position: Some(place.position.position.clone()),
                part: part_name(context, *part),
                quantity: *quantity,
                reasons: reasons.clone(),
            };
            along.extend(value.fitted.iter().map(line));
            continue;
        }
        changes.push(FurtherChange {
            unit: place.position.unit.clone(),
            position: place.position.position.clone(),
            name: place.position.name.clone(),
            from: place.inside.map(|part| part_name(context, part)),
            to: value.fitted.iter().map(|(part, _)| part_name(context, *part)).collect(),
            quantity: value.fitted.first().map(|(_, quantity)| *quantity).unwrap_or_default(),
            further_change: causes.is_further_change(at),
            reasons,
            forced_by: forced_by(context, &causes, at),
        });
    }
    let solved = std::slice::from_ref(&priced.solved);
    let notes: Vec<_> = context.units.iter().map(|unit| joint_notes(context, solved, unit.index)).collect();
    let (unverified, contradictions): (Vec<_>, Vec<_>) = notes.into_iter().unzip();
    let unverified_joints: Vec<_> = unverified.into_iter().flatten().collect();
    let further_changes = changes.iter().filter(|change| change.further_change).count();
    let mut cost = cost(context, &priced.all, &priced.wanted);
    cost.labour_more = priced.larger.iter().map(|larger| larger.labour_more).sum();
    let sentence = sentence(&changes, unverified_joints.len(), &cost);
    FitWay {
        further_changes,
        changes,
        along,
        larger_operations: priced.larger.clone(),
        unverified_joints,
        contradictions: contradictions.into_iter().flatten().collect(),
        cost,
        sentence,
    }
}

/// Companions without a place in the unit.
fn along_without_place(context: &Context<'_>, priced: &Priced<'_>) -> Vec<AlongLine> {
    let mut lines = Vec::new();
    for piece in &priced.solved.allocation.pieces {
        if let For::Unit(unit, reasons) = &piece.line {
            lines.push(AlongLine {
                unit: context.units[*unit].unit.unit.clone(),
                position: None,
                part: part_name(context, piece.part),
                quantity: piece.quantity,
                reasons: because(reasons),
            });
        }
    }
    lines
}

/// The joints at which what is inside at a place does not go with what is fitted around it; where all of them fit, those
/// that are not verified.
fn forced_by<'a>(context: &Context<'a>, causes: &Causes<'_, 'a>, at: usize) -> Vec<JointFigures> {
    use mechanics::Verdict;
    let fit = causes.fit;
    let Some(kept) = fit.values[at].iter().find(|value| value.state == State::Kept) else {
        return Vec::new();
    };
    let mut refused = Vec::new();
    let mut unverified = Vec::new();
    for placed in fit.joints.iter().filter(|placed| (placed.a == at) != (placed.b == at)) {
        let value = |place: usize| if place == at { kept } else { causes.value(place) };
        let (a, b) = (value(placed.a), value(placed.b));
        let ends = ((&fit.places[placed.a], a), (&fit.places[placed.b], b));
        let Some(verdict) = fit.judge.verdict(context, placed, ends.0, ends.1) else { continue };
        let Some(parts) = super::conflict_facts::ends(context, fit, placed, a, b) else { continue };
        let figures = || joint_figures(context, placed, parts, &verdict);
        match verdict.verdict {
            Verdict::DoesNotFit => refused.push(figures()),
            Verdict::Unverified => unverified.push(figures()),
            Verdict::Fits => {}
        }
    }
    if refused.is_empty() { unverified } else { refused }
}

fn cost(context: &Context<'_>, all: &Bill, wanted: &Bill) -> WayCost {
    WayCost {
        currency: context.rates.base.clone(),
        wanted_cash: wanted.outcome.cash,
        further_cash: all.outcome.cash - wanted.outcome.cash,
        further_job_cost: all.outcome.job_cost - wanted.outcome.job_cost,
        cash: all.outcome.cash,
        job_cost: all.outcome.job_cost,
        labour_more: catalogue::Money::ZERO,
        days: all.outcome.days,
        kits: all.outcome.kits.clone(),
        loose: all.outcome.loose.clone(),
        not_to_be_had: all.missing.clone(),
        proven: all.proven && wanted.proven,
        bound: all.bound,
    }
}

fn sentence(changes: &[FurtherChange], unverified: usize, cost: &WayCost) -> String {
    let joints = match unverified {
        0 => String::new(),
        1 => ", one joint is not verified".to_owned(),
        many => format!(", {many} joints are not verified"),
    };
    let price = format!("cash {} {}", cost.cash, cost.currency);
    if changes.is_empty() {
        return format!("it fits as it is{joints}; {price}");
    }
    let names: Vec<String> = changes
        .iter()
        .map(|change| {
            let to: Vec<&str> = change.to.iter().map(|part| part.part.as_str()).collect();
            format!("{} changes to {}", change.position, to.join(" with "))
        })
        .collect();
    let why: Vec<&str> = changes
        .iter()
        .filter_map(|change| {
            let joint = change.forced_by.first().map(|joint| joint.sentence.as_str());
            joint.or_else(|| change.reasons.first().map(|reason| reason.sentence.as_str()))
        })
        .collect();
    format!("it fits if {} ({}){joints}; {price}", names.join(" and "), why.join("; "))
}
