//! Which suppliers cannot be done without: for each demand those that sell something for it.
//!
//! Whatever the plan, of each such set at least one supplier is used. A least choice that meets all sets bounds the
//! number of suppliers, and a cheapest one the fixed costs, before any search.

use super::classes::{Demands, Owner};
use super::source::{Mask, Sources};
use super::{Problem, StockPolicy};

/// Sets of suppliers of each of which one at least is used.
#[derive(Debug, Clone, Default)]
pub(super) struct SupplierSets {
    sets: Vec<Mask>,
}

impl SupplierSets {
    /// The sets of the demands that always hold and that stock cannot serve alone.
    pub(super) fn of(problem: &Problem, demands: &Demands, sources: &Sources) -> Self {
        let mut sellers: Vec<Option<Mask>> = vec![Some(0); demands.classes.len()];
        for source in &sources.list {
            for &(class, _) in &source.brings {
                for &offer in &source.offers {
                    let mask = sources.mask_of(problem, offer);
                    // A supplier whose use does not matter makes the class free of all others.
                    sellers[class] = sellers[class].filter(|_| mask != 0).map(|all| all | mask);
                }
            }
        }
        let mut sets: Vec<Mask> = Vec::new();
        for demand in &demands.demands {
            let free: i64 = demand.classes.iter().map(|&class| demands.classes[class].free()).sum();
            let stocked = problem.policy != StockPolicy::None && free >= demand.quantity;
            if stocked || !matches!(demand.owner, Owner::Always(_)) {
                continue;
            }
            if let Some(set) = demand.classes.iter().try_fold(0, |all, &class| Some(all | sellers[class]?)) {
                sets.push(set);
            }
        }
        sets.sort_unstable_by_key(|set| (set.count_ones(), *set));
        sets.dedup();
        let mut least: Vec<Mask> = Vec::new();
        for set in sets {
            if !least.iter().any(|inner| inner & set == *inner) {
                least.push(set);
            }
        }
        Self { sets: least }
    }

    /// The least weight of further suppliers, none of them closed, that with the open ones meet every set; `None` if
    /// a set has no supplier left.
    pub(super) fn least_weight(&self, open: Mask, closed: Mask, weight: &dyn Fn(u32) -> i64) -> Option<i64> {
        if self.sets.iter().any(|set| set & !closed == 0) {
            return None;
        }
        let mut unmet: Vec<Mask> =
            self.sets.iter().filter(|set| *set & open == 0).map(|set| set & !closed).collect();
        unmet.sort_unstable_by_key(|set| (set.count_ones(), *set));
        let mut steps = STEPS;
        let mut best = i64::MAX;
        meet(&unmet, 0, 0, weight, &mut best, &mut steps);
        // Cut short, the sets with one supplier alone still count.
        let alone = || {
            let mut single = unmet.iter().filter(|set| set.count_ones() == 1).fold(0, |all, set| all | set);
            let mut sum = 0;
            while single != 0 {
                sum += weight(single.trailing_zeros());
                single &= single - 1;
            }
            sum
        };
        Some(if steps == 0 { alone() } else { best })
    }
}

/// The most steps of the search for a least choice.
const STEPS: u32 = 2000;

fn meet(
    unmet: &[Mask],
    chosen: Mask,
    sum: i64,
    weight: &dyn Fn(u32) -> i64,
    best: &mut i64,
    steps: &mut u32,
) {
    if sum >= *best || *steps == 0 {
        return;
    }
    *steps -= 1;
    let Some(at) = unmet.iter().position(|set| set & chosen == 0) else {
        *best = sum;
        return;
    };
    let mut left = unmet[at];
    while left != 0 {
        let bit = left.trailing_zeros();
        left &= left - 1;
        meet(&unmet[at + 1..], chosen | 1 << bit, sum + weight(bit), weight, best, steps);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cheapest_choice_that_meets_all_sets() {
        let sets = SupplierSets { sets: vec![0b001, 0b110, 0b101] };
        let fixed = [5, 9, 4];
        let weight = |bit: u32| fixed[bit as usize];
        assert_eq!(sets.least_weight(0, 0, &weight), Some(9));
        assert_eq!(sets.least_weight(0, 0, &|_| 1), Some(2));
        assert_eq!(sets.least_weight(0b010, 0, &weight), Some(5));
        assert_eq!(sets.least_weight(0, 0b001, &weight), None);
    }
}
