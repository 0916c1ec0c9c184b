//! Which parts go together: the positions of a branch as an exact fit problem, and its answer.
//!
//! Hard rules first; then the fewest further changes of hard parts, the fewest unverified joints, the fewest other
//! renewals that nothing asks for. Money is left to the sourcing, which gets every choice that is still open.

use solver::fit::{Budget, Problem, SupportsOutcome, supports};

use crate::asked::Wish;
use crate::branch::Branch;
use crate::context::Context;
use crate::fit_model::Model;
use crate::graph::PartIx;
use crate::joint_judge::JointJudge;
use crate::placed_joint::PlacedJoint;
use crate::request_fault::{RequestFault, RequestFaultKind};
use crate::scope::Place;
use crate::value::{Upgrades, Value};

/// The fit of one branch, solved.
#[derive(Debug)]
pub(crate) struct Fit<'a> {
    /// The places, unit by unit in order of assembly.
    pub(crate) places: Vec<Place<'a>>,
    /// The values of each place.
    pub(crate) values: Vec<Vec<Value>>,
    /// The values that are still open at each place, one where the fit decides; behind the places, the ways that are open
    /// to meet each wish that has several.
    pub(crate) open: Vec<Vec<usize>>,
    /// Which open values go together: scope of places (and wishes), allowed combinations of values.
    pub(crate) tables: Vec<(Vec<usize>, Vec<Vec<usize>>)>,
    /// The wishes.
    pub(crate) wishes: Vec<Wish>,
    /// Joints between places of the branch.
    pub(crate) joints: Vec<PlacedJoint<'a>>,
    /// Their verdicts.
    pub(crate) judge: JointJudge<'a>,
    /// For each place the places at which companions of what may be fitted there stand, with the companion.
    pub(crate) companions: Vec<Vec<(usize, PartIx)>>,
    /// Whether the open values and tables say all; if not, one of the best answers was taken, money aside.
    pub(crate) exact: bool,
}

/// Solves the fit of a branch. Upgrades that nobody asked for are let in only where nothing else makes the rest fit.
pub(crate) fn solve_fit<'a>(context: &Context<'a>, branch: &Branch) -> Result<Fit<'a>, RequestFault> {
    match attempt(context, branch, Upgrades::Asked)? {
        Ok(fit) => Ok(fit),
        Err(_) => attempt(context, branch, Upgrades::All)?,
    }
}

type Attempt<'a> = Result<Fit<'a>, RequestFault>;

fn attempt<'a>(
    context: &Context<'a>,
    branch: &Branch,
    upgrades: Upgrades,
) -> Result<Attempt<'a>, RequestFault> {
    let model = Model::new(context, branch, upgrades)?;
    let (problem, facts) = model.build(context).problem();
    let budget = Budget { stop: context.budget.stop, ..Budget::default() };
    let outcome = supports(&problem, &budget).map_err(|invalid| {
        RequestFault::new(
            RequestFaultKind::CatalogueFault,
            "",
            format!("the unit cannot be solved: {invalid}"),
        )
    })?;
    let found = match outcome {
        SupportsOutcome::Proven(found) => found,
        SupportsOutcome::Bounded { .. } => {
            return Err(too_open());
        }
        SupportsOutcome::Conflict(conflict) => {
            return Ok(Err(crate::conflict::explain(&model.build(context), &facts, &conflict)));
        }
    };
    Ok(Ok(model.with_supports(&problem, found)?))
}

/// The tables of the open choice in terms of the fit's own variables and values.
pub(crate) fn residual_tables(residual: &solver::fit::Residual) -> Vec<(Vec<usize>, Vec<Vec<usize>>)> {
    let tables = residual.problem.constraints.iter().map(|constraint| {
        let scope = constraint.scope.iter().map(|variable| residual.variables[*variable]).collect();
        let tuples = constraint.tuples.iter().map(|tuple| {
            let places = tuple.values.iter().zip(&constraint.scope);
            places.map(|(value, at)| residual.values[*at][*value as usize]).collect()
        });
        (scope, tuples.collect())
    });
    tables.collect()
}

/// One best value for each variable.
pub(crate) fn first_best(problem: &Problem) -> Result<Vec<Vec<usize>>, RequestFault> {
    match solver::fit::solve(problem, &Budget::default()) {
        Ok(solver::fit::Outcome::Optimal(best)) => {
            Ok(best.values.into_iter().map(|value| vec![value]).collect())
        }
        _ => Err(too_open()),
    }
}

pub(crate) fn too_open() -> RequestFault {
    RequestFault::new(
        RequestFaultKind::TooManyUnknowns,
        "/units",
        "too many parts are open at too many joints to prove an answer within the search's limit; say more of what is \
         inside, or allow more time",
    )
}
