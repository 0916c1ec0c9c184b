//! Mean, percentiles and effects of single findings over priced outcomes.

use catalogue::Money;

use super::bounds::{Bounds, Rest};
use super::outcomes::{Outcome, Space};
use super::{FindingEffect, OutcomePrice, RangeFigures};

/// Sums of likelihoods may miss a whole by this much.
const ROUNDING: f64 = 1e-9;

/// An outcome with its price.
pub(super) struct PricedOutcome {
    pub(super) likelihood: f64,
    pub(super) price: OutcomePrice,
}

/// All that were answered, and what is known of the rest.
pub(super) struct Spread<'s> {
    pub(super) priced: &'s [PricedOutcome],
    pub(super) covered: f64,
    /// Bounds of every outcome; `None`: there is no rest.
    pub(super) rest: Option<Rest>,
}

fn money(raw: f64) -> Money {
    // Amounts lie far below 2^53 ten-thousandths, so the nearest whole one is exact enough to be told.
    Money::from_raw(raw.round() as i64)
}

impl Spread<'_> {
    /// The figures of one amount.
    pub(super) fn figures(
        &self,
        certain: Money,
        amount: impl Fn(&OutcomePrice) -> Money,
        of_rest: impl Fn(&Rest) -> Bounds,
    ) -> RangeFigures {
        let mut sorted: Vec<(Money, f64)> =
            self.priced.iter().map(|outcome| (amount(&outcome.price), outcome.likelihood)).collect();
        sorted.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| b.1.total_cmp(&a.1)));
        let rest = self.rest.as_ref().map(of_rest);
        let mean: f64 = sorted.iter().map(|(amount, likelihood)| amount.raw() as f64 * likelihood).sum();
        let expected = |rest: Option<Money>| {
            money(mean + rest.map_or(0.0, |amount| amount.raw() as f64 * (1.0 - self.covered).max(0.0)))
        };
        let at = |share: f64| Bounds {
            lower: percentile(&sorted, rest.as_ref().map(|rest| (rest.lower, 1.0 - self.covered)), share),
            upper: percentile(&sorted, rest.as_ref().map(|rest| (rest.upper, 1.0 - self.covered)), share),
        };
        let dearest = sorted.last().map_or(certain, |(amount, _)| *amount);
        RangeFigures {
            certain,
            expected: Bounds {
                lower: expected(rest.as_ref().map(|rest| rest.lower)),
                upper: expected(rest.as_ref().map(|rest| rest.upper)),
            },
            median: at(0.5),
            ninetieth: at(0.9),
            worst: Bounds { lower: dearest, upper: rest.map_or(dearest, |rest| rest.upper.max(dearest)) },
        }
    }

    /// What each weak point does.
    pub(super) fn effects(&self, space: &Space<'_>, outcomes: &[Outcome]) -> Vec<FindingEffect> {
        let mut effects = Vec::new();
        for (g, group) in space.groups.iter().enumerate() {
            for (at, point) in group.points.iter().enumerate() {
                let likelihood: f64 = group.ways.iter().map(|way| way.found[at]).sum();
                let shares: Vec<f64> = outcomes
                    .iter()
                    .map(|outcome| {
                        let way = &group.ways[outcome.ways[g]];
                        if way.likelihood > 0.0 { way.found[at] / way.likelihood } else { 0.0 }
                    })
                    .collect();
                let of = |amount: &dyn Fn(&OutcomePrice) -> Money, rest: Option<Bounds>| {
                    let with = self.given(amount, rest.as_ref(), likelihood, &shares);
                    let without: Vec<f64> = shares.iter().map(|share| 1.0 - share).collect();
                    (with, self.given(amount, rest.as_ref(), 1.0 - likelihood, &without))
                };
                let (cash_with, cash_without) =
                    of(&|price| price.cash, self.rest.as_ref().map(|r| r.cash.clone()));
                let (net_with, net_without) =
                    of(&|price| price.net, self.rest.as_ref().map(|r| r.net.clone()));
                effects.push(FindingEffect {
                    unit_index: group.unit,
                    unit: point.unit.clone(),
                    weak_point: point.weak_point.clone(),
                    position: point.position.clone(),
                    finding: point.finding,
                    likelihood,
                    cash_difference: difference(cash_with.as_ref(), cash_without.as_ref()),
                    net_difference: difference(net_with.as_ref(), net_without.as_ref()),
                    cash_with,
                    cash_without,
                });
            }
        }
        effects
    }

    /// The mean of an amount given something that holds in a share of each outcome, and of likelihood `whole` in all.
    fn given(
        &self,
        amount: &dyn Fn(&OutcomePrice) -> Money,
        rest: Option<&Bounds>,
        whole: f64,
        shares: &[f64],
    ) -> Option<Bounds> {
        if whole <= ROUNDING {
            return None;
        }
        let (mut sum, mut mass) = (0.0, 0.0);
        for (outcome, share) in self.priced.iter().zip(shares) {
            sum += amount(&outcome.price).raw() as f64 * outcome.likelihood * share;
            mass += outcome.likelihood * share;
        }
        let Some(rest) = rest else {
            let mean = money(sum / mass);
            return Some(Bounds { lower: mean, upper: mean });
        };
        let left = (whole - mass).max(0.0);
        let mean = |rest: Money| money((sum + rest.raw() as f64 * left) / whole);
        Some(Bounds { lower: mean(rest.lower), upper: mean(rest.upper) })
    }
}

fn difference(with: Option<&Bounds>, without: Option<&Bounds>) -> Option<Bounds> {
    with.zip(without).map(|(with, without)| Bounds {
        lower: with.lower - without.upper,
        upper: with.upper - without.lower,
    })
}

/// The least amount that a share of all stays at or below; the rest counts at one amount.
fn percentile(sorted: &[(Money, f64)], rest: Option<(Money, f64)>, share: f64) -> Money {
    let mut all: Vec<(Money, f64)> = sorted.to_vec();
    all.extend(rest);
    all.sort_by_key(|(amount, _)| *amount);
    let mut below = 0.0;
    for (amount, likelihood) in &all {
        below += likelihood;
        if below >= share - ROUNDING {
            return *amount;
        }
    }
    all.last().map_or(Money::ZERO, |(amount, _)| *amount)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn amounts(list: &[(i64, f64)]) -> Vec<(Money, f64)> {
        list.iter().map(|(amount, p)| (Money::from_raw(*amount), *p)).collect()
    }

    #[test]
    fn a_percentile_is_an_amount_that_can_be() {
        let sorted = amounts(&[(10, 0.5), (20, 0.3), (90, 0.2)]);
        let raw = |share| percentile(&sorted, None, share).raw();
        assert_eq!((raw(0.5), raw(0.51), raw(0.8), raw(0.9)), (10, 20, 20, 90));
    }

    #[test]
    fn the_rest_counts_where_its_bound_lies() {
        let sorted = amounts(&[(10, 0.5), (20, 0.3)]);
        let raw = |bound| percentile(&sorted, Some((Money::from_raw(bound), 0.2)), 0.5).raw();
        assert_eq!((raw(0), raw(15), raw(99)), (10, 10, 10));
        let raw = |bound| percentile(&sorted, Some((Money::from_raw(bound), 0.2)), 0.9).raw();
        assert_eq!((raw(0), raw(99)), (20, 99));
    }
}
