//! What a set of changes costs: the same sourcing as a rebuild's, for what was wanted, what changes and what comes along.

use std::collections::BTreeSet;

use catalogue::{Code, Money, PartKey, Quantity, UnitKey};
use solver::cover::Aim;
use solver::fit::{Budget, Restriction, SupportsOutcome, supports};

use super::larger_operation::{LargerOperation, larger_operations};
use super::ways::{ChangeSet, hard_places, is_change};
use crate::allocation::{Allocation, allocate};
use crate::answer::Outcome;
use crate::branch::Branch;
use crate::context::Context;
use crate::cover_problem::MONEY_SCALE;
use crate::fit::{Fit, too_open};
use crate::fit_model::Model;
use crate::need::{BranchNeeds, For, Need, branch_needs};
use crate::reason::Reason;
use crate::request_fault::{RequestFault, RequestFaultKind};
use crate::requirement::Solved;
use crate::resolve::sourced;
use crate::sourcing::outcome;
use crate::value::{State, Upgrades};

/// A way with its price.
pub(super) struct Priced<'a> {
    /// The branch, with what is chosen in it.
    pub(super) solved: Solved<'a>,
    /// What all of it costs.
    pub(super) all: Bill,
    /// What was wanted costs, bought alone.
    pub(super) wanted: Bill,
    /// What it calls for beyond the planned operation.
    pub(super) larger: Vec<LargerOperation>,
}

/// What some needs cost.
pub(super) struct Bill {
    /// The amounts and purchases.
    pub(super) outcome: Outcome,
    /// What cannot be had.
    pub(super) missing: Vec<PartKey>,
    /// Whether nothing cheaper is possible.
    pub(super) proven: bool,
    /// What nothing is cheaper than, where that is not proven.
    pub(super) bound: Option<Money>,
}

/// Prices a set of changes.
pub(super) fn price<'a>(
    context: &Context<'a>,
    branch: &Branch,
    upgrades: Upgrades,
    set: &ChangeSet,
) -> Result<Priced<'a>, RequestFault> {
    let model = Model::new(context, branch, upgrades)?;
    let (mut problem, _) = model.build(context).problem();
    let hard = hard_places(context, &model);
    for at in (0..hard.len()).filter(|at| hard[*at]) {
        let allowed = match set.iter().find(|(place, _)| *place == at) {
            Some((_, value)) => vec![*value],
            None => (0..model.values[at].len()).filter(|value| !is_change(&model, at, *value)).collect(),
        };
        problem.restrictions.push(Restriction { variable: at, allowed });
    }
    let asked: Vec<bool> = model.asked.iter().map(|asked| !asked.listed.is_empty()).collect();
    let budget = Budget { stop: context.budget.stop, ..Budget::default() };
    let found = match supports(&problem, &budget) {
        Ok(SupportsOutcome::Proven(found)) => found,
        Ok(SupportsOutcome::Bounded { .. } | SupportsOutcome::Conflict(_)) => return Err(too_open()),
        Err(invalid) => {
            return Err(RequestFault::new(
                RequestFaultKind::CatalogueFault,
                "",
                format!("the unit cannot be solved: {invalid}"),
            ));
        }
    };
    let fit = model.with_supports(&problem, found)?;
    // What takes no part's place comes along with what was wanted.
    let with_companions =
        |at: usize| asked[at] || (fit.places[at].inside.is_none() && fit.places[at].must.is_empty());
    let wanted_needs = || Ok(only(branch_needs(context, branch, &fit)?, &fit, &with_companions));
    let (_, wanted, _) = billed(context, branch, &fit, &wanted_needs, &|at| asked[at])?;
    let counted = |at: usize| asked[at] || fit.places[at].must.is_empty();
    let needs = || Ok(only(branch_needs(context, branch, &fit)?, &fit, &counted));
    let (allocation, all, larger) = billed(context, branch, &fit, &needs, &counted)?;
    Ok(Priced { solved: Solved { branch: branch.clone(), fit, allocation }, all, wanted, larger })
}

/// The needs of some places and of the companions that they bring.
fn only(needs: BranchNeeds, fit: &Fit<'_>, counts: &dyn Fn(usize) -> bool) -> BranchNeeds {
    let named = |position: &catalogue::Code| {
        (0..fit.places.len()).any(|at| counts(at) && fit.places[at].position.position == *position)
    };
    let stays = |need: &Need| match &need.line {
        For::Place(at) => counts(*at),
        For::Unit(_, reasons) => reasons.iter().any(|reason| match reason {
            Reason::Companion { because: Some(place), .. } => named(&place.position),
            _ => false,
        }),
    };
    let keep = |list: Vec<Need>| -> Vec<Need> { list.into_iter().filter(|need| stays(need)).collect() };
    BranchNeeds {
        fixed: keep(needs.fixed),
        choices: needs
            .choices
            .into_iter()
            .map(|(variable, values)| (variable, values.into_iter().map(keep).collect()))
            .collect(),
    }
}

/// The bill of some needs, with the fluids and outside work of a larger operation where the planned one does not reach all
/// that is newly fitted at the places that count.
fn billed(
    context: &Context<'_>,
    branch: &Branch,
    fit: &Fit<'_>,
    needs: &dyn Fn() -> Result<BranchNeeds, RequestFault>,
    counts: &dyn Fn(usize) -> bool,
) -> Result<(Allocation, Bill, Vec<LargerOperation>), RequestFault> {
    let (allocation, first) = bill(context, fit, &needs()?, Money::ZERO)?;
    // What comes along with a part, or exists only with it, is put in where that part is.
    let is_new = |at: usize| {
        let value = &fit.values[at][allocation.chosen[at]];
        let place = &fit.places[at];
        value.state == State::New
            && value.companion_of.is_none()
            && place.inside.is_some()
            && place.position.only_with.is_none()
    };
    let worked_on: BTreeSet<(UnitKey, Code)> = (0..fit.places.len())
        .filter(|at| counts(*at) && is_new(*at))
        .map(|at| (fit.places[at].position.unit.clone(), fit.places[at].position.position.clone()))
        .collect();
    let more = larger_operations(context, branch, &worked_on)?;
    if more.operations.is_empty() {
        return Ok((allocation, first, Vec::new()));
    }
    let work = more.outside_work();
    let mut needs = needs()?;
    needs.fixed.extend(more.needs);
    let (allocation, bill) = bill(context, fit, &needs, work)?;
    Ok((allocation, bill, more.operations))
}

fn bill(
    context: &Context<'_>,
    fit: &Fit<'_>,
    needs: &BranchNeeds,
    work: Money,
) -> Result<(Allocation, Bill), RequestFault> {
    let (cover, proven) = sourced(context, &[(fit, needs)])?;
    let allocation = allocate(&cover, &proven.plan, (fit, needs), 0);
    let missing = allocation.pieces.iter().filter(|piece| piece.missing > Quantity::ZERO);
    let missing = missing.map(|piece| context.graph.part(piece.part).part.clone()).collect();
    let outcome = outcome(context, &cover, &proven.plan, &allocation, work);
    let bound = proven.bound.map(|bound| match cover.problem.aims.first() {
        Some(Aim::JobCost) => outcome.job_cost - in_money(proven.plan.job_cost - bound),
        _ => outcome.cash - in_money(proven.plan.cash - bound),
    });
    let proven = proven.optimal && fit.exact;
    Ok((allocation, Bill { outcome, missing, proven, bound }))
}

fn in_money(amount: i64) -> Money {
    Money::from_raw(amount / MONEY_SCALE)
}
