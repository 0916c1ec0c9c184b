//! What a source can bring and what that costs: a staircase of quantities, with the steps that never help left out.

use std::collections::BTreeMap;

use super::Offer;
use super::program::greatest_common_divisor;

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

/// A stretch of the lower hull of some steps: what a relaxation may take of a source in any part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Segment {
    /// Units from one corner to the next.
    pub(super) units: i64,
    /// How many of them serve something.
    pub(super) serves: i64,
    /// How many of them are counted as bought at least.
    pub(super) pieces: i64,
    /// Their price.
    pub(super) cash: i64,
}

impl Segment {
    /// Units at a price that all serve something.
    pub(super) fn even(units: i64, cash: i64) -> Self {
        Self { units, serves: units, pieces: units, cash }
    }

    /// Whether it is a single unit that serves.
    pub(super) fn is_one(self) -> bool {
        self.units == 1 && self.serves == 1 && self.pieces == 1
    }
}

/// The segments of the lower hull of some steps, each with how often it can be taken. More than `enough` units serve no
/// more than `enough`: a pack of five for a need of one is paid in full for that one, not by the fifth.
pub(super) fn segments(steps: &[Step], enough: i64) -> Vec<(Segment, i64)> {
    let serves = |at: usize| steps[at].units.min(enough);
    // The first step that serves as much as this one: plans may stop there.
    let first_like = |at: usize| steps.partition_point(|step| step.units.min(enough) < serves(at));
    lower_hull(steps, enough)
        .windows(2)
        .map(|pair| {
            let (from, to) = (pair[0], pair[1]);
            let units = steps[to].units - steps[from].units;
            let served = serves(to) - serves(from);
            let least = first_like(to);
            // Between the corners a step may bring less than the straight line does; what serves, it brings in any case.
            let pieces = if least == from + 1 { steps[least].units - steps[from].units } else { served };
            let cash = steps[to].cash - steps[from].cash;
            if units == served && pieces == served {
                let times = greatest_common_divisor(units, cash);
                (Segment::even(units / times, cash / times), times)
            } else {
                (Segment { units, serves: served, pieces, cash }, 1)
            }
        })
        .collect()
}

/// The corners of the lower convex hull of some steps by what serves, as positions in the slice.
fn lower_hull(steps: &[Step], enough: i64) -> Vec<usize> {
    let mut hull: Vec<usize> = Vec::new();
    for (at, step) in steps.iter().enumerate() {
        let serves = step.units.min(enough);
        let known = hull.last().map(|&last| &steps[last]);
        if known.is_some_and(|last| last.units.min(enough) == serves && last.cash <= step.cash) {
            continue;
        }
        while let [.., before, last] = hull[..] {
            let (a, b) = (&steps[before], &steps[last]);
            let (from, to) = (a.units.min(enough), b.units.min(enough));
            let turn = i128::from(b.cash - a.cash) * i128::from(serves - from)
                - i128::from(step.cash - a.cash) * i128::from(to - from);
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
        assert_eq!(lower_hull(&steps, i64::MAX), [0, 2, 4]);
        // A fourth and a fifth serve nothing, so what is saved by them counts for the third.
        assert_eq!(lower_hull(&steps, 3), [0, 2, 3]);
    }

    #[test]
    fn a_pack_is_paid_for_by_what_serves() {
        let offer = offer(5, 0, &[(1, 10), (10, 4)], None);
        let stairs = Staircase::of_offer(0, &offer, 2, 1, Dominance::BeyondNeed);
        assert_eq!(shape(&stairs), [(0, 0), (5, 50), (10, 40)]);
        let all = segments(&stairs.steps, 2);
        // Five at least are bought, ten are cheaper, and two serve.
        assert_eq!(all, [(Segment { units: 10, serves: 2, pieces: 5, cash: 40 }, 1)]);
        let late = segments(&stairs.steps[1..], 2);
        assert_eq!(late, [(Segment { units: 5, serves: 0, pieces: 0, cash: -10 }, 1)]);
        assert_eq!(segments(&stairs.steps, 20), [(Segment::even(1, 4), 10)]);
    }
}
