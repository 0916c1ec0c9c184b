//! The smallest sets of changes that make a model fit, one after the other.
//!
//! A set is the hard parts that are renewed though they could be kept, each with what is fitted. The best answer is
//! found, its set and all that hold it are forbidden, and the next best is asked for, until there is none.

use solver::fit::{Budget, Conflict, Constraint, Outcome, Problem, Tuples, Value as Priced, solve};

use crate::context::Context;
use crate::fit::too_open;
use crate::fit_model::Model;
use crate::fit_problem::{Fact, SOFT_SCALE};
use crate::request_fault::{RequestFault, RequestFaultKind};
use crate::value::{State, is_hard};

/// Most sets of fewest changes that are looked for.
const SETS_MAX: usize = 32;
/// What a further change weighs against the money field, where unverified joints go before changes.
const CHANGE_WEIGHT: i64 = 1_000_000;

/// Places, and the value each takes.
pub(super) type ChangeSet = Vec<(usize, usize)>;

/// What is found of a model.
pub(super) enum Found {
    /// Sets of changes, best first, and whether there are more.
    Ways(Vec<ChangeSet>, bool),
    /// Why there are none.
    None(Conflict, Vec<Fact>),
}

/// Looks for the sets of changes of a model: all of the smallest size up to a limit and at least `wanted`; then those that
/// leave the fewest joints unverified.
pub(super) fn ways<'a>(
    context: &Context<'a>,
    model: &Model<'a>,
    wanted: usize,
) -> Result<Found, RequestFault> {
    let (problem, facts) = model.build(context).problem();
    let hard = hard_places(context, model);
    let mut sets: Vec<ChangeSet> = Vec::new();
    let mut fewest_unverified = u32::MAX;
    let mut forbidden = problem.clone();
    let mut more = false;
    loop {
        let best = match answer(context, &forbidden)? {
            Ok(best) => best,
            Err(conflict) if sets.is_empty() => return Ok(Found::None(conflict, facts)),
            Err(_) => break,
        };
        let set = change_set(model, &hard, &best.values);
        let beyond_the_smallest = sets.first().is_some_and(|first| set.len() > first.len());
        if (beyond_the_smallest && sets.len() >= wanted) || sets.len() >= SETS_MAX {
            more = true;
            break;
        }
        fewest_unverified = fewest_unverified.min(best.cost.unverified / SOFT_SCALE);
        let whole = set.is_empty();
        forbid(&mut forbidden, &set);
        sets.push(set);
        if whole {
            break;
        }
    }
    if fewest_unverified > 0 {
        add_better_verified(context, &problem, model, &hard, (wanted, fewest_unverified), &mut sets)?;
    }
    Ok(Found::Ways(sets, more))
}

/// Adds the sets that leave fewer joints unverified than any found so far, however many changes that takes.
fn add_better_verified(
    context: &Context<'_>,
    problem: &Problem,
    model: &Model<'_>,
    hard: &[bool],
    (wanted, most): (usize, u32),
    sets: &mut Vec<ChangeSet>,
) -> Result<(), RequestFault> {
    let mut problem = problem.clone();
    for value in problem.variables.iter_mut().flatten() {
        value.cost.money = i64::from(value.cost.changes) * CHANGE_WEIGHT;
        value.cost.changes = 0;
    }
    let mut least = None;
    for _ in 0..wanted {
        let Ok(best) = answer(context, &problem)? else { break };
        let unverified = best.cost.unverified / SOFT_SCALE;
        if unverified >= most || least.is_some_and(|least| unverified > least) {
            break;
        }
        least = Some(unverified);
        let set = change_set(model, hard, &best.values);
        forbid(&mut problem, &set);
        if set.is_empty() || sets.contains(&set) {
            continue;
        }
        sets.push(set);
    }
    Ok(())
}

/// The best assignment, or why there is none.
fn answer(
    context: &Context<'_>,
    problem: &Problem,
) -> Result<Result<solver::fit::Assignment, Conflict>, RequestFault> {
    match solve(problem, &Budget { stop: context.budget.stop, ..Budget::default() }) {
        Ok(Outcome::Optimal(best)) => Ok(Ok(best)),
        Ok(Outcome::Conflict(conflict)) => Ok(Err(conflict)),
        Ok(Outcome::Bounded { .. }) => Err(too_open()),
        Err(invalid) => Err(RequestFault::new(
            RequestFaultKind::CatalogueFault,
            "",
            format!("the unit cannot be solved: {invalid}"),
        )),
    }
}

/// Whether each place holds a hard part that may be kept.
pub(super) fn hard_places(context: &Context<'_>, model: &Model<'_>) -> Vec<bool> {
    let kept = |at: usize| model.values[at].iter().any(|value| value.state == State::Kept);
    let hard = |at: usize| model.places[at].inside.is_some_and(|p| is_hard(context.graph.part(p).kind));
    (0..model.places.len()).map(|at| kept(at) && hard(at)).collect()
}

/// Whether a value at a place is a change that nothing asks for.
pub(super) fn is_change(model: &Model<'_>, at: usize, value: usize) -> bool {
    let value = &model.values[at][value];
    let asked = value.listed.is_some_and(|listed| model.asked[at].listed.contains(&listed));
    value.state == State::New && value.companion_of.is_none() && !asked && model.places[at].must.is_empty()
}

fn change_set(model: &Model<'_>, hard: &[bool], values: &[usize]) -> ChangeSet {
    (0..hard.len())
        .filter(|at| hard[*at] && is_change(model, *at, values[*at]))
        .map(|at| (at, values[at]))
        .collect()
}

/// Forbids all answers that hold a set: a chain of switches, one for each of its places, tells whether all up to there
/// match.
fn forbid(problem: &mut Problem, set: &ChangeSet) {
    let Some(((last, last_value), first)) = set.split_last() else {
        problem.constraints.push(Constraint::default());
        return;
    };
    let mut switch: Option<usize> = None;
    for (place, matching) in first {
        let next = problem.variables.len();
        problem.variables.push(vec![Priced::default(); 2]);
        let mut tuples = Tuples::new();
        for value in 0..problem.variables[*place].len() {
            match switch {
                None => tuples.push(&[value, usize::from(value != *matching)], 0),
                Some(_) => {
                    for before in 0..2 {
                        let after = usize::from(before == 1 || value != *matching);
                        tuples.push(&[value, before, after], 0);
                    }
                }
            }
        }
        let scope = [Some(*place), switch, Some(next)].into_iter().flatten().collect();
        problem.constraints.push(Constraint { scope, tuples });
        switch = Some(next);
    }
    let mut tuples = Tuples::new();
    for value in 0..problem.variables[*last].len() {
        match switch {
            None if value != *last_value => tuples.push(&[value], 0),
            None => {}
            Some(_) => {
                let befores = (0..2).filter(|before| *before == 1 || value != *last_value);
                befores.for_each(|before| tuples.push(&[value, before], 0));
            }
        }
    }
    let scope = [Some(*last), switch].into_iter().flatten().collect();
    problem.constraints.push(Constraint { scope, tuples });
}
