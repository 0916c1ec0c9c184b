//! The whole way from a request to its answer.

use catalogue::Money;
use solver::cover::{self, Budget, solve};
use tracing::{Span, field, info_span};

use crate::allocation::{Allocation, allocate};
use crate::answer::Answer;
use crate::branch::{Branch, OpenFact, branches, open_facts};
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
use crate::request_fault::{RequestFault, RequestFaultKind};
use crate::requirement::{Solved, requirement};
use crate::sourcing::{Proven, outcome, sourcing};

/// Most nodes of the sourcing search; a plan that is not proven by then says so.
const NODES_MAX: u64 = 2_000_000;

/// Answers a request from its frozen input.
pub fn resolve(input: &Input) -> Result<Answer, RequestFault> {
    let graph = Graph::new(&input.snapshot);
    let (context, facts, branches) = identified(input, &graph)?;
    let (fits, needs) = fitted(&context, &branches)?;
    let (cover, proven) = sourced(&context, &fits, &needs)?;
    let work = outside_work(&context)?;
    let work_cost: Money = work.iter().map(|order| order.cost).sum();
    let mut outcomes = Vec::new();
    let mut kept = (cover, proven, branches, fits, needs);
    if kept.3.len() > 1 {
        let (found, dearest) = apart(&context, &kept, work_cost)?;
        outcomes = found;
        if input.request.unknowns == Unknowns::MeasureFirst {
            kept = only(&context, kept, dearest)?;
        }
    }
    let (cover, proven, branches, fits, needs) = kept;
    let _price = info_span!("price").entered();
    let allocations: Vec<Allocation> = fits
        .iter()
        .zip(&needs)
        .enumerate()
        .map(|(at, pair)| allocate(&cover, &proven.plan, pair, at))
        .collect();
    let solved: Vec<Solved<'_>> = branches
        .into_iter()
        .zip(fits)
        .zip(allocations)
        .map(|((branch, fit), allocation)| Solved { branch, fit, allocation })
        .collect();
    let (units, coverage, missing) = requirement(&context, &solved, &facts);
    let mut sourcing = sourcing(&context, &cover, &proven, &solved, (coverage, missing), work);
    sourcing.outcomes = outcomes;
    let price = customer_price(&context, &sourcing)?;
    let cautions = cautions(&context, &units);
    Ok(Answer {
        as_of: input.request.as_of,
        engine: crate::ENGINE.to_owned(),
        units,
        sourcing,
        price,
        cautions,
        deferral: DEFERRAL.to_owned(),
    })
}

type Found<'a> = (Context<'a>, Vec<OpenFact>, Vec<Branch>);

/// The units, what is not known of them, and the outcomes of that.
pub(crate) fn identified<'a>(input: &'a Input, graph: &'a Graph<'a>) -> Result<Found<'a>, RequestFault> {
    let span = info_span!("identify", units = field::Empty, branches = field::Empty).entered();
    let units = identify(graph, &input.request)?;
    let facts = open_facts(graph, &units);
    let branches = branches(&units, &facts)?;
    span.record("units", units.len());
    span.record("branches", branches.len());
    let context = Context::new(input, graph, units)?;
    check_inside(&context)?;
    Ok((context, facts, branches))
}

/// What is said to be inside must be a part that the catalogue ties to the unit.
fn check_inside(context: &Context<'_>) -> Result<(), RequestFault> {
    for unit in &context.units {
        let positions = context.graph.positions(&unit.unit.unit);
        for (at, inside) in unit.request.inside.iter().enumerate() {
            let pointer = |field: &str| format!("/units/{}/inside/{at}/{field}", unit.index);
            if !positions.iter().any(|position| position.position == inside.position) {
                let known = positions.iter().map(|position| &position.position);
                let what = format!("position of {}", unit.unit.code);
                return Err(RequestFault::unknown(
                    pointer("position"),
                    &what,
                    inside.position.as_str(),
                    known,
                ));
            }
            if context.graph.find(&inside.part).is_none() {
                return Err(RequestFault::new(
                    RequestFaultKind::UnknownReference,
                    pointer("part"),
                    format!("{} is no part that the catalogue ties to {}", inside.part, unit.unit.code),
                ));
            }
        }
    }
    Ok(())
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

/// The best plan that serves all branches.
fn sourced(
    context: &Context<'_>,
    fits: &[Fit<'_>],
    needs: &[BranchNeeds],
) -> Result<(CoverProblem, Proven), RequestFault> {
    let span = info_span!("source", parts = field::Empty, offers = field::Empty).entered();
    let pairs: Vec<(&Fit<'_>, &BranchNeeds)> = fits.iter().zip(needs).collect();
    let cover = cover_problem(context, &pairs)?;
    span.record("parts", cover.parts.len());
    span.record("offers", cover.offers.len());
    let budget = Budget { max_nodes: NODES_MAX, stop: None };
    let fault = |detail: String| Err(RequestFault::new(RequestFaultKind::CatalogueFault, "", detail));
    let outcome = match solve(&cover.problem, &budget) {
        Ok(outcome) => outcome,
        Err(invalid) => return fault(format!("the need cannot be sourced: {invalid}")),
    };
    match outcome {
        cover::Outcome::Optimal(plan) => Ok((cover, Proven { plan, optimal: true, bound: None })),
        cover::Outcome::Bounded { plan, bounds } => {
            Ok((cover, Proven { plan, optimal: false, bound: bounds.first().copied().flatten() }))
        }
        cover::Outcome::Impossible(_) | cover::Outcome::NoOther => {
            fault("the need cannot be met from what is offered, in any combination".to_owned())
        }
        cover::Outcome::Unsettled { .. } => Err(RequestFault::new(
            RequestFaultKind::TooManyUnknowns,
            "/units",
            "no plan was found within the search's limit; ask for fewer units at once",
        )),
    }
}

type Kept<'a> = (CoverProblem, Proven, Vec<Branch>, Vec<Fit<'a>>, Vec<BranchNeeds>);

/// Each branch answered apart, and the index of the dearest.
fn apart<'a>(
    context: &Context<'a>,
    (_, _, branches, fits, needs): &Kept<'a>,
    work: Money,
) -> Result<(Vec<crate::answer::Outcome>, usize), RequestFault> {
    let mut outcomes = Vec::new();
    for (at, branch) in branches.iter().enumerate() {
        let one = std::slice::from_ref(&needs[at]);
        let (cover, proven) = sourced(context, std::slice::from_ref(&fits[at]), one)?;
        let allocation = allocate(&cover, &proven.plan, (&fits[at], &needs[at]), 0);
        let fit = solve_fit(context, branch)?;
        let solved = Solved { branch: branch.clone(), fit, allocation };
        outcomes.push(outcome(context, &cover, &proven.plan, &solved, work));
    }
    let dearest = (0..outcomes.len()).rev().max_by_key(|at| outcomes[*at].cash).unwrap_or(0);
    Ok((outcomes, dearest))
}

/// One branch alone.
fn only<'a>(context: &Context<'a>, kept: Kept<'a>, at: usize) -> Result<Kept<'a>, RequestFault> {
    let (_, _, mut branches, mut fits, mut needs) = kept;
    let (branch, fit, need) = (branches.swap_remove(at), fits.swap_remove(at), needs.swap_remove(at));
    let (cover, proven) = sourced(context, std::slice::from_ref(&fit), std::slice::from_ref(&need))?;
    Ok((cover, proven, vec![branch], vec![fit], vec![need]))
}
