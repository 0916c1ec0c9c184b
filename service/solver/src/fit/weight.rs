//! A cost packed into one unsigned integer, so that the lexicographic comparison is one machine comparison.

use std::fmt::Debug;

use super::invalid::{CostPart, InvalidProblem};
use super::problem::{Cost, Problem};

/// An unsigned integer wide enough for the packed costs of one problem.
pub(super) trait Weight: Copy + Ord + Debug + Default {
    /// The cost of what is forbidden; above every sum of allowed costs.
    const FORBIDDEN: Self;

    /// Adds; anything plus [`Self::FORBIDDEN`] stays forbidden.
    fn plus(self, other: Self) -> Self;
    /// Takes away a part that was added before.
    fn minus(self, part: Self) -> Self;
    /// From the full width; the scale has made sure that it fits.
    fn narrow(packed: u128) -> Self;
    /// To the full width.
    fn widen(self) -> u128;
}

impl Weight for u64 {
    const FORBIDDEN: Self = Self::MAX;

    #[inline]
    fn plus(self, other: Self) -> Self {
        self.saturating_add(other)
    }

    #[inline]
    fn minus(self, part: Self) -> Self {
        self.saturating_sub(part)
    }

    #[inline]
    fn narrow(packed: u128) -> Self {
        packed as Self
    }

    #[inline]
    fn widen(self) -> u128 {
        u128::from(self)
    }
}

impl Weight for u128 {
    const FORBIDDEN: Self = Self::MAX;

    #[inline]
    fn plus(self, other: Self) -> Self {
        self.saturating_add(other)
    }

    #[inline]
    fn minus(self, part: Self) -> Self {
        self.saturating_sub(part)
    }

    #[inline]
    fn narrow(packed: u128) -> Self {
        packed
    }

    #[inline]
    fn widen(self) -> u128 {
        self
    }
}

/// Which parts of the cost are looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Aim {
    /// Changes, unverified joints and money.
    Full,
    /// Changes and unverified joints; money is free.
    Fewest,
    /// Whether there is an assignment at all.
    Any,
}

/// How many bits each part of the cost takes, and where money starts.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scale {
    aim: Aim,
    unverified_shift: u32,
    changes_shift: u32,
    bits: u32,
    /// The sum of the least money of each variable; packed money counts from here.
    base_money: i64,
}

impl Scale {
    /// Measures the largest sums of the problem. `unverified` is the largest sum that its constraints can add.
    pub(super) fn of(problem: &Problem, unverified: u64, aim: Aim) -> Result<Self, InvalidProblem> {
        let mut changes = 0_u64;
        let mut unverified = unverified;
        let (mut least, mut most) = (0_i128, 0_i128);
        for values in &problem.variables {
            let Some(first) = values.first() else { continue };
            let mut top = first.cost;
            let mut low = first.cost.money;
            for value in &values[1..] {
                top.changes = top.changes.max(value.cost.changes);
                top.unverified = top.unverified.max(value.cost.unverified);
                top.money = top.money.max(value.cost.money);
                low = low.min(value.cost.money);
            }
            changes += u64::from(top.changes);
            unverified += u64::from(top.unverified);
            least += i128::from(low);
            most += i128::from(top.money);
        }
        if changes > u64::from(u32::MAX) {
            return Err(InvalidProblem::CostOverflow { part: CostPart::Changes });
        }
        if unverified > u64::from(u32::MAX) {
            return Err(InvalidProblem::CostOverflow { part: CostPart::Unverified });
        }
        let overflow = InvalidProblem::CostOverflow { part: CostPart::Money };
        let base_money = i64::try_from(least).map_err(|_| overflow)?;
        i64::try_from(most).map_err(|_| overflow)?;
        let money = i64::try_from(most - least).map_err(|_| overflow)?;
        let width = |largest: u64| 64 - largest.leading_zeros();
        let (money_bits, unverified_bits, changes_bits) = match aim {
            Aim::Full => (width(money.unsigned_abs()), width(unverified), width(changes)),
            Aim::Fewest => (0, width(unverified), width(changes)),
            Aim::Any => (0, 0, 0),
        };
        Ok(Self {
            aim,
            unverified_shift: money_bits,
            changes_shift: money_bits + unverified_bits,
            bits: money_bits + unverified_bits + changes_bits,
            base_money,
        })
    }

    /// Whether sums stay clear of the ends of 64 bits, signed differences included.
    pub(super) fn fits_64_bits(&self) -> bool {
        self.bits <= 62
    }

    /// Packs the cost of one value whose variable has the given least money.
    #[inline]
    pub(super) fn pack<W: Weight>(&self, cost: Cost, least_money: i64) -> W {
        match self.aim {
            Aim::Full => {
                let money = (i128::from(cost.money) - i128::from(least_money)) as u128;
                W::narrow(
                    (u128::from(cost.changes) << self.changes_shift)
                        + self.unverified_bits(cost.unverified)
                        + money,
                )
            }
            Aim::Fewest => W::narrow(
                (u128::from(cost.changes) << self.changes_shift) + self.unverified_bits(cost.unverified),
            ),
            Aim::Any => W::default(),
        }
    }

    #[inline]
    fn unverified_bits(&self, count: u32) -> u128 {
        u128::from(count) << self.unverified_shift
    }

    /// Packs a count of unverified joints.
    #[inline]
    pub(super) fn unverified<W: Weight>(&self, count: u32) -> W {
        if self.aim == Aim::Any { W::default() } else { W::narrow(self.unverified_bits(count)) }
    }

    /// The cost a packed total stands for. Money of an aim without money is zero.
    pub(super) fn unpack<W: Weight>(&self, total: W) -> Cost {
        let total = total.widen();
        let part = |from: u32, to: u32| (total >> from) & ((1_u128 << (to - from)) - 1);
        Cost {
            changes: part(self.changes_shift, 127) as u32,
            unverified: part(self.unverified_shift, self.changes_shift) as u32,
            money: match self.aim {
                Aim::Full => (i128::from(self.base_money) + part(0, self.unverified_shift) as i128) as i64,
                Aim::Fewest | Aim::Any => 0,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::problem::Value;

    fn one(costs: &[Cost]) -> Problem {
        Problem { variables: vec![costs.iter().map(|&cost| Value { cost }).collect()], ..Problem::default() }
    }

    #[test]
    fn packing_keeps_the_order_and_the_figures() {
        let costs = [
            Cost { changes: 0, unverified: 3, money: 900 },
            Cost { changes: 1, unverified: 0, money: -500 },
            Cost { changes: 1, unverified: 1, money: -500 },
            Cost { changes: 1, unverified: 1, money: 0 },
        ];
        let scale = Scale::of(&one(&costs), 0, Aim::Full).unwrap();
        assert!(scale.fits_64_bits());
        let packed: Vec<u64> = costs.iter().map(|&cost| scale.pack(cost, -500)).collect();
        assert!(packed.is_sorted());
        for (cost, packed) in costs.iter().zip(packed) {
            assert_eq!(scale.unpack(packed), *cost);
        }
    }

    #[test]
    fn the_largest_figures_fit_into_128_bits_and_more_is_refused() {
        let largest = Cost { changes: u32::MAX, unverified: u32::MAX, money: i64::MAX };
        let scale = Scale::of(&one(&[largest, Cost::default()]), 0, Aim::Full).unwrap();
        assert!(!scale.fits_64_bits());
        assert_eq!(scale.unpack(scale.pack::<u128>(largest, 0)), largest);

        let refused = |problem: &Problem, part| {
            assert_eq!(Scale::of(problem, 0, Aim::Full).unwrap_err(), InvalidProblem::CostOverflow { part });
        };
        refused(&one(&[largest, Cost { money: -1, ..Cost::default() }]), CostPart::Money);
        let mut two = one(&[Cost { changes: u32::MAX, ..Cost::default() }]);
        two.variables.push(two.variables[0].clone());
        refused(&two, CostPart::Changes);
        assert!(Scale::of(&one(&[largest]), 1, Aim::Full).is_err());
    }
}
