//! How the need is met: the plan of the cover problem as lists a person buys and picks by.

use std::collections::BTreeMap;

use catalogue::{Money, PartKind, Quantity};
use chrono::{Days, NaiveDate};
use solver::cover::{self, Plan};

use crate::allocation::{Allocation, Piece};
use crate::answer::{
    CoverageLine, KitContent, KitPurchase, LoosePurchase, MissingLine, Outcome, Sourcing, StockPick,
    SupplierOrder, SurplusLine, WorkOrder,
};
use crate::context::Context;
use crate::cover_problem::{CoverProblem, MONEY_SCALE};
use crate::graph::PartIx;
use crate::kit_explosion::Content;
use crate::offers::Offer;
use crate::requirement::{Solved, part_name};

/// A plan with how far it is proven.
pub(crate) struct Proven {
    /// The plan.
    pub(crate) plan: Plan,
    /// Whether nothing is better in the first aim.
    pub(crate) optimal: bool,
    /// Whether nothing is better in the later aims either.
    pub(crate) ties: bool,
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

/// A plan for some branches, and what each of them does with it.
pub(crate) struct Planned<'a> {
    /// The problem.
    pub(crate) cover: CoverProblem,
    /// The plan.
    pub(crate) proven: Proven,
    /// The branches.
    pub(crate) solved: Vec<Solved<'a>>,
}

type Pile = BTreeMap<PartIx, Quantity>;

/// The largest of each part's quantities over all branches.
fn at_most<'q>(piles: impl Iterator<Item = &'q Pile>) -> Pile {
    let mut most = Pile::new();
    for pile in piles {
        for (part, quantity) in pile {
            let entry = most.entry(*part).or_default();
            *entry = (*entry).max(*quantity);
        }
    }
    most
}

/// The smallest of each part's quantities over all branches; none where a branch has none.
fn at_least(piles: &[Pile]) -> Pile {
    let mut piles = piles.iter();
    let mut least = piles.next().cloned().unwrap_or_default();
    for pile in piles {
        for (part, quantity) in &mut least {
            *quantity = (*quantity).min(pile.get(part).copied().unwrap_or_default());
        }
    }
    least
}

/// For each branch what it uses of each part out of one source.
fn used(allocations: &[&Allocation], source: impl Fn(&Piece) -> Quantity) -> Vec<Pile> {
    let of_branch = |allocation: &&Allocation| {
        let mut pile = Pile::new();
        for piece in &allocation.pieces {
            *pile.entry(piece.part).or_default() += source(piece);
        }
        pile
    };
    allocations.iter().map(of_branch).collect()
}

/// Takes at most so many pieces off a pile.
fn take(pile: &mut Pile, part: PartIx, quantity: Quantity) -> Quantity {
    let open = pile.entry(part).or_default();
    let taken = quantity.min(*open);
    *open = *open - taken;
    taken
}

/// Kits and loose parts of a plan.
pub(crate) struct Purchases {
    /// Kits.
    pub(crate) kits: Vec<KitPurchase>,
    /// Loose parts.
    pub(crate) loose: Vec<LoosePurchase>,
    /// What is left over at most, by kit and part; without a kit: of a pack or minimum order.
    surplus: BTreeMap<(Option<PartIx>, PartIx), Quantity>,
    /// Goods by supplier, with the longest lead time.
    goods: BTreeMap<usize, (Money, i64)>,
    /// Deposits in base currency.
    deposits: Money,
    /// Cash for pieces from nowhere, to be left out of the sums.
    pub(crate) nowhere: i64,
}

/// What a plan buys, and what the branches use of it.
pub(crate) fn purchases(
    context: &Context<'_>,
    cover: &CoverProblem,
    plan: &Plan,
    allocations: &[&Allocation],
) -> Purchases {
    let mut found = Purchases {
        kits: Vec::new(),
        loose: Vec::new(),
        surplus: BTreeMap::new(),
        goods: BTreeMap::new(),
        deposits: Money::ZERO,
        nowhere: 0,
    };
    let (from_kits, bought) = (used(allocations, |p| p.from_kits), used(allocations, |p| p.bought));
    let mut boxes = Uses { most: at_most(from_kits.iter()), least: at_least(&from_kits) };
    let mut loose = Uses { most: at_most(bought.iter()), least: at_least(&bought) };
    for (index, units) in &plan.purchases {
        let row = &cover.problem.offers[*index];
        let Some(offer) = cover.offers[*index].map(|at| &context.offers[at]) else {
            found.nowhere += row.tiers[0].price * units;
            continue;
        };
        let is_kit = context.graph.part(offer.part).kind == PartKind::Kit;
        let step = if is_kit { Quantity::SCALE } else { cover.steps[row.contents[0].0] };
        let quantity = Quantity::from_raw(units * step);
        if is_kit {
            found.kit(context, offer, quantity, &mut boxes);
        } else {
            found.loose(context, offer, quantity, &mut loose);
        }
    }
    found
}

/// What of bought pieces is used, at most and at least over the branches; counted off as purchases are told.
struct Uses {
    most: Pile,
    least: Pile,
}

impl Purchases {
    /// Books the money of a purchase; its cost, deposits included.
    fn book(&mut self, offer: &Offer<'_>, quantity: Quantity) -> Money {
        let tier = offer.tier(quantity);
        let each = tier.base_price + tier.base_deposit;
        let cost = each.times(quantity.raw(), Quantity::SCALE).unwrap_or(each);
        self.deposits += tier.base_deposit.times(quantity.raw(), Quantity::SCALE).unwrap_or_default();
        let goods = self.goods.entry(offer.supplier).or_default();
        *goods = (goods.0 + cost, goods.1.max(offer.lead_days));
        cost
    }

    fn left_over(&mut self, kit: Option<PartIx>, part: PartIx, quantity: Quantity) {
        if quantity > Quantity::ZERO {
            *self.surplus.entry((kit, part)).or_default() += quantity;
        }
    }

    fn kit(&mut self, context: &Context<'_>, offer: &Offer<'_>, quantity: Quantity, boxes: &mut Uses) {
        let contents: &[Content] = context.contents.get(&offer.part).map_or(&[], Vec::as_slice);
        let mut told = Vec::new();
        for content in contents {
            let lies_in = content.quantity.times(quantity).unwrap_or(content.quantity);
            told.push(KitContent {
                part: part_name(context, content.part),
                quantity: lies_in,
                used: take(&mut boxes.most, content.part, lies_in),
                option_group: content.option_group.clone(),
                through: content.through.iter().map(|kit| context.graph.part(*kit).part.clone()).collect(),
            });
            let left = lies_in - take(&mut boxes.least, content.part, lies_in);
            self.left_over(Some(offer.part), content.part, left);
        }
        let (tier, cost) = (offer.tier(quantity), self.book(offer, quantity));
        self.kits.push(KitPurchase {
            kit: part_name(context, offer.part),
            supplier: context.input.prices.suppliers[offer.supplier].supplier.clone(),
            quantity,
            price: tier.price,
            currency: tier.currency.clone(),
            deposit: tier.deposit,
            cost,
            here_on: day_after(context.input.request.as_of, offer.lead_days),
            contents: told,
        });
    }

    fn loose(&mut self, context: &Context<'_>, offer: &Offer<'_>, quantity: Quantity, loose: &mut Uses) {
        let left = quantity - take(&mut loose.least, offer.part, quantity);
        self.left_over(None, offer.part, left);
        let (tier, cost) = (offer.tier(quantity), self.book(offer, quantity));
        self.loose.push(LoosePurchase {
            part: part_name(context, offer.part),
            supplier: context.input.prices.suppliers[offer.supplier].supplier.clone(),
            quantity,
            used: take(&mut loose.most, offer.part, quantity),
            measure: context.graph.part(offer.part).measure,
            price: tier.price,
            currency: tier.currency.clone(),
            deposit: tier.deposit,
            cost,
            here_on: day_after(context.input.request.as_of, offer.lead_days),
        });
    }

    fn surplus_lines(&self, context: &Context<'_>) -> Vec<SurplusLine> {
        let line = |((kit, part), quantity): (&(Option<PartIx>, PartIx), &Quantity)| SurplusLine {
            part: part_name(context, *part),
            quantity: *quantity,
            measure: context.graph.part(*part).measure,
            kit: kit.map(|kit| context.graph.part(kit).part.clone()),
        };
        self.surplus.iter().map(line).collect()
    }

    /// Cash and the carrying value of what comes off the shelf, lot by lot, in the dearest branch.
    fn job_cost(&self, context: &Context<'_>, allocations: &[&Allocation]) -> Money {
        let goods: Money =
            orders(context, &self.goods).iter().map(|order| order.goods + order.order_cost).sum();
        let of_branch = |allocation: &&Allocation| {
            let credit = |(part, quantity): (&PartIx, &Quantity)| {
                let each = context.graph.part(*part).surplus_credit.unwrap_or_default();
                each.times(quantity.raw(), Quantity::SCALE).unwrap_or_default()
            };
            let credits: Money = allocation.surplus.iter().map(credit).sum();
            let picks = stock_picks(context, &allocation.stock);
            goods - credits + picks.iter().map(carried).sum()
        };
        allocations.iter().map(of_branch).max().unwrap_or_default()
    }
}

fn carried(pick: &StockPick) -> Money {
    pick.carrying_value.times(pick.quantity.raw(), Quantity::SCALE).unwrap_or_default()
}

/// What comes off the shelf, lot by lot.
fn stock_picks(context: &Context<'_>, stock: &Pile) -> Vec<StockPick> {
    let mut picks = Vec::new();
    for (part, quantity) in stock {
        let row = context.graph.part(*part);
        let mut open = *quantity;
        for lot in context.lots.get(part).into_iter().flatten() {
            let taken = open.min(lot.quantity - lot.reserved);
            if taken > Quantity::ZERO {
                open = open - taken;
                picks.push(StockPick {
                    part: part_name(context, *part),
                    bin: lot.bin.clone(),
                    mark: lot.mark.clone(),
                    quantity: taken,
                    measure: row.measure,
                    carrying_value: lot.carrying_value,
                });
            }
        }
    }
    picks
}

/// The plan as an answer.
pub(crate) fn sourcing(
    context: &Context<'_>,
    planned: &Planned<'_>,
    (coverage, not_to_be_had): (Vec<CoverageLine>, Vec<MissingLine>),
    outside_work: Vec<WorkOrder>,
) -> Sourcing {
    let request = &context.input.request;
    let Planned { cover, proven, solved } = planned;
    let allocations: Vec<&Allocation> = solved.iter().map(|solved| &solved.allocation).collect();
    let bought = purchases(context, cover, &proven.plan, &allocations);
    let work: Money = outside_work.iter().map(|work| work.cost).sum();
    let work_days = days_of(context, &outside_work);
    let days = i64::from(proven.plan.days).max(work_days);
    Sourcing {
        aim: request.aim,
        stock: request.stock,
        proven: proven.optimal,
        ties_proven: proven.optimal && proven.ties,
        bound: proven
            .bound
            .map(|bound| bound_text(&cover.problem.aims, bound, bought.nowhere, (work, work_days))),
        from_stock: stock_picks(context, &at_most(allocations.iter().map(|a| &a.stock))),
        surplus: bought.surplus_lines(context),
        job_cost: bought.job_cost(context, &allocations) + work,
        orders: orders(context, &bought.goods),
        kits: bought.kits,
        loose: bought.loose,
        not_to_be_had,
        coverage,
        cash: base_money(proven.plan.cash - bought.nowhere) + work,
        deposits: bought.deposits,
        currency: context.rates.base.clone(),
        days,
        complete_on: day_after(request.as_of, days),
        outside_work,
        outcomes: Vec::new(),
    }
}

/// Days until all work that goes out is back.
pub(crate) fn days_of(context: &Context<'_>, work: &[WorkOrder]) -> i64 {
    let days = |order: &WorkOrder| (order.here_on - context.input.request.as_of).num_days();
    work.iter().map(days).max().unwrap_or(0)
}

/// A bound in the unit of the first aim, as the plan's own figure is counted: with outside work, and without what stands in
/// for parts that nobody sells. No plan has fewer of those than the best, so what they take off is never too little.
fn bound_text(aims: &[cover::Aim], bound: i64, nowhere: i64, (work, work_days): (Money, i64)) -> String {
    match aims.first() {
        Some(cover::Aim::Days) => format!("{} days", bound.max(work_days)),
        Some(cover::Aim::Suppliers) => format!("{bound} suppliers"),
        Some(cover::Aim::Surplus) => format!("{bound} pieces"),
        Some(cover::Aim::Cash | cover::Aim::JobCost) | None => {
            (base_money(bound - nowhere) + work).to_string()
        }
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

/// One outcome, answered apart; its variants are left to be named.
pub(crate) fn outcome(
    context: &Context<'_>,
    cover: &CoverProblem,
    plan: &Plan,
    allocation: &Allocation,
    work: Money,
) -> Outcome {
    let bought = purchases(context, cover, plan, &[allocation]);
    Outcome {
        variants: Vec::new(),
        cash: base_money(plan.cash - bought.nowhere) + work,
        job_cost: bought.job_cost(context, &[allocation]) + work,
        days: i64::from(plan.days),
        kits: bought.kits,
        loose: bought.loose,
    }
}
