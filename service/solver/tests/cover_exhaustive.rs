//! The cover solver against trying everything, on problems small enough for that.

use proptest::collection::vec;
use proptest::prelude::*;
use solver::cover::{
    Aim, Branch, Budget, Choice, ChoiceValue, Need, Offer, Outcome, Part, Plan, Problem, Signature,
    StockPolicy, Supplier, Table, Tier, solve, solve_next,
};

/// Small numbers read off a list of bytes; past its end all are 0, so a failing case shrinks well.
struct Numbers<'b>(std::slice::Iter<'b, u8>);

impl Numbers<'_> {
    fn below(&mut self, limit: i64) -> i64 {
        i64::from(self.0.next().copied().unwrap_or(0)) % limit
    }
    fn chance(&mut self, in_ten: i64) -> bool {
        self.below(10) >= 10 - in_ten
    }
}

fn need(numbers: &mut Numbers<'_>, parts: usize) -> Need {
    let mut accepts = vec![numbers.below(parts as i64) as usize];
    if numbers.chance(4) {
        accepts.push(numbers.below(parts as i64) as usize);
    }
    Need { quantity: 1 + numbers.below(3), accepts }
}

fn offer(numbers: &mut Numbers<'_>, parts: usize, suppliers: usize) -> Offer {
    let is_kit = numbers.chance(5);
    let lines = if is_kit { 1 + numbers.below(3) } else { 1 };
    let contents = (0..lines)
        .map(|_| {
            let pieces = if is_kit || numbers.chance(1) { 1 + numbers.below(3) } else { 1 };
            (numbers.below(parts as i64) as usize, pieces)
        })
        .collect();
    let price = 1 + numbers.below(9);
    let mut tiers = vec![Tier { from: 1, price }];
    if numbers.chance(3) {
        tiers.push(Tier { from: 2 + numbers.below(4), price: numbers.below(9).min(price) });
    }
    Offer {
        supplier: numbers.below(suppliers as i64) as usize,
        contents,
        pack: if numbers.chance(3) { 2 + numbers.below(2) } else { 1 },
        minimum: if numbers.chance(3) { numbers.below(4) } else { 0 },
        tiers,
        available: if numbers.chance(5) { Some(numbers.below(7)) } else { None },
        lead_days: numbers.below(4) as u32,
        is_kit,
    }
}

fn branch(numbers: &mut Numbers<'_>, parts: usize) -> Branch {
    let needs = (0..numbers.below(3)).map(|_| need(numbers, parts)).collect();
    let mut held = Branch { needs, ..Branch::default() };
    for _ in 0..(numbers.below(4) - 1).max(0) {
        let values = (0..1 + numbers.below(3))
            .map(|_| ChoiceValue {
                needs: (0..numbers.below(2)).map(|_| need(numbers, parts)).collect(),
                cash: if numbers.chance(3) { numbers.below(12) } else { 0 },
            })
            .collect();
        held.choices.push(Choice { values });
    }
    if held.choices.len() > 1 && numbers.chance(6) {
        let scope: Vec<usize> = (0..held.choices.len()).collect();
        let mut tuples = Vec::new();
        for first in 0..held.choices[0].values.len() {
            for second in 0..held.choices[1].values.len() {
                if numbers.chance(6) {
                    tuples.push(vec![first, second]);
                }
            }
        }
        held.tables.push(Table { scope, tuples });
    }
    held
}

fn problem(bytes: &[u8], credits: bool) -> Problem {
    let numbers = &mut Numbers(bytes.iter());
    let policy = [StockPolicy::First, StockPolicy::Value, StockPolicy::None][numbers.below(3) as usize];
    let all = [Aim::Cash, Aim::JobCost, Aim::Surplus, Aim::Days, Aim::Suppliers];
    let mut aims = match numbers.below(6) {
        0 => vec![Aim::Days, Aim::Cash, Aim::JobCost, Aim::Surplus, Aim::Suppliers],
        1 => vec![Aim::Suppliers, Aim::JobCost, Aim::Surplus, Aim::Days],
        2 => (0..1 + numbers.below(4)).map(|_| all[numbers.below(5) as usize]).collect(),
        3 => vec![Aim::JobCost, Aim::Cash, Aim::Surplus, Aim::Days, Aim::Suppliers],
        _ => all.to_vec(),
    };
    if credits {
        aims.retain(|aim| *aim != Aim::Days);
        aims.insert(0, Aim::Cash);
    }
    // What stock competes with a purchase is not told apart by trying.
    let policy = if credits && policy == StockPolicy::Value { StockPolicy::First } else { policy };
    let parts = 1 + numbers.below(4) as usize;
    let suppliers = 1 + numbers.below(3) as usize;
    Problem {
        parts: (0..parts)
            .map(|_| Part {
                free_stock: if numbers.chance(4) { numbers.below(4) } else { 0 },
                carrying_value: numbers.below(6),
                credit: if credits && numbers.chance(5) { numbers.below(6) } else { 0 },
            })
            .collect(),
        suppliers: (0..suppliers)
            .map(|_| Supplier { fixed_cost: if numbers.chance(5) { numbers.below(9) } else { 0 } })
            .collect(),
        branches: (0..1 + numbers.below(4).min(1)).map(|_| branch(numbers, parts)).collect(),
        offers: (0..numbers.below(5)).map(|_| offer(numbers, parts, suppliers)).collect(),
        policy,
        aims,
    }
}

fn unit_price(offer: &Offer, units: i64) -> i64 {
    offer.tiers.iter().filter(|tier| tier.from <= units).map(|tier| tier.price).next_back().unwrap_or(0)
}

fn sold(offer: &Offer, units: i64) -> bool {
    units == 0
        || (units % offer.pack == 0
            && units >= offer.minimum
            && offer.available.is_none_or(|available| units <= available))
}

/// Quantities of an offer that could be of use.
fn quantities(offer: &Offer, needed: i64) -> Vec<i64> {
    let mut useful: Vec<i64> = Vec::new();
    let mut enough = false;
    for units in 0..40 {
        let starts_tier = offer.tiers.iter().any(|tier| tier.from > units - offer.pack && tier.from <= units);
        if sold(offer, units) && (!enough || starts_tier) {
            useful.push(units);
            enough |= units >= needed;
        }
    }
    useful
}

/// Cash besides purchases, carrying value, surplus and choices of one way a branch can go.
type Way = (i64, i64, i64, Vec<usize>);

fn choices_of(branch: &Branch) -> Vec<Vec<usize>> {
    let mut all = vec![Vec::new()];
    for choice in &branch.choices {
        all = all
            .iter()
            .flat_map(|before: &Vec<usize>| {
                (0..choice.values.len()).map(|value| [before.as_slice(), &[value]].concat())
            })
            .collect();
    }
    all.retain(|choices| {
        branch.tables.iter().all(|table| {
            table.tuples.iter().any(|tuple| table.scope.iter().zip(tuple).all(|(&c, &v)| choices[c] == v))
        })
    });
    all
}

fn fittings(needs: &[&Need], fitted: &mut Vec<i64>, done: &mut dyn FnMut(&[i64])) {
    let Some((need, rest)) = needs.split_first() else { return done(fitted) };
    let mut accepts = need.accepts.clone();
    accepts.sort_unstable();
    accepts.dedup();
    for first in 0..=need.quantity {
        if accepts.len() == 1 && first != need.quantity {
            continue;
        }
        fitted[accepts[0]] += first;
        if let Some(&second) = accepts.get(1) {
            fitted[second] += need.quantity - first;
            fittings(rest, fitted, done);
            fitted[second] -= need.quantity - first;
        } else {
            fittings(rest, fitted, done);
        }
        fitted[accepts[0]] -= first;
    }
}

fn ways(problem: &Problem, branch: &Branch, choices: &[usize], supply: &[i64]) -> Vec<Way> {
    let mut found: Vec<Way> = Vec::new();
    let chosen: Vec<&ChoiceValue> =
        branch.choices.iter().zip(choices).map(|(choice, &value)| &choice.values[value]).collect();
    let needs: Vec<&Need> = branch.needs.iter().chain(chosen.iter().flat_map(|value| &value.needs)).collect();
    let outside: i64 = chosen.iter().map(|value| value.cash).sum();
    let credits = problem.parts.iter().any(|part| part.credit > 0);
    fittings(&needs, &mut vec![0; problem.parts.len()], &mut |fitted| {
        let mut sums = vec![(outside, 0, 0)];
        for (at, part) in problem.parts.iter().enumerate() {
            let least = (fitted[at] - supply[at]).max(0);
            let used: Vec<i64> = match problem.policy {
                StockPolicy::None => vec![0],
                StockPolicy::First => vec![fitted[at].min(part.free_stock)],
                StockPolicy::Value if credits => vec![least],
                StockPolicy::Value => (least..=fitted[at].min(part.free_stock)).collect(),
            };
            let mut next = Vec::new();
            for used in used {
                if used > part.free_stock || fitted[at] - used > supply[at] {
                    continue;
                }
                let surplus = supply[at] - (fitted[at] - used);
                for &(cash, carried, pieces) in &sums {
                    let cash = cash - part.credit * surplus;
                    next.push((cash, carried + part.carrying_value * used, pieces + surplus));
                }
            }
            next.sort_unstable();
            next.dedup();
            sums = next;
        }
        found.extend(
            sums.into_iter().map(|(cash, carried, pieces)| (cash, carried, pieces, choices.to_vec())),
        );
    });
    found.sort();
    found.dedup();
    found
}

fn supply_of(problem: &Problem, units: &[i64]) -> Vec<i64> {
    let mut supply = vec![0; problem.parts.len()];
    for (offer, units) in problem.offers.iter().zip(units) {
        for &(part, pieces) in &offer.contents {
            supply[part] += pieces * units;
        }
    }
    supply
}

/// Whether no purchase can be made smaller for no more money.
fn nothing_idle(problem: &Problem, units: &[i64], choices: &[Vec<usize>]) -> bool {
    problem.offers.iter().enumerate().all(|(at, offer)| {
        (0..units[at]).filter(|&less| sold(offer, less)).all(|less| {
            let mut fewer = units.to_vec();
            fewer[at] = less;
            less * unit_price(offer, less) > units[at] * unit_price(offer, units[at])
                || problem.branches.iter().zip(choices).any(|(branch, choices)| {
                    ways(problem, branch, choices, &supply_of(problem, &fewer)).is_empty()
                })
        })
    })
}

fn value(problem: &Problem, aim: Aim, units: &[i64], ways: &[&Way]) -> i64 {
    let bought = || problem.offers.iter().zip(units).filter(|(_, units)| **units > 0);
    let mut suppliers: Vec<usize> = bought().map(|(offer, _)| offer.supplier).collect();
    suppliers.sort_unstable();
    suppliers.dedup();
    let prices: i64 = bought().map(|(offer, &units)| units * unit_price(offer, units)).sum();
    let spent =
        prices + suppliers.iter().map(|&supplier| problem.suppliers[supplier].fixed_cost).sum::<i64>();
    let worst = |of: fn(&Way) -> i64| ways.iter().map(|way| of(way)).max().unwrap_or(0);
    match aim {
        Aim::Cash => spent + worst(|way| way.0),
        Aim::JobCost => spent + worst(|way| way.0 + way.1),
        Aim::Surplus => worst(|way| way.2),
        Aim::Days => bought().map(|(offer, _)| i64::from(offer.lead_days)).max().unwrap_or(0),
        Aim::Suppliers => suppliers.len() as i64,
    }
}

/// The best values of the aims over all plans, and the least for each signature.
fn by_trying(problem: &Problem, previous: &[Signature]) -> Option<Vec<i64>> {
    let needed: i64 = problem
        .branches
        .iter()
        .map(|branch| {
            let chosen =
                branch.choices.iter().flat_map(|choice| &choice.values).flat_map(|value| &value.needs);
            branch.needs.iter().chain(chosen).map(|need| need.quantity).sum::<i64>()
        })
        .max()
        .unwrap_or(0);
    let ranges: Vec<Vec<i64>> = problem.offers.iter().map(|offer| quantities(offer, needed)).collect();
    let by_value = problem.policy == StockPolicy::Value;
    let idle_matters =
        (!previous.is_empty() && !by_value) || problem.parts.iter().any(|part| part.credit > 0);
    let choices: Vec<Vec<Vec<usize>>> = problem.branches.iter().map(choices_of).collect();
    let mut best: Option<Vec<i64>> = None;
    let mut at = vec![0; ranges.len()];
    loop {
        let units: Vec<i64> = at.iter().zip(&ranges).map(|(&at, range)| range[at]).collect();
        let supply = supply_of(problem, &units);
        let kits: Vec<(usize, i64)> = units
            .iter()
            .copied()
            .enumerate()
            .filter(|&(offer, units)| units > 0 && problem.offers[offer].is_kit)
            .collect();
        let of_branch: Vec<Vec<Way>> = problem
            .branches
            .iter()
            .zip(&choices)
            .map(|(branch, all)| {
                all.iter().flat_map(|choices| ways(problem, branch, choices, &supply)).collect()
            })
            .collect();
        let mut combined: Vec<Vec<&Way>> = vec![Vec::new()];
        for ways in &of_branch {
            combined = combined
                .iter()
                .flat_map(|before| ways.iter().map(|way| [before.as_slice(), &[way]].concat()))
                .collect();
        }
        for ways in &combined {
            let chosen: Vec<Vec<usize>> = ways.iter().map(|way| way.3.clone()).collect();
            let excluded = previous.iter().any(|known| known.kits == kits && known.choices == chosen);
            if excluded || (idle_matters && !nothing_idle(problem, &units, &chosen)) {
                continue;
            }
            let values: Vec<i64> =
                problem.aims.iter().map(|&aim| value(problem, aim, &units, ways)).collect();
            if best.as_ref().is_none_or(|best| values < *best) {
                best = Some(values);
            }
        }
        let Some(turn) = (0..at.len()).rev().find(|&turn| at[turn] + 1 < ranges[turn].len()) else { break };
        at[turn] += 1;
        at[turn + 1..].fill(0);
    }
    best
}

/// What a plan comes to, from its purchases and fittings alone; panics if it breaks a rule.
fn checked(problem: &Problem, plan: &Plan) -> Vec<i64> {
    let mut units = vec![0; problem.offers.len()];
    for &(offer, bought) in &plan.purchases {
        assert!(bought > 0 && sold(&problem.offers[offer], bought));
        units[offer] = bought;
    }
    let supply = supply_of(problem, &units);
    let mut ways: Vec<Way> = Vec::new();
    for (branch, used) in problem.branches.iter().zip(&plan.branches) {
        assert!(choices_of(branch).contains(&used.choices));
        let mut fitted = vec![0; problem.parts.len()];
        let mut outside = 0;
        let mut fit = |need: &Need, parts: &[(usize, i64)]| {
            assert_eq!(parts.iter().map(|&(_, count)| count).sum::<i64>(), need.quantity);
            for &(part, count) in parts {
                assert!(count > 0 && need.accepts.contains(&part));
                fitted[part] += count;
            }
        };
        assert_eq!(branch.needs.len(), used.fitted.len());
        branch.needs.iter().zip(&used.fitted).for_each(|(need, parts)| fit(need, parts));
        for ((choice, &value), parts) in branch.choices.iter().zip(&used.choices).zip(&used.choice_fitted) {
            assert_eq!(choice.values[value].needs.len(), parts.len());
            choice.values[value].needs.iter().zip(parts).for_each(|(need, parts)| fit(need, parts));
            outside += choice.values[value].cash;
        }
        let count = |list: &[(usize, i64)], part: usize| {
            list.iter().filter(|held| held.0 == part).map(|held| held.1).sum::<i64>()
        };
        let (mut carried, mut pieces, mut credit) = (0, 0, 0);
        for (at, part) in problem.parts.iter().enumerate() {
            let (taken, surplus) = (count(&used.stock_used, at), count(&used.surplus, at));
            assert!(taken <= part.free_stock && surplus >= 0);
            assert_eq!(supply[at] + taken, fitted[at] + surplus);
            match problem.policy {
                StockPolicy::First => assert_eq!(taken, fitted[at].min(part.free_stock)),
                StockPolicy::Value => assert!(taken <= fitted[at]),
                StockPolicy::None => assert_eq!(taken, 0),
            }
            carried += taken * part.carrying_value;
            pieces += surplus;
            credit += surplus * part.credit;
        }
        ways.push((outside - credit, carried, pieces, used.choices.clone()));
    }
    let ways: Vec<&Way> = ways.iter().collect();
    let all = [Aim::Cash, Aim::JobCost, Aim::Surplus, Aim::Days, Aim::Suppliers];
    let values: Vec<i64> = all.iter().map(|&aim| value(problem, aim, &units, &ways)).collect();
    let said = [plan.cash, plan.job_cost, plan.surplus, i64::from(plan.days), plan.suppliers as i64];
    assert_eq!(values, said);
    problem.aims.iter().map(|&aim| value(problem, aim, &units, &ways)).collect()
}

/// Whether the group fails and any smaller one does not.
fn is_smallest(problem: &Problem, group: &solver::cover::Impossible) -> bool {
    let fails = |needs: &[usize], choices: &[usize]| {
        let held = &problem.branches[group.branch];
        let tables =
            held.tables.iter().filter(|table| table.scope.iter().all(|choice| choices.contains(choice)));
        let branch = Branch {
            needs: needs.iter().map(|&need| held.needs[need].clone()).collect(),
            choices: choices.iter().map(|&choice| held.choices[choice].clone()).collect(),
            tables: tables
                .map(|table| Table {
                    scope: table
                        .scope
                        .iter()
                        .map(|c| choices.iter().position(|held| held == c).expect("kept"))
                        .collect(),
                    tuples: table.tuples.clone(),
                })
                .collect(),
        };
        by_trying(&Problem { branches: vec![branch], aims: vec![], ..problem.clone() }, &[]).is_none()
    };
    let without = |list: &[usize], at: usize| {
        let mut rest = list.to_vec();
        rest.remove(at);
        rest
    };
    fails(&group.needs, &group.choices)
        && (0..group.needs.len()).all(|at| !fails(&without(&group.needs, at), &group.choices))
        && (0..group.choices.len()).all(|at| !fails(&group.needs, &without(&group.choices, at)))
}

/// Whether a need or choice stands alike in two branches: then another plan treats it alike in both.
fn repeats(problem: &Problem) -> bool {
    problem.branches.iter().enumerate().any(|(at, branch)| {
        problem.branches[..at].iter().any(|other| {
            branch.needs.iter().any(|need| other.needs.contains(need))
                || branch.choices.iter().any(|choice| other.choices.contains(choice))
        })
    })
}

/// Whether the plan's values are the best there are.
fn is_best(problem: &Problem, plan: &Plan, best: &[i64]) -> bool {
    checked(problem, plan) == best
}

fn agrees(problem: &Problem) {
    let outcome = solve(problem, &Budget::UNLIMITED).expect("valid");
    match (by_trying(problem, &[]), outcome) {
        (Some(best), Outcome::Optimal(plan)) => {
            assert!(is_best(problem, &plan, &best), "best {best:?}, {plan:?}");
        }
        (None, Outcome::Impossible(group)) => assert!(is_smallest(problem, &group), "{group:?}"),
        (best, outcome) => panic!("by trying {best:?}, by the solver {outcome:?}"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, ..ProptestConfig::default() })]

    #[test]
    fn the_best_plan_is_found(bytes in vec(any::<u8>(), 0..160)) {
        agrees(&problem(&bytes, false));
    }

    #[test]
    fn nothing_is_bought_for_its_credit(bytes in vec(any::<u8>(), 0..160)) {
        agrees(&problem(&bytes, true));
    }

    #[test]
    fn the_next_best_plans_follow_in_order(bytes in vec(any::<u8>(), 0..160)) {
        let problem = problem(&bytes, false);
        let mut previous: Vec<Signature> = Vec::new();
        for _ in 0..4 {
            match solve_next(&problem, &previous, &Budget::UNLIMITED).expect("valid") {
                Outcome::Optimal(plan) => {
                    let signature = Signature::of(&problem, &plan);
                    prop_assert!(!previous.contains(&signature));
                    let best = by_trying(&problem, &previous).expect("a plan");
                    // By value, trying counts idle purchases too, so its best is a bound.
                    let by_value = problem.policy == StockPolicy::Value && !previous.is_empty();
                    // So does what is treated otherwise in each branch though it stands alike.
                    let bounds = by_value || (repeats(&problem) && !previous.is_empty());
                    let right = is_best(&problem, &plan, &best) || (bounds && checked(&problem, &plan) >= best);
                    prop_assert!(right, "best {best:?}, {plan:?}");
                    previous.push(signature);
                }
                Outcome::NoOther | Outcome::Impossible(_) => {
                    let by_value = problem.policy == StockPolicy::Value && !previous.is_empty();
                    prop_assert!(by_value || by_trying(&problem, &previous).is_none());
                    break;
                }
                other => prop_assert!(false, "{other:?}"),
            }
        }
    }

    #[test]
    fn a_spent_budget_still_bounds(bytes in vec(any::<u8>(), 0..160), nodes in 0_u64..6) {
        let problem = problem(&bytes, false);
        let outcome = solve(&problem, &Budget { max_nodes: nodes, stop: None }).expect("valid");
        let best = by_trying(&problem, &[]);
        let (reached, bounds) = match outcome {
            Outcome::Optimal(plan) => {
                prop_assert!(is_best(&problem, &plan, &best.expect("a plan")));
                return Ok(());
            }
            Outcome::Bounded { plan, bounds } => {
                prop_assert!(bounds[0].is_some(), "a plan comes with the bound of its first aim");
                (Some(checked(&problem, &plan)), bounds)
            }
            Outcome::Unsettled { bounds } => (None, bounds),
            Outcome::Impossible(_) | Outcome::NoOther => {
                prop_assert_eq!(best, None);
                return Ok(());
            }
        };
        if let Some(best) = best {
            prop_assert!(reached.is_none_or(|reached| reached >= best));
            for (bound, value) in bounds.iter().zip(&best) {
                let Some(bound) = bound else { break };
                prop_assert!(bound <= value);
                if bound < value {
                    break;
                }
            }
        }
    }
}
