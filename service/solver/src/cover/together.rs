//! Several branches as one, where what differs between them shares no part.
//!
//! One purchase serves every branch. If no part serves a need of one branch and a different need of another, then what is
//! bought covers all branches exactly when it covers everything that any of them needs at once: a single branch, which is
//! far quicker to prove. Cash, days and suppliers come out the same; the carrying value of stock and the surplus are made
//! least in sum over the branches instead of in the worst of them, so they are a good answer and not a proven one.

use std::collections::BTreeMap;

use super::links::{Group, alike, groups};
use super::{Aim, Branch, BranchPlan, Budget, Invalid, Outcome, Plan, Problem, StockPolicy, Table, solve};

/// Where the needs and choices of one branch stand in the single one.
#[derive(Debug, Default)]
struct Places {
    needs: BTreeMap<usize, usize>,
    choices: BTreeMap<usize, usize>,
}

/// Solves a problem of several branches as one where they can be told apart by their parts. `None` where they cannot, or
/// where the first aim is none that comes out the same. An answer is [`Outcome::Bounded`], its first bound proven.
///
/// # Errors
///
/// As for [`solve`].
pub fn solve_together(problem: &Problem, budget: &Budget<'_>) -> Result<Option<Outcome>, Invalid> {
    let first_aim = problem.aims.first().copied();
    let same = matches!(first_aim, Some(Aim::Cash | Aim::Days | Aim::Suppliers));
    let plain = problem.policy != StockPolicy::Value
        && problem.parts.iter().all(|part| part.credit == 0)
        && problem
            .branches
            .iter()
            .flat_map(|b| &b.choices)
            .flat_map(|c| &c.values)
            .all(|value| value.cash == 0);
    if problem.branches.len() < 2 || !same || !plain {
        return Ok(None);
    }
    // The single branch checks the problem; an index out of range there is one here.
    let in_range = |part: &usize| *part < problem.parts.len();
    let needs = problem.branches.iter().flat_map(|branch| {
        branch.needs.iter().chain(branch.choices.iter().flat_map(|c| &c.values).flat_map(|v| &v.needs))
    });
    if !needs.flat_map(|need| &need.accepts).all(in_range) {
        return solve(problem, budget).map(Some);
    }
    let Some((single, places)) = join(problem) else { return Ok(None) };
    let single = Problem { branches: vec![single], ..problem.clone() };
    let outcome = solve(&single, budget)?;
    let (plan, bound) = match outcome {
        Outcome::Optimal(plan) => {
            let bound = first_aim.map(|aim| plan.value(aim));
            (plan, bound)
        }
        Outcome::Bounded { plan, bounds } => (plan, bounds.first().copied().flatten()),
        Outcome::Impossible(_) | Outcome::Unsettled { .. } | Outcome::NoOther => return Ok(None),
    };
    let mut bounds = vec![None; problem.aims.len()];
    if let Some(first) = bounds.first_mut() {
        *first = bound;
    }
    Ok(Some(Outcome::Bounded { plan: apart(problem, &plan, &places), bounds }))
}

/// The single branch that holds each different group once; `None` if two different groups share a part.
fn join(problem: &Problem) -> Option<(Branch, Vec<Places>)> {
    let mut single = Branch::default();
    let mut places: Vec<Places> = Vec::new();
    let mut known: Vec<(usize, Vec<usize>, Group)> = Vec::new();
    let mut taken: Vec<Option<usize>> = vec![None; problem.parts.len()];
    for (at, branch) in problem.branches.iter().enumerate() {
        let mut here = Places::default();
        for (parts, group) in groups(branch, problem.parts.len()) {
            let same = known.iter().find(|(of, others, other)| {
                !parts.is_empty() && *others == parts && alike(&problem.branches[*of], other, branch, &group)
            });
            if let Some((of, _, other)) = same {
                let first: &Places = if *of == at { &here } else { &places[*of] };
                let needs: Vec<usize> = other.needs.iter().map(|need| first.needs[need]).collect();
                let choices: Vec<usize> = other.choices.iter().map(|choice| first.choices[choice]).collect();
                here.needs.extend(group.needs.iter().copied().zip(needs));
                here.choices.extend(group.choices.iter().copied().zip(choices));
                continue;
            }
            if parts.iter().any(|part| taken[*part].is_some()) {
                return None;
            }
            parts.iter().for_each(|part| taken[*part] = Some(at));
            add(&mut single, &mut here, branch, &group);
            known.push((at, parts, group));
        }
        places.push(here);
    }
    Some((single, places))
}

fn add(single: &mut Branch, places: &mut Places, branch: &Branch, group: &Group) {
    for need in &group.needs {
        places.needs.insert(*need, single.needs.len());
        single.needs.push(branch.needs[*need].clone());
    }
    for choice in &group.choices {
        places.choices.insert(*choice, single.choices.len());
        single.choices.push(branch.choices[*choice].clone());
    }
    for table in &group.tables {
        let table = &branch.tables[*table];
        single.tables.push(Table {
            scope: table.scope.iter().map(|choice| places.choices[choice]).collect(),
            tuples: table.tuples.clone(),
        });
    }
}

/// The plan of the single branch as each branch sees it.
fn apart(problem: &Problem, plan: &Plan, places: &[Places]) -> Plan {
    let mut bought: BTreeMap<usize, i64> = BTreeMap::new();
    for (offer, units) in &plan.purchases {
        for (part, pieces) in &problem.offers[*offer].contents {
            *bought.entry(*part).or_default() += pieces * units;
        }
    }
    let single = &plan.branches[0];
    let branches: Vec<BranchPlan> = places
        .iter()
        .map(|here| {
            let mut of_branch = BranchPlan {
                choices: here.choices.values().map(|at| single.choices[*at]).collect(),
                fitted: here.needs.values().map(|at| single.fitted[*at].clone()).collect(),
                choice_fitted: here.choices.values().map(|at| single.choice_fitted[*at].clone()).collect(),
                ..BranchPlan::default()
            };
            settle(problem, &bought, &mut of_branch);
            of_branch
        })
        .collect();
    let carried = |branch: &BranchPlan| -> i64 {
        branch.stock_used.iter().map(|(part, used)| used * problem.parts[*part].carrying_value).sum()
    };
    let surplus = |branch: &BranchPlan| -> i64 { branch.surplus.iter().map(|(_, pieces)| pieces).sum() };
    Plan {
        purchases: plan.purchases.clone(),
        cash: plan.cash,
        job_cost: plan.cash + branches.iter().map(carried).max().unwrap_or(0),
        surplus: branches.iter().map(surplus).max().unwrap_or(0),
        days: plan.days,
        suppliers: plan.suppliers,
        branches,
    }
}

/// What a branch takes off the shelf and leaves over.
fn settle(problem: &Problem, bought: &BTreeMap<usize, i64>, branch: &mut BranchPlan) {
    let mut fitted: BTreeMap<usize, i64> = BTreeMap::new();
    let of_choices = branch.choice_fitted.iter().flatten();
    for (part, pieces) in branch.fitted.iter().chain(of_choices).flatten() {
        *fitted.entry(*part).or_default() += pieces;
    }
    let shelf = |part: usize| match problem.policy {
        StockPolicy::None => 0,
        StockPolicy::First | StockPolicy::Value => problem.parts[part].free_stock,
    };
    let mut left = bought.clone();
    for (part, pieces) in fitted {
        let used = pieces.min(shelf(part));
        if used > 0 {
            branch.stock_used.push((part, used));
        }
        *left.entry(part).or_default() -= pieces - used;
    }
    branch.surplus = left.into_iter().filter(|(_, pieces)| *pieces > 0).collect();
}

#[cfg(test)]
mod tests {
    use super::super::{Choice, ChoiceValue, Need, Offer, Part, Supplier, Tier};
    use super::*;

    fn need(accepts: &[usize]) -> Need {
        Need { quantity: 1, accepts: accepts.to_vec() }
    }

    fn loose(part: usize, price: i64) -> Offer {
        let tiers = vec![Tier { from: 0, price }];
        Offer { contents: vec![(part, 1)], pack: 1, tiers, ..Offer::default() }
    }

    fn problem(branches: Vec<Branch>) -> Problem {
        Problem {
            parts: vec![
                Part::default(),
                Part { free_stock: 1, carrying_value: 5, credit: 0 },
                Part::default(),
            ],
            suppliers: vec![Supplier { fixed_cost: 7 }],
            offers: vec![loose(0, 10), loose(1, 4), loose(2, 6)],
            branches,
            policy: StockPolicy::First,
            aims: vec![Aim::Cash, Aim::JobCost, Aim::Surplus],
        }
    }

    fn with(needs: Vec<Need>) -> Branch {
        let value = |part| ChoiceValue { needs: vec![need(&[part])], cash: 0 };
        Branch { needs, choices: vec![Choice { values: vec![value(2)] }], tables: Vec::new() }
    }

    #[test]
    fn branches_apart_in_their_parts_come_to_the_same_as_solved_apart() {
        let problem = problem(vec![with(vec![need(&[0])]), with(vec![need(&[1])])]);
        let Outcome::Optimal(exact) = solve(&problem, &Budget::UNLIMITED).unwrap() else { panic!() };
        let Some(Outcome::Bounded { plan, bounds }) = solve_together(&problem, &Budget::UNLIMITED).unwrap()
        else {
            panic!("the branches share no part but what is the same in both")
        };
        assert_eq!(plan, exact);
        assert_eq!(bounds, [Some(23), None, None]);
    }

    #[test]
    fn branches_that_share_a_part_otherwise_are_left_alone() {
        let problem = problem(vec![with(vec![need(&[0])]), with(vec![need(&[0, 1])])]);
        assert_eq!(solve_together(&problem, &Budget::UNLIMITED).unwrap(), None);
    }
}
