//! Bounds that every outcome keeps, for those that are too many to be answered one by one.

use catalogue::{Money, Percent, Quantity};
use serde::{Deserialize, Serialize};
use solver::cover;
use utoipa::ToSchema;

use super::outcomes::Space;
use super::with_findings;
use crate::branch::Branch;
use crate::context::Context;
use crate::cover_problem::{MONEY_SCALE, contents, cover_problem};
use crate::fit::Fit;
use crate::fit_model::Model;
use crate::graph::{Graph, PartIx};
use crate::input::Input;
use crate::need::{BranchNeeds, Need, branch_needs};
use crate::offers::{Offer, setting};
use crate::request::Aim;
use crate::request_fault::RequestFault;
use crate::resolve::identified;
use crate::value::Upgrades;

/// An amount that lies between two; they are equal where it is known exactly.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Bounds {
    /// It is not less than this.
    #[schema(value_type = String)]
    pub lower: Money,
    /// It is not more than this.
    #[schema(value_type = String)]
    pub upper: Money,
}

impl Bounds {
    /// How far from nought it is at least, in ten-thousandths.
    pub(super) fn size(&self) -> i64 {
        if self.lower > Money::ZERO {
            self.lower.raw()
        } else if self.upper < Money::ZERO {
            -self.upper.raw()
        } else {
            0
        }
    }
}

/// Bounds of every outcome.
pub(super) struct Rest {
    /// Of the cash.
    pub(super) cash: Bounds,
    /// Of what the customer pays before tax.
    pub(super) net: Bounds,
}

/// Bounds of all outcomes. Not less than what must be renewed whatever is found costs with every value free; not more than
/// the dearest value of each position costs when each need is bought by itself.
pub(super) fn of_any_outcome(
    input: &Input,
    graph: &Graph<'_>,
    space: &Space<'_>,
    stop: &dyn Fn() -> bool,
) -> Result<Rest, RequestFault> {
    let with_all = with_findings(input, &space.all_findings());
    let (least, _) = one_side(input, graph, false, stop)?;
    let (_, most) = one_side(&with_all, graph, true, stop)?;
    let with_none = one_side(input, graph, true, stop)?.1;
    let upper = most.cash.max(with_none.cash);
    let net = Bounds { lower: most.labour, upper: most.net.max(with_none.net) };
    Ok(Rest { cash: Bounds { lower: least, upper }, net })
}

struct Most {
    cash: Money,
    net: Money,
    labour: Money,
}

/// The lower bound of the cash, or the upper bounds, of a request whose fit is left open.
fn one_side(
    input: &Input,
    graph: &Graph<'_>,
    upper: bool,
    stop: &dyn Fn() -> bool,
) -> Result<(Money, Most), RequestFault> {
    let (mut context, branches) = identified(input, graph)?;
    context.budget.stop = Some(stop);
    let mut open: Vec<(Fit<'_>, BranchNeeds)> = Vec::new();
    for branch in &branches {
        open.push(everything_open(&context, branch)?);
    }
    let none = Most { cash: Money::ZERO, net: Money::ZERO, labour: Money::ZERO };
    if !upper {
        return Ok((least(&context, open)?, none));
    }
    Ok((Money::ZERO, most(&context, &open)?))
}

/// The fit of a branch with every value open and no table.
fn everything_open<'a>(
    context: &Context<'a>,
    branch: &Branch,
) -> Result<(Fit<'a>, BranchNeeds), RequestFault> {
    let model = Model::new(context, branch, Upgrades::All)?;
    let open = model.values.iter().map(|values| (0..values.len()).collect()).collect();
    let Model { places, values, wishes, joints, judge, companions, .. } = model;
    let fit =
        Fit { places, values, open, tables: Vec::new(), wishes, joints, judge, companions, exact: true };
    let needs = branch_needs(context, branch, &fit)?;
    Ok((fit, needs))
}

/// What the positions that must be renewed cost at least.
fn least(context: &Context<'_>, mut open: Vec<(Fit<'_>, BranchNeeds)>) -> Result<Money, RequestFault> {
    for (fit, needs) in &mut open {
        let must = |at: usize| fit.places.get(at).is_some_and(|place| !place.must.is_empty());
        needs.choices.retain(|(variable, _)| must(*variable));
        needs.fixed.retain(|need| match &need.line {
            crate::need::For::Place(at) => must(*at),
            // Companions come only with what is chosen; what the operation uses is needed in any case.
            crate::need::For::Unit(_, reasons) => {
                reasons.iter().any(|r| matches!(r, crate::reason::Reason::UsedByOperation { .. }))
            }
        });
    }
    let pairs: Vec<(&Fit<'_>, &BranchNeeds)> = open.iter().map(|(fit, needs)| (fit, needs)).collect();
    let mut built = cover_problem(context, &pairs)?;
    built.problem.aims = vec![cover::Aim::Cash];
    if built.problem.policy == cover::StockPolicy::First {
        built.problem.policy = cover::StockPolicy::Value;
    }
    let sold_by_nobody = built.offers.iter().any(Option::is_none);
    let outcome = cover::solve(&built.problem, &context.budget);
    let least = match outcome {
        // What nobody sells has a price of its own that is left out of the cash of an answer.
        _ if sold_by_nobody => 0,
        Ok(cover::Outcome::Optimal(plan)) => plan.cash,
        Ok(cover::Outcome::Bounded { bounds, .. } | cover::Outcome::Unsettled { bounds }) => {
            bounds.first().copied().flatten().unwrap_or(0)
        }
        Ok(cover::Outcome::Impossible(_) | cover::Outcome::NoOther) | Err(_) => 0,
    };
    Ok(Money::from_raw(least / MONEY_SCALE))
}

/// What the dearest values cost when each need is bought by itself, with every order, all work and the dearest mark-up.
fn most(context: &Context<'_>, open: &[(Fit<'_>, BranchNeeds)]) -> Result<Most, RequestFault> {
    let price = |needs: &[Need]| -> i128 { needs.iter().map(|need| alone(context, need)).sum() };
    let mut cash: i128 = 0;
    let mut shelf: i128 = 0;
    let mut lines: i128 = 0;
    for (_, needs) in open {
        cash += price(&needs.fixed);
        lines += needs.fixed.len() as i128;
        for (_, values) in &needs.choices {
            cash += values.iter().map(|needs| price(needs)).max().unwrap_or(0);
            lines += values.iter().map(Vec::len).max().unwrap_or(0) as i128;
        }
    }
    for lot in &context.input.stock.lots {
        shelf += i128::from(lot.carrying_value.raw()) * i128::from(lot.quantity.raw()) / 1_000;
    }
    for supplier in &context.input.prices.suppliers {
        cash += i128::from(context.rates.to_base(supplier.order_cost, &supplier.currency)?.raw());
        lines += 1;
    }
    for unit in &context.units {
        for work in context.graph.snapshot.outside_work.iter().filter(|work| work.unit == unit.unit.unit) {
            cash += i128::from(context.rates.to_base(work.price, &work.currency)?.raw());
            lines += 1;
        }
    }
    let labour = labour(context)?;
    let dearest =
        context.input.prices.price_rules.iter().map(|rule| rule.markup.raw()).max().unwrap_or(0).max(0);
    let hundred = 100 * i128::from(Percent::SCALE);
    let marked_up = (cash + shelf) * (hundred + i128::from(dearest)) / hundred;
    // Each line of the customer's price is rounded to the minor unit.
    let net = marked_up + (lines + 1) * i128::from(Money::SCALE) + i128::from(labour.raw());
    let raw = |amount: i128| Money::from_raw(i64::try_from(amount).unwrap_or(i64::MAX));
    Ok(Most { cash: raw(cash), net: raw(net), labour })
}

fn labour(context: &Context<'_>) -> Result<Money, RequestFault> {
    let rate = Money::parse(setting(&context.input.prices, "LABOUR-RATE")?).unwrap_or_default();
    let cost = |hours: Quantity| rate.times(hours.raw(), Quantity::SCALE).unwrap_or_default();
    let places = context.rates.base.places();
    Ok(context.units.iter().map(|unit| cost(unit.operation.hours).rounded(places)).sum())
}

/// What a need costs when it is bought by itself, of the first number that serves. With money as the first aim the cheapest
/// offer counts; other aims may take the dearest.
fn alone(context: &Context<'_>, need: &Need) -> i128 {
    let of_part = |part: &PartIx| {
        let prices = context.offers.iter().filter_map(|offer| of_offer(context, offer, *part, need.quantity));
        match context.input.request.aim {
            Aim::LeastMoney => prices.min(),
            Aim::LeastDays | Aim::FewestSuppliers => prices.max(),
        }
    };
    let prices = need.accepts.iter().filter_map(of_part);
    prices.max().unwrap_or(0)
}

fn of_offer(context: &Context<'_>, offer: &Offer<'_>, part: PartIx, quantity: Quantity) -> Option<i128> {
    let (_, each) = contents(context, offer).into_iter().find(|(brought, _)| *brought == part)?;
    let up = |a: i128, b: i128| (a + b - 1) / b.max(1);
    let units = up(i128::from(quantity.raw()) * 1_000, i128::from(each.raw()));
    let packs = up(units.max(i128::from(offer.minimum.raw())), i128::from(offer.pack.raw()));
    let bought = packs * i128::from(offer.pack.raw());
    let dearest = offer.tiers.iter().map(|tier| (tier.base_price + tier.base_deposit).raw()).max()?;
    Some(up(bought * i128::from(dearest), 1_000))
}
