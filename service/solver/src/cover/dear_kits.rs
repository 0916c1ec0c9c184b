//! Kits that no best plan buys, as other purchases bring what they are needed for at less money.
//!
//! A popular bearing lies in the kits of many units. Most of these kits bring nothing else that is needed, and would only widen the
//! search. A kit is left out where loose pieces, or a cheaper kit and loose pieces, stand in for every piece of it that
//! is ever needed, for strictly less: whatever plan buys the kit is beaten by the plan with these instead. Both bring the same to
//! every class up to what is needed, so choices, splits and stock stay as they were, and no more is left over.

use std::collections::{BTreeMap, BTreeSet};

use super::{Offer, Problem};

/// A loose piece that can be had one by one in any number.
#[derive(Clone, Copy)]
struct Piece {
    supplier: usize,
    price: i64,
}

/// A kit with what of it is ever needed.
struct Kit {
    offer: usize,
    supplier: usize,
    /// Class and pieces of one box, no more than are ever needed, rising by class.
    brings: BTreeMap<usize, i64>,
    /// The least that a box costs in any number.
    least: i64,
    /// What a box costs at most, if it is sold one by one in any number.
    at_most: Option<i64>,
}

/// What purchases are judged by.
pub(super) struct DearKits<'p> {
    problem: &'p Problem,
    pieces: BTreeMap<usize, Vec<Piece>>,
    /// Whether stand-ins may come from other suppliers: where money counts first, at the fixed costs of these.
    anywhere: bool,
}

/// What one unit of an offer costs at most, where any number of it is sold.
fn one_by_one(offer: &Offer) -> Option<i64> {
    let sold = offer.pack == 1 && offer.minimum <= 1 && offer.available.is_none();
    let dearest = offer.tiers.iter().map(|tier| tier.price).max();
    dearest.filter(|_| sold && offer.tiers.first().is_some_and(|tier| tier.from <= 1))
}

impl<'p> DearKits<'p> {
    /// With the loose offers of each class.
    pub(super) fn new(problem: &'p Problem, loose: &BTreeMap<usize, Vec<usize>>, anywhere: bool) -> Self {
        let piece = |at: &usize| {
            let offer = &problem.offers[*at];
            let single = matches!(offer.contents[..], [(_, 1)]);
            one_by_one(offer).filter(|_| single).map(|price| Piece { supplier: offer.supplier, price })
        };
        let pieces = |offers: &Vec<usize>| offers.iter().filter_map(piece).collect();
        Self {
            problem,
            pieces: loose.iter().map(|(class, offers)| (*class, pieces(offers))).collect(),
            anywhere,
        }
    }

    /// Those of some offers that no best plan buys. `brings` gives class and pieces of each that are ever needed.
    pub(super) fn among(
        &self,
        offers: &[usize],
        brings: impl Fn(usize) -> BTreeMap<usize, i64>,
    ) -> BTreeSet<usize> {
        let mut dear = BTreeSet::new();
        let mut kits: Vec<Kit> = Vec::new();
        for &at in offers {
            let offer = &self.problem.offers[at];
            let kit = Kit {
                offer: at,
                supplier: offer.supplier,
                brings: brings(at),
                least: offer.tiers.iter().map(|tier| tier.price).min().unwrap_or(0),
                at_most: one_by_one(offer),
            };
            if self.loose_for_less(&kit) {
                dear.insert(at);
            } else {
                kits.push(kit);
            }
        }
        let mut holding: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (at, kit) in kits.iter().enumerate().filter(|(_, kit)| kit.at_most.is_some()) {
            kit.brings.keys().for_each(|class| holding.entry(*class).or_default().push(at));
        }
        for (at, kit) in kits.iter().enumerate() {
            let beside = kit.brings.keys().filter_map(|class| holding.get(class)).flatten();
            let others: BTreeSet<usize> = beside.copied().filter(|other| *other != at).collect();
            if others.iter().any(|other| self.other_for_less(kit, &kits[*other])) {
                dear.insert(kit.offer);
            }
        }
        dear
    }

    fn loose_for_less(&self, kit: &Kit) -> bool {
        let all = kit.brings.iter().map(|(class, pieces)| (*class, *pieces));
        self.costs_less(all, &[kit.supplier], kit.least)
    }

    /// Whether another kit, and loose pieces for the rest, cost less.
    fn other_for_less(&self, kit: &Kit, other: &Kit) -> bool {
        let Some(price) = other.at_most.filter(|price| *price < kit.least) else { return false };
        let same = other.supplier == kit.supplier;
        if !same && !self.anywhere {
            return false;
        }
        let fixed = if same { 0 } else { self.problem.suppliers[other.supplier].fixed_cost };
        let rest = kit.brings.iter().filter_map(|(class, pieces)| {
            let rest = pieces - other.brings.get(class).copied().unwrap_or(0);
            (rest > 0).then_some((*class, rest))
        });
        let left = kit.least.saturating_sub(price).saturating_sub(fixed);
        self.costs_less(rest, &[kit.supplier, other.supplier], left)
    }

    /// Whether loose pieces cost less than an amount: of suppliers that are bought from anyway, or of any with their fixed costs.
    fn costs_less(
        &self,
        wanted: impl Iterator<Item = (usize, i64)> + Clone,
        known: &[usize],
        amount: i64,
    ) -> bool {
        self.cost(wanted.clone(), |supplier| known.contains(&supplier)).is_some_and(|(cost, _)| cost < amount)
            || (self.anywhere
                && self.cost(wanted, |_| true).is_some_and(|(cost, suppliers)| {
                    let new = suppliers.iter().filter(|supplier| !known.contains(supplier));
                    let fixed = new.map(|supplier| self.problem.suppliers[*supplier].fixed_cost);
                    fixed.fold(cost, i64::saturating_add) < amount
                }))
    }

    /// What pieces cost, each where it is cheapest, and whom they come from; `None` where one cannot be had.
    fn cost(
        &self,
        wanted: impl Iterator<Item = (usize, i64)>,
        allowed: impl Fn(usize) -> bool,
    ) -> Option<(i64, BTreeSet<usize>)> {
        let (mut sum, mut suppliers) = (0_i64, BTreeSet::new());
        for (class, pieces) in wanted {
            let offers = self.pieces.get(&class)?.iter().filter(|piece| allowed(piece.supplier));
            let cheapest = offers.min_by_key(|piece| (piece.price, piece.supplier))?;
            sum = sum.saturating_add(cheapest.price.saturating_mul(pieces));
            suppliers.insert(cheapest.supplier);
        }
        Some((sum, suppliers))
    }
}
