//! The next best answers to a request, and what it would cost to have it another way: without a part, kit or supplier, with
//! one, only with original parts, without unverified joints.
//!
//! Answers are distinct where a part fitted or a kit bought differs, not by supplier or bin. The next best are those among
//! the answers of the fewest further changes and unverified joints; conditions may raise both, and say by how much. All of
//! them are plans that cover whatever is not known.

mod condition;
mod difference;
mod plan;

use catalogue::{Code, Currency, Money, PartKey, Quantity};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use solver::cover::{Outcome, Signature, solve_next};
use utoipa::ToSchema;

pub use condition::{Condition, ConditionAnswer, Impossible};
pub use difference::PlanDifference;

use crate::answer::CautionNote;
use crate::cautions::{DEFERRAL, cautions_of_work};
use crate::graph::Graph;
use crate::input::Input;
use crate::request_fault::{RequestFault, RequestFaultKind};
use crate::resolve::identified;
use plan::{Worked, work_out};

/// Most of the next best answers.
const NEXT_MAX: usize = 10;
/// Most conditions of one request.
const CONDITIONS_MAX: usize = 32;
/// Most plans that are looked at for each answer that is told: plans may differ in a supplier only.
const TRIES: usize = 16;

/// How many of the next best answers are wanted, and which conditions are to be priced.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AlternativesRequest {
    /// How many answers after the best, at most 10.
    #[serde(default = "three")]
    pub next: usize,
    /// The conditions, each answered for itself.
    #[serde(default)]
    pub conditions: Vec<Condition>,
}

fn three() -> usize {
    3
}

/// The best answer with the next ones and the answers under conditions.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Alternatives {
    /// The day they are for.
    pub as_of: NaiveDate,
    /// The engine that made them.
    pub engine: String,
    /// The base currency, of all amounts.
    pub currency: Currency,
    /// The best answer.
    pub best: PlanSummary,
    /// The next best, in order.
    pub next: Vec<NextPlan>,
    /// Whether there are no more answers of as few further changes and unverified joints.
    pub all_told: bool,
    /// The conditions, in the order asked.
    pub conditions: Vec<ConditionAnswer>,
    /// What can hurt someone.
    pub cautions: Vec<CautionNote>,
    /// Sentence that always goes with an answer for bench or road.
    pub deferral: String,
}

/// An answer in short.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PlanSummary {
    /// Cash out.
    #[schema(value_type = String)]
    pub cash: Money,
    /// Cash and the carrying value of stock used.
    #[schema(value_type = String)]
    pub job_cost: Money,
    /// Days until everything is here.
    pub days: i64,
    /// Suppliers ordered from.
    pub suppliers: Vec<Code>,
    /// Pieces left over at most.
    #[schema(value_type = String)]
    pub surplus: Quantity,
    /// Hard parts renewed that could be kept, in the outcome with the most of them.
    pub further_changes: usize,
    /// Joints without a verdict, over all outcomes.
    pub unverified_joints: usize,
    /// Kits to buy.
    pub kits: Vec<KitCount>,
    /// Parts that cannot be had.
    pub not_to_be_had: Vec<PartKey>,
    /// Whether nothing better is possible.
    pub proven: bool,
}

/// Boxes of a kit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KitCount {
    /// The kit.
    pub kit: PartKey,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
}

/// An answer held against the best.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct NextPlan {
    /// The answer.
    #[serde(flatten)]
    pub plan: PlanSummary,
    /// Cash over the best; negative: less.
    #[schema(value_type = String)]
    pub cash_more: Money,
    /// Job cost over the best.
    #[schema(value_type = String)]
    pub job_cost_more: Money,
    /// Days over the best.
    pub days_more: i64,
    /// What it changes.
    pub differs: Vec<PlanDifference>,
}

/// The best answer to a request, the next best, and what conditions would cost.
///
/// # Errors
///
/// As for [`crate::resolve()`]; or more is asked for than is answered at once. A condition that cannot be met is no error.
pub fn alternatives(input: &Input, asked: &AlternativesRequest) -> Result<Alternatives, RequestFault> {
    alternatives_until(input, asked, &|| false)
}

/// As [`alternatives`], as far as they come until `stop`, which is asked now and then, says so.
pub fn alternatives_until(
    input: &Input,
    asked: &AlternativesRequest,
    stop: &dyn Fn() -> bool,
) -> Result<Alternatives, RequestFault> {
    limits(asked)?;
    let graph = Graph::new(&input.snapshot);
    let (mut context, branches) = identified(input, &graph)?;
    context.budget.stop = Some(stop);
    let mut worked = work_out(&context, branches, &[])?;
    let best = worked.summary(&context);
    let base = worked.canonical(&context);
    let currency = context.rates.base.clone();
    let mut conditions = Vec::new();
    for (at, condition) in asked.conditions.iter().enumerate() {
        conditions.push(condition::answer(input, at, condition, (&best, &base), stop)?);
    }
    let (next, all_told) = next_best(&context, &mut worked, asked.next, (&best, &base));
    let positions = base.positions();
    Ok(Alternatives {
        as_of: input.request.as_of,
        engine: crate::ENGINE.to_owned(),
        currency,
        best,
        next,
        all_told,
        conditions,
        cautions: cautions_of_work(
            &input.snapshot,
            &input.request.units,
            &positions,
            worked.upgrades(&context),
        ),
        deferral: DEFERRAL.to_owned(),
    })
}

fn limits(asked: &AlternativesRequest) -> Result<(), RequestFault> {
    let fault =
        |pointer: &str, detail: String| Err(RequestFault::new(RequestFaultKind::BadValue, pointer, detail));
    if asked.next > NEXT_MAX {
        return fault("/next", format!("at most {NEXT_MAX} next best answers are told, not {}", asked.next));
    }
    if asked.conditions.len() > CONDITIONS_MAX {
        let count = asked.conditions.len();
        return fault(
            "/conditions",
            format!("at most {CONDITIONS_MAX} conditions are answered, not {count}"),
        );
    }
    Ok(())
}

/// The next best plans, and whether there are no more.
fn next_best<'a>(
    context: &crate::context::Context<'a>,
    worked: &mut Worked<'a>,
    wanted: usize,
    (best, base): (&PlanSummary, &difference::Canonical),
) -> (Vec<NextPlan>, bool) {
    let mut previous = vec![Signature::of(&worked.planned.cover.problem, &worked.planned.proven.plan)];
    let mut seen = vec![base.clone()];
    let mut next = Vec::new();
    for _ in 0..wanted * TRIES {
        if next.len() == wanted {
            return (next, false);
        }
        let problem = &worked.planned.cover.problem;
        let (plan, optimal) = match solve_next(problem, &previous, &context.budget) {
            Ok(Outcome::Optimal(plan)) => (plan, true),
            Ok(Outcome::Bounded { plan, .. }) => (plan, false),
            Ok(Outcome::NoOther | Outcome::Impossible(_)) => return (next, true),
            Ok(Outcome::Unsettled { .. }) | Err(_) => return (next, false),
        };
        previous.push(Signature::of(&worked.planned.cover.problem, &plan));
        worked.take(plan, optimal);
        let canonical = worked.canonical(context);
        if seen.contains(&canonical) {
            continue;
        }
        let plan = worked.summary(context);
        next.push(held_against(plan, &canonical, (best, base)));
        seen.push(canonical);
    }
    (next, false)
}

/// A plan held against the best.
fn held_against(
    plan: PlanSummary,
    canonical: &difference::Canonical,
    (best, base): (&PlanSummary, &difference::Canonical),
) -> NextPlan {
    NextPlan {
        cash_more: plan.cash - best.cash,
        job_cost_more: plan.job_cost - best.job_cost,
        days_more: plan.days - best.days,
        differs: difference::differences(base, canonical),
        plan,
    }
}
