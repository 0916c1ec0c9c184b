//! The whole way from a request to its answer.

use std::collections::BTreeMap;

use catalogue::Code;
use solver::cover::{self, solve};
use tracing::{Span, field, info_span};

use crate::allocation::{Allocation, allocate};
use crate::alternatives::{Alternatives, AlternativesRequest, alternatives_until};
use crate::answer::{Answer, Outcome, WorkOrder};
use crate::branch::{Branch, branches, check_outcomes, open_facts};
use crate::cautions::{DEFERRAL, cautions};
use crate::context::Context;
use crate::cover_problem::{CoverProblem, cover_problem};
use crate::fit::{Fit, solve_fit};
use crate::graph::Graph;
use crate::identify::identify;
use crate::input::Input;
use crate::need::{BranchNeeds, branch_needs};
use crate::outside_work::outside_work;
use crate::pricing::customer_price;
use crate::request::Unknowns;
use crate::request_check::{check_findings, check_inside, check_suppliers};
use crate::request_fault::{RequestFault, RequestFaultKind};
use crate::requirement::{Solved, matters, requirement};
use crate::sourcing::{Planned, Proven, days_of, outcome, sourcing};

/// Answers a request from its frozen input.
pub fn resolve(input: &Input) -> Result<Answer, RequestFault> {
    resolve_until(input, &|| false)
}

/// Answers a request from its frozen input as far as it comes until `stop`, which is asked now and then, says so: a plan
/// that is not proven by then says so with its bound. Without any plan by then it is a fault.
pub fn resolve_until(input: &Input, stop: &dyn Fn() -> bool) -> Result<Answer, RequestFault> {
    let graph = Graph::new(&input.snapshot);
    let (mut context, branches) = identified(input, &graph)?;
    context.budget.stop = Some(stop);
    check_findings(&context, &branches)?;
    let (fits, needs) = fitted(&context, &branches)?;
    let work = outside_work(&context)?;
    let plan = planned(&context, branches, fits, &needs)?;
    let matters = matters(&context, &plan.solved);
    let ByOutcome { outcomes, told_for, plan } = by_outcome(&context, plan, &needs, &matters, &work)?;
    let alternatives =
        input.request.alternatives.as_ref().map(|asked| other_answers(input, asked, stop)).transpose()?;
    let _price = info_span!("price").entered();
    let (units, coverage, missing) = requirement(&context, &plan.solved, &matters);
    let mut sourcing = sourcing(&context, &plan, (coverage, missing), work);
    sourcing.outcomes = outcomes;
    let price = customer_price(&context, &sourcing)?;
    let cautions = cautions(&context, &units);
    Ok(Answer {
        as_of: input.request.as_of,
        engine: crate::ENGINE.to_owned(),
        units,
        told_for,
        sourcing,
        price,
        alternatives,
        cautions,
        deferral: DEFERRAL.to_owned(),
    })
}

/// The other answers that a request asks for; a fault of theirs points at them.
fn other_answers(
    input: &Input,
    asked: &AlternativesRequest,
    stop: &dyn Fn() -> bool,
) -> Result<Box<Alternatives>, RequestFault> {
    alternatives_until(input, asked, stop).map(Box::new).map_err(|mut fault| {
        if ["/next", "/conditions"].iter().any(|field| fault.pointer.starts_with(field)) {
            fault.pointer.insert_str(0, "/alternatives");
        }
        fault
    })
}

type Found<'a> = (Context<'a>, Vec<Branch>);

/// The units with what is not known of them, and the outcomes of that.
pub(crate) fn identified<'a>(input: &'a Input, graph: &'a Graph<'a>) -> Result<Found<'a>, RequestFault> {
    let span = info_span!("identify", units = field::Empty, branches = field::Empty).entered();
    let units = identify(graph, &input.request)?;
    let facts = open_facts(graph, &units);
    let branches = branches(graph, &units, &facts)?;
    span.record("units", units.len());
    span.record("branches", branches.len());
    let context = Context::new(input, graph, units, facts)?;
    check_inside(&context)?;
    check_suppliers(&context)?;
    Ok((context, branches))
}

/// Which parts go together in each branch, and what is to be had for them.
pub(crate) fn fitted<'a>(
    context: &Context<'a>,
    branches: &[Branch],
) -> Result<(Vec<Fit<'a>>, Vec<BranchNeeds>), RequestFault> {
    let span =
        info_span!("fit", positions = field::Empty, joints = field::Empty, open = field::Empty).entered();
    let mut fits = Vec::new();
    let mut needs = Vec::new();
    for branch in branches {
        let fit = solve_fit(context, branch)?;
        needs.push(branch_needs(context, branch, &fit)?);
        fits.push(fit);
    }
    record(&span, &fits);
    Ok((fits, needs))
}

fn record(span: &Span, fits: &[Fit<'_>]) {
    span.record("positions", fits.iter().map(|fit| fit.places.len()).sum::<usize>());
    span.record("joints", fits.iter().map(|fit| fit.joints.len()).sum::<usize>());
    span.record(
        "open",
        fits.iter().map(|fit| fit.open.iter().filter(|o| o.len() > 1).count()).sum::<usize>(),
    );
}

/// The best plan that serves some branches, and what each of them does with it.
pub(crate) fn planned<'a>(
    context: &Context<'a>,
    branches: Vec<Branch>,
    fits: Vec<Fit<'a>>,
    needs: &[BranchNeeds],
) -> Result<Planned<'a>, RequestFault> {
    let pairs: Vec<(&Fit<'_>, &BranchNeeds)> = fits.iter().zip(needs).collect();
    let cover = cover_of(context, &branches, &pairs)?;
    let mut proven = prove(context, &cover.problem)?;
    if fits.iter().any(|fit| !fit.exact) {
        // One of the best fits was taken, money aside: another might be cheaper.
        proven = Proven { optimal: false, bound: None, ..proven };
    }
    let allocations: Vec<Allocation> =
        pairs.iter().enumerate().map(|(at, pair)| allocate(&cover, &proven.plan, *pair, at)).collect();
    let solved = branches.into_iter().zip(fits).zip(allocations);
    let solved = solved.map(|((branch, fit), allocation)| Solved { branch, fit, allocation }).collect();
    Ok(Planned { cover, proven, solved })
}

/// The cover problem of some branches, if no more of them are told apart by it than can be answered at once.
pub(crate) fn cover_of(
    context: &Context<'_>,
    branches: &[Branch],
    pairs: &[(&Fit<'_>, &BranchNeeds)],
) -> Result<CoverProblem, RequestFault> {
    let cover = cover_problem(context, pairs)?;
    let classes: Vec<usize> = cover.lines.iter().map(|lines| lines.branch).collect();
    check_outcomes(branches, &classes, &context.facts)?;
    Ok(cover)
}

/// The cover problem of one branch with its best plan.
pub(crate) fn sourced(
    context: &Context<'_>,
    pairs: &[(&Fit<'_>, &BranchNeeds)],
) -> Result<(CoverProblem, Proven), RequestFault> {
    let cover = cover_problem(context, pairs)?;
    let proven = prove(context, &cover.problem)?;
    Ok((cover, proven))
}

/// The best plan of a cover problem, as far as it can be proven.
pub(crate) fn prove(context: &Context<'_>, problem: &cover::Problem) -> Result<Proven, RequestFault> {
    let _source = info_span!("source", parts = problem.parts.len(), offers = problem.offers.len()).entered();
    let fault = |detail: String| Err(RequestFault::new(RequestFaultKind::CatalogueFault, "", detail));
    let outcome = match solve(problem, &context.budget) {
        Ok(outcome) => outcome,
        Err(invalid) => return fault(format!("the need cannot be sourced: {invalid}")),
    };
    match outcome {
        cover::Outcome::Optimal(plan) => Ok(Proven { plan, optimal: true, ties: true, bound: None }),
        cover::Outcome::Bounded { plan, bounds } => {
            let bound = bounds.first().copied().flatten();
            let reached = problem.aims.first().map(|aim| plan.value(*aim));
            let optimal = bound.is_some() && bound == reached;
            Ok(Proven { plan, optimal, ties: false, bound: bound.filter(|_| !optimal) })
        }
        cover::Outcome::Impossible(_) | cover::Outcome::NoOther => {
            fault("the need cannot be met from what is offered, in any combination".to_owned())
        }
        cover::Outcome::Unsettled { .. } => Err(RequestFault::new(
            RequestFaultKind::TooManyUnknowns,
            "/units",
            "no plan was found within the search's limit; ask for fewer units at once, or allow more search_steps",
        )),
    }
}

/// What is told of outcomes, and the plan that lines and purchases are told of.
struct ByOutcome<'a> {
    outcomes: Vec<Outcome>,
    /// The variants of the outcome that the plan is for, where it is not for all.
    told_for: Vec<Code>,
    plan: Planned<'a>,
}

/// Each outcome of what matters answered apart; and the plan for all, or for the dearest outcome where the rest is to be
/// measured first.
fn by_outcome<'a>(
    context: &Context<'a>,
    mut plan: Planned<'a>,
    needs: &[BranchNeeds],
    matters: &[bool],
    work: &[WorkOrder],
) -> Result<ByOutcome<'a>, RequestFault> {
    if !matters.contains(&true) {
        return Ok(ByOutcome { outcomes: Vec::new(), told_for: Vec::new(), plan });
    }
    // Branches whose need is the same have the same answer.
    let mut known: BTreeMap<usize, Outcome> = BTreeMap::new();
    let mut apart: Vec<Outcome> = Vec::new();
    for (at, solved) in plan.solved.iter().enumerate() {
        let class = plan.cover.lines[at].branch;
        let found = match known.get(&class) {
            Some(found) => found.clone(),
            None => {
                let pair = (&solved.fit, &needs[at]);
                let (cover, proven) = sourced(context, &[pair])?;
                let allocation = allocate(&cover, &proven.plan, pair, 0);
                let cost = work.iter().map(|order| order.cost).sum();
                let found = outcome(context, &cover, &proven.plan, &allocation, cost);
                Outcome { days: found.days.max(days_of(context, work)), ..found }
            }
        };
        known.entry(class).or_insert_with(|| found.clone());
        apart.push(found);
    }
    let dearest = (0..apart.len()).rev().max_by_key(|at| apart[*at].cash).unwrap_or(0);
    let mut outcomes: Vec<Outcome> = Vec::new();
    let mut told_for = Vec::new();
    for (at, (solved, found)) in plan.solved.iter().zip(apart).enumerate() {
        let told = solved.branch.open.iter().zip(matters).filter(|(_, matters)| **matters);
        let variants: Vec<Code> = told.map(|(code, _)| code.clone()).collect();
        if at == dearest && context.input.request.unknowns == Unknowns::MeasureFirst {
            told_for.clone_from(&variants);
        }
        if !outcomes.iter().any(|outcome| outcome.variants == variants) {
            outcomes.push(Outcome { variants, ..found });
        }
    }
    if context.input.request.unknowns == Unknowns::MeasureFirst {
        let Solved { branch, fit, .. } = plan.solved.swap_remove(dearest);
        plan = planned(context, vec![branch], vec![fit], std::slice::from_ref(&needs[dearest]))?;
    }
    Ok(ByOutcome { outcomes, told_for, plan })
}
