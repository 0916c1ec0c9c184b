//! How the need is met: the plan of the cover problem as lists a person buys and picks by.

use std::collections::BTreeMap;

use catalogue::{Money, PartKind, Quantity};
use chrono::{Days, NaiveDate};
use solver::cover::{self, Plan};

use crate::allocation::{Allocation, Bought};
use crate::answer::{
    CoverageLine, KitContent, KitPurchase, LoosePurchase, MissingLine, Outcome, Sourcing, StockPick,
    SupplierOrder, SurplusLine, WorkOrder,
};
use crate::context::Context;
use crate::cover_problem::{CoverProblem, MONEY_SCALE};
use crate::graph::PartIx;
use crate::kit_explosion::Content;
use crate::requirement::{Solved, part_name};

/// A plan with how far it is proven.
pub(crate) struct Proven {
    /// The plan.
    pub(crate) plan: Plan,
    /// Whether nothing is better.
    pub(crate) optimal: bool,
    /// What no plan goes below in the first aim, where the plan is not proven.
    pub(crate) bound: Option<i64>,
}

/// The day so many days after another.
pub(crate) fn day_after(day: NaiveDate, days: i64) -> NaiveDate {
    day.checked_add_days(Days::new(u64::try_from(days).unwrap_or(0))).unwrap_or(NaiveDate::MAX)
}

fn base_money(raw: i64) -> Money {
    Money::from_raw(raw / MONEY_SCALE)
}

/// The largest of each part's quantities over all branches.
fn at_most<'q>(piles: impl Iterator<Item = &'q BTreeMap<PartIx, Quantity>>) -> BTreeMap<PartIx, Quantity> {
    let mut most: BTreeMap<PartIx, Quantity> = BTreeMap::new();
    for pile in piles {
        for (part, quantity) in pile {
            let entry = most.entry(*part).or_default();
            *entry = (*entry).max(*quantity);
        }
    }
    most
}

/// Kits and loose parts of a plan.
pub(crate) struct Purchases {
    /// Kits.
    pub(crate) kits: Vec<KitPurchase>,
    /// Loose parts.
    pub(crate) loose: Vec<LoosePurchase>,
    /// Goods by supplier, with the longest lead time.
    goods: BTreeMap<usize, (Money, i64)>,
    /// Deposits in base currency.
    deposits: Money,
    /// Cash for pieces from nowhere, to be left out of the sums.
    pub(crate) nowhere: i64,
}

/// What a plan buys. `used` is the most that any branch uses of each part.
pub(crate) fn purchases(
    context: &Context<'_>,
    cover: &CoverProblem,
    plan: &Plan,
    allocations: &[&Allocation],
) -> Purchases {
    let used = at_most(allocations.iter().map(|a| &a.used));
    let stock = at_most(allocations.iter().map(|a| &a.stock));
    let mut found = Purchases {
        kits: Vec::new(),
        loose: Vec::new(),
        goods: BTreeMap::new(),
        deposits: Money::ZERO,
        nowhere: 0,
    };
    let bought = Bought::of(cover, plan);
    let from_boxes = |part: PartIx| {
        let used = used.get(&part).copied().unwrap_or_default();
        let stock = stock.get(&part).copied().unwrap_or_default();
        used - stock
    };
    let mut left: BTreeMap<PartIx, Quantity> =
        bought.kits.iter().map(|(part, quantity)| (*part, from_boxes(*part).min(*quantity))).collect();
    for (index, units) in &plan.purchases {
        let row = &cover.problem.offers[*index];
        let Some(offer) = cover.offers[*index].map(|at| &context.offers[at]) else {
            found.nowhere += row.tiers[0].price * units;
            continue;
        };
        let is_kit = context.graph.part(offer.part).kind == PartKind::Kit;
        let step = if is_kit { Quantity::SCALE } else { cover.steps[row.contents[0].0] };
        let quantity = Quantity::from_raw(units * step);
        let tier = offer.tier(quantity);
        let each = tier.base_price + tier.base_deposit;
        let cost = each.times(quantity.raw(), Quantity::SCALE).unwrap_or(each);
        found.deposits += tier.base_deposit.times(quantity.raw(), Quantity::SCALE).unwrap_or_default();
        let goods = found.goods.entry(offer.supplier).or_default();
        *goods = (goods.0 + cost, goods.1.max(offer.lead_days));
        let supplier = context.input.prices.suppliers[offer.supplier].supplier.clone();
        let here_on = day_after(context.input.request.as_of, offer.lead_days);
        if is_kit {
            found.kits.push(KitPurchase {
                kit: part_name(context, offer.part),
                supplier,
                quantity,
                price: tier.price,
                currency: offer.currency.clone(),
                cost,
                here_on,
                contents: kit_contents(context, offer.part, quantity, &mut left),
            });
        } else {
            let from_kits = bought.kits.get(&offer.part).copied().unwrap_or_default();
            let needed = from_boxes(offer.part);
            let loose = if needed > from_kits { needed - from_kits } else { Quantity::ZERO };
            found.loose.push(LoosePurchase {
                part: part_name(context, offer.part),
                supplier,
                quantity,
                used: loose.min(quantity),
                measure: context.graph.part(offer.part).measure,
                price: tier.price,
                currency: offer.currency.clone(),
                deposit: tier.deposit,
                cost,
                here_on,
            });
        }
    }
    found
}

fn kit_contents(
    context: &Context<'_>,
    kit: PartIx,
    quantity: Quantity,
    left: &mut BTreeMap<PartIx, Quantity>,
) -> Vec<KitContent> {
    let contents: &[Content] = context.contents.get(&kit).map_or(&[], Vec::as_slice);
    contents
        .iter()
        .map(|content| {
            let lies_in = content.quantity.times(quantity).unwrap_or(content.quantity);
            let open = left.entry(content.part).or_default();
            let used = lies_in.min(*open);
            *open = *open - used;
            KitContent {
                part: part_name(context, content.part),
                quantity: lies_in,
                used,
                option_group: content.option_group.clone(),
                through: content.through.iter().map(|kit| context.graph.part(*kit).part.clone()).collect(),
            }
        })
        .collect()
}

/// What comes off the shelf, lot by lot.
fn stock_picks(context: &Context<'_>, allocations: &[&Allocation]) -> Vec<StockPick> {
    let mut picks = Vec::new();
    for (part, quantity) in at_most(allocations.iter().map(|a| &a.stock)) {
        let key = &context.graph.part(part).part;
        let mut open = quantity;
        for lot in context.input.stock.lots.iter().filter(|lot| lot.part == *key) {
            let take = open.min(lot.quantity - lot.reserved);
            if take > Quantity::ZERO {
                open = open - take;
                picks.push(StockPick {
                    part: part_name(context, part),
                    bin: lot.bin.clone(),
                    mark: lot.mark.clone(),
                    quantity: take,
                    measure: context.graph.part(part).measure,
                    carrying_value: lot.carrying_value,
                });
            }
        }
    }
    picks
}

fn surplus(context: &Context<'_>, kits: &[KitPurchase], allocations: &[&Allocation]) -> Vec<SurplusLine> {
    let mut lines: Vec<SurplusLine> = at_most(allocations.iter().map(|a| &a.surplus))
        .into_iter()
        .map(|(part, quantity)| {
            let row = context.graph.part(part);
            let kit =
                kits.iter().find(|kit| kit.contents.iter().any(|content| content.part.part == row.part));
            SurplusLine {
                part: part_name(context, part),
                quantity,
                measure: row.measure,
                kit: kit.map(|kit| kit.kit.part.clone()),
            }
        })
        .collect();
    lines.sort_by(|a, b| (&a.kit, &a.part.part).cmp(&(&b.kit, &b.part.part)));
    lines
}

/// The plan as an answer.
pub(crate) fn sourcing(
    context: &Context<'_>,
    cover: &CoverProblem,
    proven: &Proven,
    solved: &[Solved<'_>],
    (coverage, not_to_be_had): (Vec<CoverageLine>, Vec<MissingLine>),
    outside_work: Vec<WorkOrder>,
) -> Sourcing {
    let request = &context.input.request;
    let allocations: Vec<&Allocation> = solved.iter().map(|solved| &solved.allocation).collect();
    let bought = purchases(context, cover, &proven.plan, &allocations);
    let work: Money = outside_work.iter().map(|work| work.cost).sum();
    let work_days =
        outside_work.iter().map(|work| (work.here_on - request.as_of).num_days()).max().unwrap_or(0);
    let orders = orders(context, &bought.goods);
    let days = i64::from(proven.plan.days).max(work_days);
    let surplus = surplus(context, &bought.kits, &allocations);
    Sourcing {
        aim: request.aim,
        stock: request.stock,
        proven: proven.optimal,
        bound: proven.bound.map(|bound| bound_text(&cover.problem.aims, bound)),
        from_stock: stock_picks(context, &allocations),
        surplus,
        kits: bought.kits,
        loose: bought.loose,
        not_to_be_had,
        coverage,
        orders,
        cash: base_money(proven.plan.cash - bought.nowhere) + work,
        deposits: bought.deposits,
        job_cost: base_money(proven.plan.job_cost - bought.nowhere) + work,
        currency: context.rates.base.clone(),
        days,
        complete_on: day_after(request.as_of, days),
        outside_work,
        outcomes: Vec::new(),
    }
}

/// A bound in the unit of the first aim.
fn bound_text(aims: &[cover::Aim], bound: i64) -> String {
    match aims.first() {
        Some(cover::Aim::Days) => format!("{bound} days"),
        Some(cover::Aim::Suppliers) => format!("{bound} suppliers"),
        Some(cover::Aim::Surplus) => format!("{bound} pieces"),
        Some(cover::Aim::Cash | cover::Aim::JobCost) | None => base_money(bound).to_string(),
    }
}

fn orders(context: &Context<'_>, goods: &BTreeMap<usize, (Money, i64)>) -> Vec<SupplierOrder> {
    goods
        .iter()
        .filter_map(|(supplier, (goods, lead_days))| {
            let row = &context.input.prices.suppliers[*supplier];
            let order_cost = context.rates.to_base(row.order_cost, &row.currency).ok()?;
            Some(SupplierOrder {
                supplier: row.supplier.clone(),
                name: row.name.clone(),
                order_cost,
                goods: *goods,
                here_on: day_after(context.input.request.as_of, *lead_days),
            })
        })
        .collect()
}

/// One outcome, answered apart.
pub(crate) fn outcome(
    context: &Context<'_>,
    cover: &CoverProblem,
    plan: &Plan,
    solved: &Solved<'_>,
    work: Money,
) -> Outcome {
    let bought = purchases(context, cover, plan, &[&solved.allocation]);
    Outcome {
        variants: solved.branch.open.clone(),
        cash: base_money(plan.cash - bought.nowhere) + work,
        job_cost: base_money(plan.job_cost - bought.nowhere) + work,
        days: i64::from(plan.days),
        kits: bought.kits,
        loose: bought.loose,
    }
}
