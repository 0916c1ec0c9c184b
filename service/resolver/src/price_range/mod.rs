//! What a job may cost, before the unit is taken apart: certain, expected, and the 50th and 90th percentile.
//!
//! Every way in which the weak points may turn out is answered as a rebuild of its own; ways that ask for the same work are
//! one. Amounts are exact, likelihoods are floating point numbers summed in a fixed order. Up to [`OUTCOMES_MAX`] different
//! outcomes all are answered; beyond, the likeliest are, the rest lie between bounds that hold for each of them, and the
//! answer says so.

mod bounds;
mod outcomes;
mod spread;

use catalogue::{Code, Currency, Grade, Money, UnitKey};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::answer::CautionNote;
use crate::cautions::{DEFERRAL, cautions_of_vehicle_checks, cautions_of_work};
use crate::graph::Graph;
use crate::input::Input;
use crate::outside_work::outside_work;
use crate::pricing::customer_price;
use crate::request::Finding;
use crate::request_fault::{RequestFault, RequestFaultKind};
use crate::resolve::{fitted, identified, planned};
use crate::sourcing::sourcing;

pub use bounds::Bounds;

/// Most different outcomes that are all answered.
pub const OUTCOMES_MAX: usize = 256;

/// What a job may cost.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PriceRange {
    /// The day it is for.
    pub as_of: NaiveDate,
    /// The engine that made it.
    pub engine: String,
    /// The base currency, of all amounts.
    pub currency: Currency,
    /// Whether all outcomes were answered, so that lower and upper bounds are equal.
    pub exact: bool,
    /// How it was found, in words.
    pub note: String,
    /// Different outcomes that were answered.
    pub outcomes: usize,
    /// How likely one of them is.
    pub covered: f64,
    /// The shop's cash.
    pub cash: RangeFigures,
    /// What the customer pays before tax.
    pub net: RangeFigures,
    /// The weak points, the one that moves what the customer pays most first.
    pub findings: Vec<FindingEffect>,
    /// What can hurt someone.
    pub cautions: Vec<CautionNote>,
    /// Sentence that always goes with an answer for bench or road.
    pub deferral: String,
}

/// Figures of one amount.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RangeFigures {
    /// What is paid even if nothing is found that is not certain.
    #[schema(value_type = String)]
    pub certain: Money,
    /// The mean over all outcomes.
    pub expected: Bounds,
    /// Half of such units come to this or less.
    pub median: Bounds,
    /// Nine of ten come to this or less.
    pub ninetieth: Bounds,
    /// The dearest outcome that can be.
    pub worst: Bounds,
}

/// What a weak point does to the price.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FindingEffect {
    /// The unit, by its place in the request.
    pub unit_index: usize,
    /// The unit.
    pub unit: UnitKey,
    /// The weak point.
    pub weak_point: Code,
    /// The position.
    pub position: Code,
    /// What is found there.
    pub finding: Grade,
    /// How likely, with all that is known.
    pub likelihood: f64,
    /// Expected cash if it is found; empty: it cannot be.
    pub cash_with: Option<Bounds>,
    /// Expected cash if it is not found; empty: it always is.
    pub cash_without: Option<Bounds>,
    /// The difference of the two.
    pub cash_difference: Option<Bounds>,
    /// The difference of what the customer is expected to pay before tax.
    pub net_difference: Option<Bounds>,
}

/// The price range of a request, over the weak points of its units. Findings that the request holds already settle the weak
/// points of their positions.
///
/// # Errors
///
/// As for [`crate::resolve()`]; or too many weak points hang together.
pub fn price_range(input: &Input) -> Result<PriceRange, RequestFault> {
    price_range_until(input, &|| false)
}

/// As [`price_range`], until `stop`, which is asked now and then, says so.
///
/// # Errors
///
/// As for [`price_range`]; or the price of an outcome was not proven by then: figures that rest on it would not be exact.
pub fn price_range_until(input: &Input, stop: &dyn Fn() -> bool) -> Result<PriceRange, RequestFault> {
    let graph = Graph::new(&input.snapshot);
    let (context, branches) = identified(input, &graph)?;
    let space = outcomes::space(&context, &branches)?;
    let likely = space.likeliest(OUTCOMES_MAX);
    let mut priced = Vec::new();
    for outcome in &likely {
        let findings = space.findings(outcome);
        let price = price(input, &graph, &findings, stop)?;
        priced.push(spread::PricedOutcome { likelihood: outcome.likelihood, price });
    }
    let exact = likely.len() == space.count();
    let covered: f64 = if exact { 1.0 } else { likely.iter().map(|outcome| outcome.likelihood).sum() };
    let rest = if exact { None } else { Some(bounds::of_any_outcome(input, &graph, &space, stop)?) };
    let certain = price(input, &graph, &space.certain_findings(), stop)?;
    let spread = spread::Spread { priced: &priced, covered, rest };
    let mut findings = spread.effects(&space, &likely);
    findings.sort_by(|a, b| {
        let size = |effect: &FindingEffect| effect.net_difference.as_ref().map_or(0, Bounds::size);
        size(b).cmp(&size(a)).then_with(|| (a.unit_index, &a.weak_point).cmp(&(b.unit_index, &b.weak_point)))
    });
    let units: Vec<UnitKey> = input.request.units.iter().map(|unit| unit.unit.clone()).collect();
    let worked_on = findings.iter().map(|effect| (effect.unit.clone(), effect.position.clone())).collect();
    let mut cautions = cautions_of_work(&input.snapshot, &input.request.units, &worked_on, false);
    for caution in cautions_of_vehicle_checks(&input.snapshot, &units) {
        if !cautions.contains(&caution) {
            cautions.push(caution);
        }
    }
    Ok(PriceRange {
        as_of: input.request.as_of,
        engine: crate::ENGINE.to_owned(),
        currency: context.rates.base.clone(),
        exact,
        note: note(exact, likely.len(), covered),
        outcomes: likely.len(),
        covered,
        cash: spread.figures(certain.cash, |price| price.cash, |rest| rest.cash.clone()),
        net: spread.figures(certain.net, |price| price.net, |rest| rest.net.clone()),
        findings,
        cautions,
        deferral: DEFERRAL.to_owned(),
    })
}

fn note(exact: bool, outcomes: usize, covered: f64) -> String {
    if exact {
        return format!("all {outcomes} different outcomes were answered; the figures are exact");
    }
    format!(
        "there are more than {OUTCOMES_MAX} different outcomes: the {outcomes} likeliest, {:.1} in a hundred units, were \
         answered, the rest lies between bounds, and so do the figures",
        100.0 * covered
    )
}

/// What one outcome comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct OutcomePrice {
    pub(crate) cash: Money,
    pub(crate) net: Money,
}

/// Answers the request with more findings; `findings` names the unit of each.
fn price(
    input: &Input,
    graph: &Graph<'_>,
    findings: &[(usize, Finding)],
    stop: &dyn Fn() -> bool,
) -> Result<OutcomePrice, RequestFault> {
    let with = with_findings(input, findings);
    let (mut context, branches) = identified(&with, graph)?;
    context.budget.stop = Some(stop);
    let (fits, needs) = fitted(&context, &branches)?;
    let work = outside_work(&context)?;
    let plan = planned(&context, branches, fits, &needs)?;
    if !plan.proven.optimal {
        return Err(RequestFault::new(
            RequestFaultKind::TooManyUnknowns,
            "/units",
            "the price of what may be found was not proven within the search's limit; ask for fewer units at once, or \
             allow more search_steps or time",
        ));
    }
    let sourcing = sourcing(&context, &plan, (Vec::new(), Vec::new()), work);
    let net = customer_price(&context, &sourcing)?.net;
    Ok(OutcomePrice { cash: sourcing.cash, net })
}

/// The input with more findings. The snapshot stays behind: whoever asks walks on the graph of the first one.
fn with_findings(input: &Input, findings: &[(usize, Finding)]) -> Input {
    let mut request = input.request.clone();
    for (unit, finding) in findings {
        if let Some(unit) = request.units.get_mut(*unit) {
            unit.findings.push(finding.clone());
        }
    }
    let (prices, stock) = (input.prices.clone(), input.stock.clone());
    Input { request, snapshot: catalogue::Snapshot::default(), prices, stock }
}
