//! A plan in the terms of a program, and what it comes to, exactly.

use super::classes::Owner;
use super::program::{Level, Program};
use super::source::Mask;
use super::staircase::Step;
use super::{Aim, StockPolicy};

/// What to buy and how to use it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Candidate {
    /// Suppliers left out, which settles what each step is made of.
    pub(super) closed: Mask,
    /// Units of each source.
    pub(super) units: Vec<i64>,
    /// For each branch the value of each choice.
    pub(super) choices: Vec<Vec<usize>>,
    /// For each demand the pieces each of its classes serves.
    pub(super) split: Vec<Vec<i64>>,
}

/// What a candidate comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Worth {
    /// Cash in the worst branch.
    pub(super) cash: i64,
    /// Job cost in the worst branch.
    pub(super) job_cost: i64,
    /// Surplus in the worst branch.
    pub(super) surplus: i64,
    /// Suppliers used, of those whose use matters.
    pub(super) suppliers: Mask,
}

impl Worth {
    /// The value of a sum.
    pub(super) fn sum(&self, aim: Aim) -> i64 {
        match aim {
            Aim::Cash => self.cash,
            Aim::JobCost => self.job_cost,
            Aim::Surplus => self.surplus,
            Aim::Days | Aim::Suppliers => 0,
        }
    }

    /// The values of the levels of a program.
    pub(super) fn levels(&self, program: &Program<'_>) -> Vec<i64> {
        let value = |level: &Level| match *level {
            Level::Sum(at) => self.sum(program.sums[at]),
            Level::Suppliers => i64::from(self.suppliers.count_ones()),
        };
        program.levels.iter().map(value).collect()
    }
}

impl Program<'_> {
    /// Whether a demand holds under these choices.
    pub(super) fn holds(&self, demand: usize, choices: &[Vec<usize>]) -> bool {
        let demand = &self.demands.demands[demand];
        match demand.owner {
            Owner::Always(_) => true,
            Owner::If { choice, value, .. } => choices[demand.branch][choice] == value,
        }
    }

    /// Pieces fitted by branch and class.
    pub(super) fn fitted_by_class(&self, choices: &[Vec<usize>], split: &[Vec<i64>]) -> Vec<Vec<i64>> {
        let mut fitted = vec![vec![0; self.demands.classes.len()]; self.problem.branches.len()];
        for (at, demand) in self.demands.demands.iter().enumerate() {
            if self.holds(at, choices) {
                for (&class, &pieces) in demand.classes.iter().zip(&split[at]) {
                    fitted[demand.branch][class] += pieces;
                }
            }
        }
        fitted
    }

    /// Pieces brought to each class.
    pub(super) fn supply(&self, units: &[i64]) -> Vec<i64> {
        let mut supply = vec![0; self.demands.classes.len()];
        for (source, &count) in self.sources.list.iter().zip(units) {
            if count > 0 {
                for &(class, pieces) in &source.brings {
                    supply[class] += pieces * count;
                }
            }
        }
        supply
    }

    /// What the candidate comes to in the branches that count, `None` if it leaves a demand unserved.
    pub(super) fn worth(&self, candidate: &Candidate) -> Option<Worth> {
        self.worth_in(candidate, self.counted)
    }

    /// What the candidate comes to in one branch or in the worst.
    pub(super) fn worth_in(&self, candidate: &Candidate, counted: Option<usize>) -> Option<Worth> {
        let whole = |(at, split): (usize, &Vec<i64>)| {
            !self.holds(at, &candidate.choices)
                || split.iter().sum::<i64>() == self.demands.demands[at].quantity
        };
        if !candidate.split.iter().enumerate().all(whole) || !self.tables_hold(&candidate.choices) {
            return None;
        }
        let mut spent = 0;
        let mut pieces = 0;
        let mut credit = 0;
        let mut mask: Mask = 0;
        for (at, &units) in candidate.units.iter().enumerate() {
            if units == 0 {
                continue;
            }
            let stairs = self.sources.stairs(self.problem, at, candidate.closed);
            let step = stairs.exactly(units)?;
            spent += step.cash;
            mask |= self.suppliers_of(step);
            pieces += units * self.sources.list[at].pieces;
            credit += units * self.sources.list[at].credit;
        }
        spent += self.sources.fixed_costs(mask);
        let supply = self.supply(&candidate.units);
        let fitted = self.fitted_by_class(&candidate.choices, &candidate.split);
        let mut worth = Worth { cash: i64::MIN, job_cost: i64::MIN, surplus: i64::MIN, suppliers: mask };
        for (branch, of_class) in fitted.iter().enumerate() {
            let mut cash = spent - credit;
            let mut carried = 0;
            let mut surplus = pieces;
            for (choice, &value) in candidate.choices[branch].iter().enumerate() {
                cash += self.problem.branches[branch].choices[choice].values[value].cash;
            }
            for (class, &count) in of_class.iter().enumerate() {
                let used = self.stock_used(class, count, supply[class])?;
                carried += self.carried(class, used);
                cash += self.demands.classes[class].credit * (count - used);
                surplus -= count - used;
            }
            if counted.is_some_and(|counted| counted != branch) {
                continue;
            }
            worth.cash = worth.cash.max(cash);
            worth.job_cost = worth.job_cost.max(cash + carried);
            worth.surplus = worth.surplus.max(surplus);
        }
        Some(worth)
    }

    /// Pieces of a class taken from stock, `None` if there are not enough with what is brought.
    pub(super) fn stock_used(&self, class: usize, fitted: i64, supply: i64) -> Option<i64> {
        let free = self.demands.classes[class].free();
        let used = match self.problem.policy {
            StockPolicy::None => 0,
            StockPolicy::First => fitted.min(free),
            StockPolicy::Value => (fitted - supply).max(0),
        };
        (used <= free && fitted - used <= supply).then_some(used)
    }

    /// Carrying value of so many pieces of a class, the least first.
    pub(super) fn carried(&self, class: usize, mut pieces: i64) -> i64 {
        let mut value = 0;
        for lot in &self.demands.classes[class].lots {
            let taken = pieces.min(lot.free);
            value += taken * lot.carrying_value;
            pieces -= taken;
        }
        value
    }

    /// The suppliers behind a step, of those whose use matters.
    pub(super) fn suppliers_of(&self, step: &Step) -> Mask {
        step.lines.iter().fold(0, |mask, &(offer, _)| mask | self.sources.mask_of(self.problem, offer))
    }

    /// The best step of the loose offers of a class when so many pieces are required, by the order of the sums.
    pub(super) fn best_step(&self, class: usize, required: i64, closed: Mask) -> Option<(i64, [i64; 3])> {
        let shelf =
            if self.problem.policy == StockPolicy::Value { self.demands.classes[class].free() } else { 0 };
        let Some(source) = self.sources.pool_of[class] else {
            return (required <= shelf).then(|| (0, self.step_cost(class, 0, 0, required)));
        };
        let stairs = self.sources.stairs(self.problem, source, closed);
        let from = stairs.steps.partition_point(|step| step.units < required - shelf);
        stairs.steps[from..]
            .iter()
            .map(|step| (step.units, self.step_cost(class, step.units, step.cash, required)))
            .min_by(|a, b| a.1.cmp(&b.1))
    }

    fn step_cost(&self, class: usize, units: i64, cash: i64, required: i64) -> [i64; 3] {
        let used = (required - units).max(0);
        let mut cost = [0; 3];
        for (slot, aim) in cost.iter_mut().zip(&self.sums) {
            *slot = match aim {
                Aim::Surplus => units + used,
                Aim::JobCost => cash + self.carried(class, used),
                _ => cash,
            };
        }
        cost
    }
}
