//! The need of all branches and what can bring it, as an exact cover problem.
//!
//! Quantities are counted in steps of each part (one piece; for fluids the common measure of all quantities), money in
//! thousandths of a ten-thousandth, so that a price times a quantity stays whole.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{PartKind, Quantity};
use solver::cover;

use crate::context::Context;
use crate::fit::Fit;
use crate::graph::PartIx;
use crate::need::{BranchNeeds, Need};
use crate::offers::Offer;
use crate::request::{Aim, StockUse};
use crate::request_fault::RequestFault;

/// Money of the cover problem in one ten-thousandth.
pub(crate) const MONEY_SCALE: i64 = 1_000;
/// Price of one that nobody sells (100,000 in base currency, in ten-thousandths): far above any real one, so that as few as
/// can be are missing.
const NOWHERE_PRICE: i64 = 1_000_000_000;

/// A cover problem with what its indices stand for.
#[derive(Debug)]
pub(crate) struct CoverProblem {
    /// The problem.
    pub(crate) problem: cover::Problem,
    /// The part of each index.
    pub(crate) parts: Vec<PartIx>,
    /// Thousandths in one step of each part.
    pub(crate) steps: Vec<i64>,
    /// The offer of the context behind each offer; `None`: from nowhere, for what cannot be had.
    pub(crate) offers: Vec<Option<usize>>,
    /// For each branch and each of its needs, fixed ones first, the line needs that were added up in it.
    pub(crate) lines: Vec<BranchLines>,
}

/// What the needs of one branch stand for.
#[derive(Debug, Clone, Default)]
pub(crate) struct BranchLines {
    /// The branch of the problem; branches whose need is the same are one there.
    pub(crate) branch: usize,
    /// For each fixed need the indices of the branch's fixed line needs.
    pub(crate) fixed: Vec<Vec<usize>>,
    /// For each choice the index of the variable, and its needs in order.
    pub(crate) choices: Vec<usize>,
}

/// Puts the problem together.
pub(crate) fn cover_problem(
    context: &Context<'_>,
    branches: &[(&Fit<'_>, &BranchNeeds)],
) -> Result<CoverProblem, RequestFault> {
    let needed = needed_parts(branches);
    let offered: Vec<usize> = (0..context.offers.len()).filter(|at| brings(context, *at, &needed)).collect();
    let mut all = needed.clone();
    for at in &offered {
        all.extend(contents(context, &context.offers[*at]).iter().map(|(part, _)| *part));
    }
    let parts: Vec<PartIx> = all.into_iter().collect();
    let index: BTreeMap<PartIx, usize> = parts.iter().enumerate().map(|(at, part)| (*part, at)).collect();
    let steps = steps(context, branches, &offered, &parts, &index);
    let mut problem = cover::Problem {
        parts: cover_parts(context, &parts, &steps, &most_needed(branches)),
        suppliers: suppliers(context)?,
        offers: Vec::new(),
        branches: Vec::new(),
        policy: match context.input.request.stock {
            StockUse::First => cover::StockPolicy::First,
            StockUse::Value => cover::StockPolicy::Value,
            StockUse::None => cover::StockPolicy::None,
        },
        aims: aims(context),
    };
    let mut offers = Vec::new();
    for at in offered {
        problem.offers.push(cover_offer(context, &context.offers[at], &index, &steps));
        offers.push(Some(at));
    }
    let mut lines = Vec::new();
    for (fit, needs) in branches {
        let (branch, mut branch_lines) = cover_branch(fit, needs, &index, &steps);
        let same = problem.branches.iter().position(|known| *known == branch);
        branch_lines.branch = same.unwrap_or(problem.branches.len());
        if same.is_none() {
            problem.branches.push(branch);
        }
        lines.push(branch_lines);
    }
    let mut built = CoverProblem { problem, parts, steps, offers, lines };
    if context.input.request.stock == StockUse::Value {
        add_dearer_lots(context, &mut built);
    }
    add_nowhere(context, &mut built);
    Ok(built)
}

fn needed_parts(branches: &[(&Fit<'_>, &BranchNeeds)]) -> BTreeSet<PartIx> {
    all_needs(branches).flat_map(|need| need.accepts.iter().copied()).collect()
}

fn all_needs<'n>(branches: &'n [(&'n Fit<'_>, &'n BranchNeeds)]) -> impl Iterator<Item = &'n Need> {
    branches.iter().flat_map(|(_, needs)| {
        needs.fixed.iter().chain(needs.choices.iter().flat_map(|(_, values)| values.iter().flatten()))
    })
}

/// What one unit of an offer brings.
pub(crate) fn contents(context: &Context<'_>, offer: &Offer<'_>) -> Vec<(PartIx, Quantity)> {
    if context.graph.part(offer.part).kind != PartKind::Kit {
        return vec![(offer.part, Quantity::ONE)];
    }
    let contents = context.contents.get(&offer.part).map_or(&[][..], Vec::as_slice);
    contents.iter().map(|content| (content.part, content.quantity)).collect()
}

fn brings(context: &Context<'_>, offer: usize, needed: &BTreeSet<PartIx>) -> bool {
    contents(context, &context.offers[offer]).iter().any(|(part, _)| needed.contains(part))
}

/// One piece where everything is counted in pieces, else the common measure of all quantities of the part.
fn steps(
    context: &Context<'_>,
    branches: &[(&Fit<'_>, &BranchNeeds)],
    offered: &[usize],
    parts: &[PartIx],
    index: &BTreeMap<PartIx, usize>,
) -> Vec<i64> {
    let mut steps = vec![Quantity::SCALE; parts.len()];
    let mut take = |part: &PartIx, quantity: Quantity| {
        if let Some(at) = index.get(part) {
            steps[*at] = common_measure(steps[*at], quantity.raw());
        }
    };
    for need in all_needs(branches) {
        need.accepts.iter().for_each(|part| take(part, need.quantity));
    }
    for at in offered {
        let offer = &context.offers[*at];
        for (part, quantity) in contents(context, offer) {
            take(&part, quantity);
        }
        take(&offer.part, offer.pack);
        take(&offer.part, offer.minimum);
        offer.tiers.iter().for_each(|tier| take(&offer.part, tier.from));
    }
    for part in parts {
        take(part, context.free_stock(*part));
    }
    // A need that accepts several numbers is counted in one step.
    for need in all_needs(branches) {
        let least = need.accepts.iter().map(|part| steps[index[part]]).fold(Quantity::SCALE, common_measure);
        need.accepts.iter().for_each(|part| steps[index[part]] = least);
    }
    steps
}

fn common_measure(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { common_measure(b, a % b) }
}

/// The most of each part that a branch could fit, whatever is chosen.
fn most_needed(branches: &[(&Fit<'_>, &BranchNeeds)]) -> BTreeMap<PartIx, Quantity> {
    let mut most: BTreeMap<PartIx, Quantity> = BTreeMap::new();
    for (_, needs) in branches {
        let mut sum: BTreeMap<PartIx, Quantity> = BTreeMap::new();
        let of_choices = needs.choices.iter().flat_map(|(_, values)| values.iter().flatten());
        for need in needs.fixed.iter().chain(of_choices) {
            need.accepts.iter().for_each(|part| *sum.entry(*part).or_default() += need.quantity);
        }
        for (part, quantity) in sum {
            let known = most.entry(part).or_default();
            *known = (*known).max(quantity);
        }
    }
    most
}

/// What a piece off the shelf is carried at: where lots differ, the mean of the cheapest that could be used, rounded up, as these
/// are picked.
fn carrying_value(context: &Context<'_>, part: PartIx, wanted: Quantity) -> i64 {
    let (mut pieces, mut worth) = (0_i128, 0_i128);
    for lot in context.lots.get(&part).into_iter().flatten() {
        let open = i128::from(wanted.raw()).max(1) - pieces;
        let taken = i128::from((lot.quantity - lot.reserved).raw()).min(open);
        pieces += taken;
        worth += taken * i128::from(lot.carrying_value.raw());
    }
    match pieces {
        0 => 0,
        pieces => i64::try_from((worth + pieces - 1) / pieces).unwrap_or(i64::MAX / MONEY_SCALE),
    }
}

fn cover_parts(
    context: &Context<'_>,
    parts: &[PartIx],
    steps: &[i64],
    most: &BTreeMap<PartIx, Quantity>,
) -> Vec<cover::Part> {
    let wanted = |part: &PartIx| most.get(part).copied().unwrap_or_default();
    parts
        .iter()
        .zip(steps)
        .map(|(part, step)| cover::Part {
            free_stock: context.free_stock(*part).raw() / step,
            carrying_value: carrying_value(context, *part, wanted(part)).saturating_mul(*step),
            credit: context
                .graph
                .part(*part)
                .surplus_credit
                .map_or(0, |credit| credit.raw().saturating_mul(*step)),
        })
        .collect()
}

/// Where stock competes at its value, lots of one part at different values are told apart: the cheapest is the part itself, each
/// other a number of its own that the same needs accept and nobody sells.
fn add_dearer_lots(context: &Context<'_>, built: &mut CoverProblem) {
    let mut others: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for at in 0..built.parts.len() {
        let (part, step) = (built.parts[at], built.steps[at]);
        let lots = context.lots.get(&part).map_or(&[][..], Vec::as_slice);
        let values = lots.chunk_by(|one, other| one.carrying_value == other.carrying_value);
        for (nth, alike) in values.enumerate() {
            let free: i64 = alike.iter().map(|lot| (lot.quantity - lot.reserved).raw()).sum();
            let carrying_value = alike[0].carrying_value.raw().saturating_mul(step);
            let lot = cover::Part { free_stock: free / step, carrying_value, credit: 0 };
            if nth == 0 {
                built.problem.parts[at] = cover::Part { credit: built.problem.parts[at].credit, ..lot };
            } else {
                others.entry(at).or_default().push(built.parts.len());
                built.parts.push(part);
                built.steps.push(step);
                built.problem.parts.push(lot);
            }
        }
    }
    for need in built.problem.branches.iter_mut().flat_map(needs_of) {
        let more: Vec<usize> =
            need.accepts.iter().filter_map(|at| others.get(at)).flatten().copied().collect();
        need.accepts.extend(more);
    }
}

fn suppliers(context: &Context<'_>) -> Result<Vec<cover::Supplier>, RequestFault> {
    let mut suppliers = Vec::new();
    for row in &context.input.prices.suppliers {
        let cost = context.rates.to_base(row.order_cost, &row.currency)?;
        suppliers.push(cover::Supplier { fixed_cost: cost.raw().saturating_mul(MONEY_SCALE) });
    }
    suppliers.push(cover::Supplier { fixed_cost: 0 });
    Ok(suppliers)
}

fn aims(context: &Context<'_>) -> Vec<cover::Aim> {
    let money = match context.input.request.stock {
        StockUse::Value => [cover::Aim::JobCost, cover::Aim::Cash, cover::Aim::Surplus],
        StockUse::First | StockUse::None => [cover::Aim::Cash, cover::Aim::JobCost, cover::Aim::Surplus],
    };
    let first = match context.input.request.aim {
        Aim::LeastMoney => None,
        Aim::LeastDays => Some(cover::Aim::Days),
        Aim::FewestSuppliers => Some(cover::Aim::Suppliers),
    };
    first.into_iter().chain(money).collect()
}

fn cover_offer(
    context: &Context<'_>,
    offer: &Offer<'_>,
    index: &BTreeMap<PartIx, usize>,
    steps: &[i64],
) -> cover::Offer {
    let is_kit = context.graph.part(offer.part).kind == PartKind::Kit;
    // A kit is sold by the box; a loose part by its step.
    let step = if is_kit { Quantity::SCALE } else { steps[index[&offer.part]] };
    cover::Offer {
        supplier: offer.supplier,
        contents: contents(context, offer)
            .iter()
            .map(|(part, quantity)| {
                let at = index[part];
                (at, if is_kit { quantity.raw() / steps[at] } else { 1 })
            })
            .collect(),
        pack: (offer.pack.raw() / step).max(1),
        minimum: offer.minimum.raw() / step,
        tiers: offer
            .tiers
            .iter()
            .enumerate()
            .map(|(at, tier)| cover::Tier {
                // Below the first price nothing is sold, which the minimum says.
                from: if at == 0 { 0 } else { tier.from.raw() / step },
                price: (tier.base_price + tier.base_deposit).raw().saturating_mul(step),
            })
            .collect(),
        available: None,
        lead_days: u32::try_from(offer.lead_days).unwrap_or(u32::MAX),
        is_kit,
    }
}

fn cover_branch(
    fit: &Fit<'_>,
    needs: &BranchNeeds,
    index: &BTreeMap<PartIx, usize>,
    steps: &[i64],
) -> (cover::Branch, BranchLines) {
    let mut branch = cover::Branch::default();
    let mut lines = BranchLines::default();
    let convert = |need: &Need| {
        let accepts: Vec<usize> = need.accepts.iter().map(|part| index[part]).collect();
        let step = accepts.first().map_or(Quantity::SCALE, |at| steps[*at]);
        cover::Need { quantity: need.quantity.raw() / step, accepts }
    };
    let mut same: BTreeMap<Vec<usize>, usize> = BTreeMap::new();
    for (at, need) in needs.fixed.iter().enumerate() {
        let converted = convert(need);
        match same.get(&converted.accepts) {
            Some(there) => {
                branch.needs[*there].quantity += converted.quantity;
                lines.fixed[*there].push(at);
            }
            None => {
                same.insert(converted.accepts.clone(), branch.needs.len());
                branch.needs.push(converted);
                lines.fixed.push(vec![at]);
            }
        }
    }
    let mut choice_of: BTreeMap<usize, usize> = BTreeMap::new();
    for (variable, values) in &needs.choices {
        choice_of.insert(*variable, branch.choices.len());
        lines.choices.push(*variable);
        branch.choices.push(cover::Choice {
            values: values
                .iter()
                .map(|needs| cover::ChoiceValue { needs: needs.iter().map(convert).collect(), cash: 0 })
                .collect(),
        });
    }
    for (scope, tuples) in &fit.tables {
        let place_of =
            |variable: &usize, value: &usize| fit.open[*variable].iter().position(|open| open == value);
        let tuples = tuples.iter().filter_map(|tuple| {
            scope
                .iter()
                .zip(tuple)
                .map(|(variable, value)| place_of(variable, value))
                .collect::<Option<Vec<usize>>>()
        });
        let scope: Option<Vec<usize>> =
            scope.iter().map(|variable| choice_of.get(variable).copied()).collect();
        if let Some(scope) = scope {
            branch.tables.push(cover::Table { scope, tuples: tuples.collect() });
        }
    }
    (branch, lines)
}

/// Lets a need that nothing can meet come from nowhere at a price far above any other, so that a plan exists and as little as
/// can be is missing. A number of its own stands for what is missing, which no need accepts that something else can meet.
fn add_nowhere(context: &Context<'_>, built: &mut CoverProblem) {
    let supplier = built.problem.suppliers.len() - 1;
    let mut missing: BTreeMap<usize, usize> = BTreeMap::new();
    let mut parts = built.parts.clone();
    let mut branches = std::mem::take(&mut built.problem.branches);
    for need in branches.iter_mut().flat_map(needs_of) {
        let sold = need.accepts.iter().any(|at| context.can_be_bought(built.parts[*at]));
        let Some(first) = need.accepts.first().copied().filter(|_| !sold) else { continue };
        let stand_in = *missing.entry(first).or_insert_with(|| {
            parts.push(built.parts[first]);
            parts.len() - 1
        });
        need.accepts.push(stand_in);
    }
    built.problem.branches = branches;
    let mut stand_ins: Vec<(usize, usize)> = missing.into_iter().collect();
    stand_ins.sort_by_key(|(_, stand_in)| *stand_in);
    for (first, stand_in) in stand_ins {
        let step = built.steps[first];
        built.steps.push(step);
        built.problem.parts.push(cover::Part::default());
        built.problem.offers.push(cover::Offer {
            supplier,
            contents: vec![(stand_in, 1)],
            pack: 1,
            minimum: 0,
            tiers: vec![cover::Tier { from: 0, price: NOWHERE_PRICE * step }],
            available: None,
            lead_days: 0,
            is_kit: false,
        });
        built.offers.push(None);
    }
    built.parts = parts;
}

fn needs_of(branch: &mut cover::Branch) -> impl Iterator<Item = &mut cover::Need> {
    let of_choices = branch.choices.iter_mut().flat_map(|choice| &mut choice.values);
    branch.needs.iter_mut().chain(of_choices.flat_map(|value| &mut value.needs))
}
