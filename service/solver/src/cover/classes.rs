//! Demands and the classes of parts that serve the same ones.
//!
//! Parts accepted by exactly the same demands are one class: it does not matter which of them is bought. Parts with
//! a credit stay apart, and so do parts on the shelf under stock policy *first*, as their use is counted part by part.

use std::collections::BTreeMap;

use super::{Need, Problem, StockPolicy};

/// Where a demand stands in the problem.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Owner {
    /// A need of the branch itself.
    Always(usize),
    /// A need of a value of a choice.
    If {
        /// The choice.
        choice: usize,
        /// Its value.
        value: usize,
        /// The need of that value.
        need: usize,
    },
}

/// A need with a quantity, and the classes that serve it.
#[derive(Debug, Clone)]
pub(super) struct Demand {
    /// The branch it belongs to.
    pub(super) branch: usize,
    /// Where it stands.
    pub(super) owner: Owner,
    /// Pieces, at least 1.
    pub(super) quantity: i64,
    /// Classes that serve it, rising.
    pub(super) classes: Vec<usize>,
}

/// Free stock of one part of a class.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lot {
    /// The part.
    pub(super) part: usize,
    /// Free pieces, at least 1.
    pub(super) free: i64,
    /// What a piece is carried at.
    pub(super) carrying_value: i64,
}

/// Parts that serve the same demands.
#[derive(Debug, Clone, Default)]
pub(super) struct Class {
    /// The parts, rising.
    pub(super) parts: Vec<usize>,
    /// Stock that may be used, the least carrying value first. Under policy *first* at most one.
    pub(super) lots: Vec<Lot>,
    /// Whether the parts earn a credit (then there is one part).
    pub(super) credit: i64,
}

impl Class {
    /// Free pieces in sum.
    pub(super) fn free(&self) -> i64 {
        self.lots.iter().fold(0, |sum: i64, lot| sum.saturating_add(lot.free))
    }
}

/// Demands, classes, and the class of each part.
#[derive(Debug, Clone, Default)]
pub(super) struct Demands {
    /// The demands in the order of the problem.
    pub(super) demands: Vec<Demand>,
    /// The classes.
    pub(super) classes: Vec<Class>,
    /// The class of each part, `None` for parts nothing needs.
    pub(super) class_of: Vec<Option<usize>>,
}

impl Demands {
    /// Reads demands and classes off the problem.
    pub(super) fn of(problem: &Problem) -> Self {
        let mut found = Self::default();
        let mut accepted_by: Vec<Vec<u32>> = vec![Vec::new(); problem.parts.len()];
        let mut accepts: Vec<&Need> = Vec::new();
        for (branch, held) in problem.branches.iter().enumerate() {
            for (at, need) in held.needs.iter().enumerate() {
                found.add(branch, Owner::Always(at), need, &mut accepts);
            }
            for (choice, open) in held.choices.iter().enumerate() {
                for (value, chosen) in open.values.iter().enumerate() {
                    for (at, need) in chosen.needs.iter().enumerate() {
                        found.add(branch, Owner::If { choice, value, need: at }, need, &mut accepts);
                    }
                }
            }
        }
        for (demand, need) in accepts.iter().enumerate() {
            for &part in &need.accepts {
                if accepted_by[part].last() != Some(&(demand as u32)) {
                    accepted_by[part].push(demand as u32);
                }
            }
        }
        found.class_of = vec![None; problem.parts.len()];
        let mut by_demands: BTreeMap<(&[u32], usize), usize> = BTreeMap::new();
        for (part, demands) in accepted_by.iter().enumerate() {
            if demands.is_empty() {
                continue;
            }
            let held = &problem.parts[part];
            let apart = held.credit > 0 || (problem.policy == StockPolicy::First && held.free_stock > 0);
            let key = (demands.as_slice(), if apart { part + 1 } else { 0 });
            let class = *by_demands.entry(key).or_insert_with(|| {
                found.classes.push(Class::default());
                found.classes.len() - 1
            });
            found.class_of[part] = Some(class);
            let class = &mut found.classes[class];
            class.parts.push(part);
            class.credit = held.credit;
            if held.free_stock > 0 && problem.policy != StockPolicy::None {
                let (free, carrying_value) = (held.free_stock, held.carrying_value);
                class.lots.push(Lot { part, free, carrying_value });
            }
        }
        for class in &mut found.classes {
            class.lots.sort_by_key(|lot| (lot.carrying_value, lot.part));
        }
        for (demand, need) in found.demands.iter_mut().zip(&accepts) {
            demand.classes = need.accepts.iter().filter_map(|&part| found.class_of[part]).collect();
            demand.classes.sort_unstable();
            demand.classes.dedup();
        }
        found
    }

    fn add<'a>(&mut self, branch: usize, owner: Owner, need: &'a Need, accepts: &mut Vec<&'a Need>) {
        if need.quantity > 0 {
            self.demands.push(Demand { branch, owner, quantity: need.quantity, classes: Vec::new() });
            accepts.push(need);
        }
    }

    /// For each branch and class the most pieces that can be fitted, rows of classes by branch. Of the values of one
    /// choice only the most demanding counts, as only one holds.
    pub(super) fn most_fitted(&self, branches: usize) -> Vec<Vec<i64>> {
        let mut most = vec![vec![0; self.classes.len()]; branches];
        let mut by_choice: BTreeMap<(usize, usize, usize), BTreeMap<usize, i64>> = BTreeMap::new();
        for demand in &self.demands {
            for &class in &demand.classes {
                match demand.owner {
                    Owner::Always(_) => most[demand.branch][class] += demand.quantity,
                    Owner::If { choice, value, .. } => {
                        let values = by_choice.entry((demand.branch, class, choice)).or_default();
                        *values.entry(value).or_default() += demand.quantity;
                    }
                }
            }
        }
        for ((branch, class, _), values) in by_choice {
            most[branch][class] += values.into_values().max().unwrap_or(0);
        }
        most
    }
}
