//! Turns a candidate into a plan in the terms of the problem.

use std::collections::BTreeMap;

use super::candidate::Candidate;
use super::classes::Owner;
use super::program::Program;
use super::staircase::unit_price;
use super::{BranchPlan, Plan, Problem, StockPolicy};

/// The plan of a candidate that serves everything.
pub(super) fn plan(program: &Program<'_>, candidate: &Candidate) -> Plan {
    let problem = program.problem;
    let mut bought: BTreeMap<usize, i64> = BTreeMap::new();
    for (source, &units) in candidate.units.iter().enumerate() {
        let stairs = program.sources.stairs(problem, source, candidate.closed);
        if let Some(step) = stairs.exactly(units) {
            for &(offer, units) in &step.lines {
                *bought.entry(offer).or_default() += units;
            }
        }
    }
    let purchases: Vec<(usize, i64)> = bought.into_iter().collect();
    let mut supply = vec![0; problem.parts.len()];
    for &(offer, units) in &purchases {
        for &(part, pieces) in &problem.offers[offer].contents {
            supply[part] += pieces * units;
        }
    }
    let branches =
        (0..problem.branches.len()).map(|branch| use_in(program, candidate, &supply, branch)).collect();
    priced(problem, purchases, branches)
}

/// Adds up what the purchases and their use come to.
fn priced(problem: &Problem, purchases: Vec<(usize, i64)>, branches: Vec<BranchPlan>) -> Plan {
    let mut suppliers: Vec<usize> = purchases.iter().map(|&(at, _)| problem.offers[at].supplier).collect();
    suppliers.sort_unstable();
    suppliers.dedup();
    let fixed: i64 = suppliers.iter().map(|&supplier| problem.suppliers[supplier].fixed_cost).sum();
    let prices: i64 =
        purchases.iter().map(|&(at, units)| units * unit_price(&problem.offers[at], units)).sum();
    let mut plan = Plan {
        days: purchases.iter().map(|&(at, _)| problem.offers[at].lead_days).max().unwrap_or(0),
        suppliers: suppliers.len(),
        purchases,
        cash: i64::MIN,
        job_cost: i64::MIN,
        surplus: 0,
        branches: Vec::new(),
    };
    for (branch, used) in branches.iter().enumerate() {
        let choices = problem.branches[branch].choices.iter().zip(&used.choices);
        let outside: i64 = choices.map(|(choice, &value)| choice.values[value].cash).sum();
        let credit: i64 = used.surplus.iter().map(|&(part, count)| count * problem.parts[part].credit).sum();
        let carried = |&(part, count): &(usize, i64)| count * problem.parts[part].carrying_value;
        let cash = prices + fixed + outside - credit;
        plan.cash = plan.cash.max(cash);
        plan.job_cost = plan.job_cost.max(cash + used.stock_used.iter().map(carried).sum::<i64>());
        plan.surplus = plan.surplus.max(used.surplus.iter().map(|&(_, count)| count).sum());
    }
    plan.branches = branches;
    plan
}

/// What a branch fits, from the shelf first where stock is used at all.
fn use_in(program: &Program<'_>, candidate: &Candidate, supply: &[i64], branch: usize) -> BranchPlan {
    let problem = program.problem;
    let held = &problem.branches[branch];
    let fitted = program.fitted_by_class(&candidate.choices, &candidate.split);
    let brought = program.supply(&candidate.units);
    let mut shelf = vec![0; problem.parts.len()];
    for (class, &count) in fitted[branch].iter().enumerate() {
        let mut used = program.stock_used(class, count, brought[class]).unwrap_or(0);
        for lot in &program.demands.classes[class].lots {
            let taken = used.min(lot.free);
            shelf[lot.part] = if problem.policy == StockPolicy::None { 0 } else { taken };
            used -= taken;
        }
    }
    let stock_used = present(&shelf);
    let mut left = supply.to_vec();
    let choices = candidate.choices[branch].clone();
    let mut plan = BranchPlan {
        fitted: vec![Vec::new(); held.needs.len()],
        choice_fitted: held
            .choices
            .iter()
            .zip(&choices)
            .map(|(choice, &value)| vec![Vec::new(); choice.values[value].needs.len()])
            .collect(),
        choices,
        stock_used,
        surplus: Vec::new(),
    };
    for (at, demand) in program.demands.demands.iter().enumerate() {
        if demand.branch != branch || !program.holds(at, &candidate.choices) {
            continue;
        }
        let mut parts: BTreeMap<usize, i64> = BTreeMap::new();
        for (&class, &pieces) in demand.classes.iter().zip(&candidate.split[at]) {
            let mut missing = pieces;
            let class = &program.demands.classes[class];
            for from in [&mut shelf, &mut left] {
                for &part in &class.parts {
                    let taken = missing.min(from[part]);
                    if taken > 0 {
                        from[part] -= taken;
                        missing -= taken;
                        *parts.entry(part).or_default() += taken;
                    }
                }
            }
        }
        let parts = parts.into_iter().collect();
        match demand.owner {
            Owner::Always(need) => plan.fitted[need] = parts,
            Owner::If { choice, need, .. } => plan.choice_fitted[choice][need] = parts,
        }
    }
    plan.surplus = present(&left);
    plan
}

fn present(counts: &[i64]) -> Vec<(usize, i64)> {
    counts.iter().copied().enumerate().filter(|&(_, count)| count > 0).collect()
}
