//! From the plan of the cover problem back to lines: which part went where, and where its pieces come from.

use std::collections::BTreeMap;

use catalogue::Quantity;
use solver::cover::{BranchPlan, Plan};

use crate::cover_problem::{BranchLines, CoverProblem};
use crate::fit::Fit;
use crate::graph::PartIx;
use crate::need::{BranchNeeds, For, Need};

/// What one branch does with a plan.
#[derive(Debug, Default)]
pub(crate) struct Allocation {
    /// The value chosen for each variable of the fit.
    pub(crate) chosen: Vec<usize>,
    /// The pieces fitted, in the order of the lines.
    pub(crate) pieces: Vec<Piece>,
    /// Pieces taken from the shelf, by part.
    pub(crate) stock: BTreeMap<PartIx, Quantity>,
    /// Pieces used of each part, by part.
    pub(crate) used: BTreeMap<PartIx, Quantity>,
    /// Pieces bought and not used, by part.
    pub(crate) surplus: BTreeMap<PartIx, Quantity>,
}

/// Pieces of one part for one line.
#[derive(Debug, Clone)]
pub(crate) struct Piece {
    /// The line.
    pub(crate) line: For,
    /// The part.
    pub(crate) part: PartIx,
    /// How many.
    pub(crate) quantity: Quantity,
    /// Of these from the shelf.
    pub(crate) from_stock: Quantity,
    /// Of these out of kits.
    pub(crate) from_kits: Quantity,
    /// Of these bought loose.
    pub(crate) bought: Quantity,
    /// Of these not to be had.
    pub(crate) missing: Quantity,
}

/// What was bought of each part, by where it comes from.
#[derive(Debug, Default)]
pub(crate) struct Bought {
    /// Out of kits.
    pub(crate) kits: BTreeMap<PartIx, Quantity>,
    /// Loose.
    pub(crate) loose: BTreeMap<PartIx, Quantity>,
    /// From nowhere.
    pub(crate) nowhere: BTreeMap<PartIx, Quantity>,
}

impl Bought {
    /// What the purchases of a plan bring.
    pub(crate) fn of(cover: &CoverProblem, plan: &Plan) -> Self {
        let mut bought = Self::default();
        for (offer, units) in &plan.purchases {
            let row = &cover.problem.offers[*offer];
            for (at, pieces) in &row.contents {
                let quantity = Quantity::from_raw(pieces * units * cover.steps[*at]);
                let pile = match (cover.offers[*offer], row.is_kit) {
                    (None, _) => &mut bought.nowhere,
                    (Some(_), true) => &mut bought.kits,
                    (Some(_), false) => &mut bought.loose,
                };
                *pile.entry(cover.parts[*at]).or_default() += quantity;
            }
        }
        bought
    }
}

/// Deals the plan of a branch out to its lines: off the shelf first, then out of kits, then loose.
pub(crate) fn allocate(
    cover: &CoverProblem,
    plan: &Plan,
    (fit, needs): (&Fit<'_>, &BranchNeeds),
    branch: usize,
) -> Allocation {
    let lines: &BranchLines = &cover.lines[branch];
    let of_branch: &BranchPlan = &plan.branches[lines.branch];
    let mut found =
        Allocation { chosen: fit.open.iter().map(|open| open[0]).collect(), ..Allocation::default() };
    let quantity = |at: usize, steps: i64| Quantity::from_raw(steps * cover.steps[at]);
    // What is missing of a number has an index of its own in the problem; here it is the same number.
    let of_parts = |parts: &[(usize, i64)]| -> Vec<(PartIx, Quantity)> {
        let mut sums: BTreeMap<PartIx, Quantity> = BTreeMap::new();
        for (at, steps) in parts {
            *sums.entry(cover.parts[*at]).or_default() += quantity(*at, *steps);
        }
        sums.into_iter().collect()
    };
    let mut fitted: Vec<(&Need, PartIx, Quantity)> = Vec::new();
    for (need, parts) in lines.fixed.iter().zip(&of_branch.fitted) {
        let mut left = of_parts(parts);
        for line in need {
            deal(&needs.fixed[*line], &mut left, &mut fitted);
        }
    }
    for (choice, variable) in lines.choices.iter().enumerate() {
        let value = of_branch.choices[choice];
        found.chosen[*variable] = fit.open[*variable][value];
        let of_value = &needs.choices[choice].1[value];
        for (need, parts) in of_value.iter().zip(&of_branch.choice_fitted[choice]) {
            let mut left = of_parts(parts);
            deal(need, &mut left, &mut fitted);
        }
    }
    for (at, steps) in &of_branch.stock_used {
        *found.stock.entry(cover.parts[*at]).or_default() += quantity(*at, *steps);
    }
    for (at, steps) in &of_branch.surplus {
        *found.surplus.entry(cover.parts[*at]).or_default() += quantity(*at, *steps);
    }
    fitted.sort_by_key(|(need, part, _)| (order(&need.line), *part));
    let bought = Bought::of(cover, plan);
    let mut piles = [found.stock.clone(), bought.kits, bought.loose];
    for (need, part, quantity) in fitted {
        *found.used.entry(part).or_default() += quantity;
        found.pieces.push(from_piles(&need.line, part, quantity, &mut piles));
    }
    found
}

/// Places in order of assembly, then what has no place, unit by unit.
fn order(line: &For) -> (bool, usize) {
    match line {
        For::Place(at) => (false, *at),
        For::Unit(unit, _) => (true, *unit),
    }
}

/// Gives one line its pieces out of what its need was fitted with.
fn deal<'n>(need: &'n Need, left: &mut [(PartIx, Quantity)], fitted: &mut Vec<(&'n Need, PartIx, Quantity)>) {
    let mut open = need.quantity;
    for (part, pieces) in left {
        let take = open.min(*pieces);
        if take > Quantity::ZERO {
            fitted.push((need, *part, take));
            *pieces = *pieces - take;
            open = open - take;
        }
    }
}

fn from_piles(
    line: &For,
    part: PartIx,
    quantity: Quantity,
    piles: &mut [BTreeMap<PartIx, Quantity>; 3],
) -> Piece {
    let mut open = quantity;
    let mut taken = [Quantity::ZERO; 3];
    for (pile, taken) in piles.iter_mut().zip(&mut taken) {
        if let Some(left) = pile.get_mut(&part) {
            *taken = open.min(*left);
            *left = *left - *taken;
            open = open - *taken;
        }
    }
    let [from_stock, from_kits, bought] = taken;
    Piece { line: line.clone(), part, quantity, from_stock, from_kits, bought, missing: open }
}
