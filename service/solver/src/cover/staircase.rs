//! What a source can bring and what that costs: a staircase of quantities, with the steps that never help left out.

use std::collections::BTreeMap;

use super::Offer;

/// One step: a quantity that can be had exactly, its price, and the purchases it is made of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Step {
    /// Pieces for loose parts, kits for kits.
    pub(super) units: i64,
    /// Prices without fixed costs.
    pub(super) cash: i64,
    /// Offers and their units, at least 1.
    pub(super) lines: Vec<(usize, i64)>,
}

/// All useful steps, rising by units, the first with none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Staircase {
    /// The steps.
    pub(super) steps: Vec<Step>,
    /// The price of a unit where the steps are 0, 1, 2 and so on at one price.
    pub(super) even_price: Option<i64>,
}

/// Which steps another step makes useless.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Dominance {
    /// A larger quantity at no more money: where surplus does not count.
    NoDearer,
    /// A larger quantity at less money: where money counts before surplus.
    Cheaper,
    /// Only more than is ever needed at no less money: where surplus counts before money.
    BeyondNeed,
}

/// The price of each unit when so many are bought.
pub(super) fn unit_price(offer: &Offer, units: i64) -> i64 {
    offer.tiers.iter().rev().find(|tier| tier.from <= units).map_or(0, |tier| tier.price)
}

/// The least quantity of at least `wanted` that is sold, if it can be had.
pub(super) fn sold_from(offer: &Offer, wanted: i64) -> Option<i64> {
    let least = wanted.max(offer.minimum).max(1);
    let units = least.checked_add(offer.pack - 1)? / offer.pack * offer.pack;
    offer.available.is_none_or(|available| units <= available).then_some(units)
}

impl Staircase {
    /// The steps of one offer: every quantity sold up to the first that is `enough`, and beyond it where a tier makes
    /// more cost less. `scale` multiplies units (the pieces a unit brings).
    pub(super) fn of_offer(at: usize, offer: &Offer, enough: i64, scale: i64, rule: Dominance) -> Self {
        let mut steps = vec![Step { units: 0, cash: 0, lines: Vec::new() }];
        if enough > 0 {
            let enough_units = (enough + scale - 1) / scale;
            let mut next = sold_from(offer, 1);
            while let Some(units) = next {
                steps.push(Self::step(at, offer, units, scale));
                next = if units >= enough_units { None } else { sold_from(offer, units + 1) };
            }
            let tiers = offer.tiers.iter().filter(|tier| tier.from > enough_units);
            for units in tiers.filter_map(|tier| sold_from(offer, tier.from)) {
                steps.push(Self::step(at, offer, units, scale));
            }
            steps.sort_by_key(|step| step.units);
            steps.dedup_by_key(|step| step.units);
        }
        Self::from_steps(steps, enough, rule)
    }

    fn step(at: usize, offer: &Offer, units: i64, scale: i64) -> Step {
        Step { units: units * scale, cash: units * unit_price(offer, units), lines: vec![(at, units)] }
    }

    /// The cheapest ways to buy from both, quantity by quantity; of equal cash the fewer lines, then the first found.
    pub(super) fn joined(&self, other: &Self, enough: i64, rule: Dominance) -> Self {
        let mut best: BTreeMap<i64, (i64, usize, usize, usize)> = BTreeMap::new();
        for (first, a) in self.steps.iter().enumerate() {
            for (second, b) in other.steps.iter().enumerate() {
                if a.units >= enough && b.units > 0 {
                    break;
                }
                let made = (a.cash + b.cash, a.lines.len() + b.lines.len(), first, second);
                let slot = best.entry(a.units + b.units).or_insert(made);
                if (made.0, made.1) < (slot.0, slot.1) {
                    *slot = made;
                }
            }
        }
        let steps = best
            .into_iter()
            .map(|(units, (cash, _, first, second))| {
                let mut lines = self.steps[first].lines.clone();
                lines.extend_from_slice(&other.steps[second].lines);
                Step { units, cash, lines }
            })
            .collect();
        Self::from_steps(steps, enough, rule)
    }

    fn from_steps(mut steps: Vec<Step>, enough: i64, rule: Dominance) -> Self {
        // Past what is ever needed only less money justifies more pieces.
        let mut least_enough = i64::MAX;
        steps.retain(|step| {
            let keep = step.units < enough || step.units == 0 || step.cash < least_enough;
            if step.units >= enough && keep {
                least_enough = step.cash;
            }
            keep
        });
        if rule != Dominance::BeyondNeed {
            let mut cheapest = i64::MAX;
            let mut keep: Vec<bool> = steps
                .iter()
                .rev()
                .map(|step| {
                    let better = match rule {
                        Dominance::NoDearer => step.cash < cheapest,
                        _ => step.cash <= cheapest,
                    };
                    cheapest = cheapest.min(step.cash);
                    better || step.units == 0
                })
                .collect();
            keep.reverse();
            let mut kept = keep.iter();
            steps.retain(|_| kept.next() == Some(&true));
        }
        let even_price = steps.get(1).map(|step| step.cash).filter(|&price| {
            let even =
                |(at, step): (usize, &Step)| step.units == at as i64 && step.cash == price * step.units;
            steps.iter().enumerate().all(even)
        });
        Self { steps, even_price }
    }

    /// The largest quantity.
    pub(super) fn most(&self) -> i64 {
        self.steps.last().map_or(0, |step| step.units)
    }

    /// The step of exactly this quantity.
    pub(super) fn exactly(&self, units: i64) -> Option<&Step> {
        self.steps.binary_search_by_key(&units, |step| step.units).ok().map(|at| &self.steps[at])
    }

    /// The steps between two quantities, both included.
    pub(super) fn between(&self, lo: i64, hi: i64) -> &[Step] {
        let start = self.steps.partition_point(|step| step.units < lo);
        let end = self.steps.partition_point(|step| step.units <= hi);
        self.steps.get(start..end.max(start)).unwrap_or(&[])
    }
}

/// The corners of the lower convex hull of some steps, as positions in the slice.
pub(super) fn lower_hull(steps: &[Step]) -> Vec<usize> {
    let mut hull: Vec<usize> = Vec::new();
    for (at, step) in steps.iter().enumerate() {
        while let [.., before, last] = hull[..] {
            let (a, b) = (&steps[before], &steps[last]);
            let turn = i128::from(b.cash - a.cash) * i128::from(step.units - a.units)
                - i128::from(step.cash - a.cash) * i128::from(b.units - a.units);
            if turn < 0 {
                break;
            }
            hull.pop();
        }
        hull.push(at);
    }
    hull
}

#[cfg(test)]
mod tests {
    use super::super::Tier;
    use super::*;

    fn offer(pack: i64, minimum: i64, tiers: &[(i64, i64)], available: Option<i64>) -> Offer {
        let tiers = tiers.iter().map(|&(from, price)| Tier { from, price }).collect();
        Offer { contents: vec![(0, 1)], pack, minimum, tiers, available, ..Offer::default() }
    }

    fn shape(stairs: &Staircase) -> Vec<(i64, i64)> {
        stairs.steps.iter().map(|step| (step.units, step.cash)).collect()
    }

    #[test]
    fn a_tier_that_makes_more_cost_less_drops_the_dearer_steps() {
        let offer = offer(1, 0, &[(1, 10), (5, 6)], None);
        let stairs = Staircase::of_offer(0, &offer, 4, 1, Dominance::Cheaper);
        assert_eq!(shape(&stairs), [(0, 0), (1, 10), (2, 20), (3, 30), (5, 30)]);
        let stairs = Staircase::of_offer(0, &offer, 4, 1, Dominance::NoDearer);
        assert_eq!(shape(&stairs), [(0, 0), (1, 10), (2, 20), (5, 30)]);
    }

    #[test]
    fn packs_and_a_minimum_bound_what_is_sold() {
        let offer = offer(4, 6, &[(1, 10)], Some(15));
        let stairs = Staircase::of_offer(0, &offer, 20, 1, Dominance::Cheaper);
        assert_eq!(shape(&stairs), [(0, 0), (8, 80), (12, 120)]);
        assert_eq!(stairs.most(), 12);
    }

    #[test]
    fn two_offers_join_to_the_cheapest_mix() {
        let packs = Staircase::of_offer(0, &offer(3, 0, &[(1, 2)], None), 4, 1, Dominance::Cheaper);
        let single = Staircase::of_offer(1, &offer(1, 0, &[(1, 5)], Some(2)), 4, 1, Dominance::Cheaper);
        let both = packs.joined(&single, 4, Dominance::Cheaper);
        assert_eq!(shape(&both), [(0, 0), (1, 5), (3, 6), (4, 11)]);
        assert_eq!(both.steps[3].lines, [(0, 3), (1, 1)]);
    }

    #[test]
    fn the_hull_keeps_only_convex_corners() {
        let steps: Vec<Step> = [(0, 0), (1, 9), (2, 10), (3, 20), (4, 22)]
            .iter()
            .map(|&(units, cash)| Step { units, cash, lines: Vec::new() })
            .collect();
        assert_eq!(lower_hull(&steps), [0, 2, 4]);
    }
}
