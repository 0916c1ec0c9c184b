//! Random small fit problems against a referee that tries every assignment.

use proptest::prelude::*;
use solver::fit::{
    Alternatives, Assignment, Blame, Budget, Conflict, Constraint, Cost, Outcome, Problem, Residual,
    Restriction, SupportsOutcome, Tuples, Value, k_best, smallest_conflict, solve, supports,
};

/// Few distinct figures, so that ties are the rule and not the exception.
fn cost(wide: bool) -> BoxedStrategy<Cost> {
    if wide {
        let money = prop_oneof![-3..4_i64, Just(i64::MAX / 64), Just(i64::MIN / 64)];
        (0..3_u32, prop_oneof![0..2_u32, Just(u32::MAX / 64)], money)
            .prop_map(|(changes, unverified, money)| Cost { changes, unverified, money })
            .boxed()
    } else {
        (0..2_u32, 0..2_u32, -1..2_i64)
            .prop_map(|(changes, unverified, money)| Cost { changes, unverified, money })
            .boxed()
    }
}

fn constraint(sizes: Vec<usize>) -> BoxedStrategy<Constraint> {
    let count = sizes.len();
    let arity = prop_oneof![1 => Just(0_usize), 2 => Just(1), 8 => Just(2), 4 => Just(3), 1 => Just(4)];
    (arity, Just((0..count).collect::<Vec<usize>>()).prop_shuffle(), 5..95_u32)
        .prop_flat_map(move |(arity, mut scope, density)| {
            scope.truncate(arity.min(count));
            let mut tuples = vec![Vec::new()];
            for &variable in &scope {
                tuples = tuples
                    .into_iter()
                    .flat_map(|tuple: Vec<usize>| {
                        (0..sizes[variable]).map(move |value| [tuple.clone(), vec![value]].concat())
                    })
                    .collect();
            }
            let fates = prop::collection::vec(
                (0..100_u32, prop_oneof![4 => Just(0_u32), 1 => 1..3_u32]),
                tuples.len(),
            );
            (Just(scope), Just(tuples), fates, Just(density))
        })
        .prop_map(|(scope, tuples, fates, density)| {
            let fates = tuples.into_iter().zip(fates).filter(|(_, (fate, _))| *fate < density.max(40));
            let mut tuples: Vec<(Vec<usize>, u32)> =
                fates.map(|(values, (_, unverified))| (values, unverified)).collect();
            // Some combinations are listed a second time with another count; the lower one holds.
            let again: Vec<(Vec<usize>, u32)> = tuples.iter().skip(1).step_by(5).cloned().collect();
            tuples.extend(again.into_iter().map(|(values, unverified)| (values, unverified ^ 1)));
            Constraint { scope, tuples: tuples.into_iter().collect() }
        })
        .boxed()
}

fn problem(wide: bool) -> impl Strategy<Value = Problem> {
    prop::collection::vec(1..5_usize, 1..7)
        .prop_flat_map(move |sizes| {
            let variables: Vec<_> = sizes
                .iter()
                .map(|&size| prop::collection::vec(cost(wide).prop_map(|cost| Value { cost }), size))
                .collect();
            let restriction =
                |size: usize| prop::option::weighted(0.3, prop::collection::vec(0..size, 0..=size));
            let restrictions: Vec<_> = sizes.iter().map(|&size| restriction(size)).collect();
            (variables, prop::collection::vec(constraint(sizes), 0..8), restrictions)
        })
        .prop_map(|(variables, constraints, restrictions)| Problem {
            variables,
            constraints,
            restrictions: restrictions
                .into_iter()
                .enumerate()
                .filter_map(|(variable, allowed)| Some(Restriction { variable, allowed: allowed? }))
                .collect(),
        })
}

/// Trees of up to eleven variables of two values in which nearly everything costs the same: ties all the way down.
fn tied_tree() -> impl Strategy<Value = Problem> {
    (4..12_usize)
        .prop_flat_map(|count| {
            let names = Just((0..count).collect::<Vec<usize>>()).prop_shuffle();
            let parents = prop::collection::vec(any::<prop::sample::Index>(), count - 1);
            // A bit for each of the four pairs; mostly two of them, so that a value decides its neighbour.
            let pairs =
                prop::collection::vec(prop_oneof![2 => Just(6_u8), 2 => Just(9), 3 => 1..15_u8], count - 1);
            let money = prop::collection::vec(prop_oneof![9 => Just(0_i64), 1 => Just(1)], 2 * count);
            (names, parents, pairs, money)
        })
        .prop_map(|(names, parents, pairs, money)| {
            let value = |&money: &i64| Value { cost: Cost { money, ..Cost::default() } };
            let constraint = |(at, (parent, pairs)): (usize, (prop::sample::Index, u8))| Constraint {
                scope: vec![names[parent.index(at + 1)], names[at + 1]],
                tuples: Tuples::of(
                    (0..4).filter(|pair| pairs >> pair & 1 == 1).map(|pair| [pair / 2, pair % 2]),
                ),
            };
            Problem {
                variables: money.chunks(2).map(|pair| pair.iter().map(value).collect()).collect(),
                constraints: parents.into_iter().zip(pairs).enumerate().map(constraint).collect(),
                restrictions: Vec::new(),
            }
        })
}

/// What an assignment costs, or `None` if a constraint or restriction forbids it.
fn price(problem: &Problem, values: &[usize]) -> Option<Cost> {
    if problem.restrictions.iter().any(|narrowed| !narrowed.allowed.contains(&values[narrowed.variable])) {
        return None;
    }
    let mut cost: Cost = problem.variables.iter().zip(values).map(|(list, &value)| list[value].cost).sum();
    for constraint in &problem.constraints {
        let here: Vec<u32> = constraint.scope.iter().map(|&variable| values[variable] as u32).collect();
        let unverified = constraint
            .tuples
            .iter()
            .filter(|tuple| tuple.values == here)
            .map(|tuple| tuple.unverified)
            .min()?;
        cost = cost + Cost { unverified, ..Cost::default() };
    }
    Some(cost)
}

/// All assignments that hold, by cost, then by values.
fn all(problem: &Problem) -> Vec<Assignment> {
    let mut every = vec![Vec::new()];
    for list in &problem.variables {
        every = every
            .into_iter()
            .flat_map(|values: Vec<usize>| {
                (0..list.len()).map(move |value| [values.clone(), vec![value]].concat())
            })
            .collect();
    }
    let mut holding: Vec<Assignment> = every
        .into_iter()
        .filter_map(|values| Some(Assignment { cost: price(problem, &values)?, values }))
        .collect();
    holding.sort_by(|a, b| (a.cost, &a.values).cmp(&(b.cost, &b.values)));
    holding
}

/// The problem with only these facts.
fn only(problem: &Problem, constraints: &[usize], domains: &[usize]) -> Problem {
    Problem {
        variables: problem.variables.clone(),
        constraints: constraints.iter().map(|&index| problem.constraints[index].clone()).collect(),
        restrictions: problem
            .restrictions
            .iter()
            .filter(|narrowed| domains.contains(&narrowed.variable))
            .cloned()
            .collect(),
    }
}

/// The conflict is impossible with what is given, and leaving out any one fact makes it possible.
fn check_conflict(problem: &Problem, conflict: &Conflict, given: &[usize], given_domains: &[usize]) {
    let possible = |constraints: &[usize], domains: &[usize]| {
        !all(&only(problem, &[constraints, given].concat(), &[domains, given_domains].concat())).is_empty()
    };
    assert!(conflict.minimal);
    assert!(!possible(&conflict.constraints, &conflict.domains), "{conflict:?} is possible");
    let without = |list: &[usize], at: usize| [&list[..at], &list[at + 1..]].concat();
    for at in 0..conflict.constraints.len() {
        assert!(possible(&without(&conflict.constraints, at), &conflict.domains), "{conflict:?} not minimal");
    }
    for at in 0..conflict.domains.len() {
        assert!(possible(&conflict.constraints, &without(&conflict.domains, at)), "{conflict:?} not minimal");
    }
}

/// Tables as usual, and none at all, so that everything goes through the search.
fn budgets() -> [Budget<'static>; 2] {
    [Budget::default(), Budget { max_cells: 0, ..Budget::default() }]
}

fn check_solve(problem: &Problem) {
    let all = all(problem);
    for budget in budgets() {
        match solve(problem, &budget).expect("a valid problem") {
            Outcome::Optimal(best) => assert_eq!(Some(&best), all.first(), "{budget:?}"),
            Outcome::Conflict(conflict) => {
                assert!(all.is_empty(), "{budget:?}");
                check_conflict(problem, &conflict, &[], &[]);
            }
            bounded @ Outcome::Bounded { .. } => panic!("{bounded:?} with {budget:?}"),
        }
    }
}

fn check_k_best(problem: &Problem, k: usize) {
    let all = all(problem);
    for budget in budgets() {
        match k_best(problem, k, &budget).expect("a valid problem") {
            Alternatives::Proven(found) => assert_eq!(&found[..], &all[..k.min(all.len())], "{budget:?}"),
            Alternatives::Conflict(_) => assert!(all.is_empty()),
            bounded @ Alternatives::Bounded { .. } => panic!("{bounded:?} with {budget:?}"),
        }
    }
}

fn fewest(cost: Cost) -> Cost {
    Cost { money: 0, ..cost }
}

fn check_supports(problem: &Problem) {
    let all = all(problem);
    for budget in budgets() {
        let found = match supports(problem, &budget).expect("a valid problem") {
            SupportsOutcome::Proven(found) => found,
            SupportsOutcome::Conflict(_) => {
                assert!(all.is_empty());
                continue;
            }
            bounded @ SupportsOutcome::Bounded { .. } => panic!("{bounded:?} with {budget:?}"),
        };
        let least = all.iter().map(|assignment| fewest(assignment.cost)).min().expect("an assignment holds");
        assert_eq!(found.least, least);
        let optima: Vec<&Assignment> =
            all.iter().filter(|assignment| fewest(assignment.cost) == least).collect();
        for (variable, values) in found.values.iter().enumerate() {
            let mut expected: Vec<usize> = optima.iter().map(|optimum| optimum.values[variable]).collect();
            expected.sort_unstable();
            expected.dedup();
            assert_eq!(values, &expected, "variable {variable}, {budget:?}");
        }
        check_residual(&found.residual, &found.values, &optima);
        assert!(found.residual.exact || budget.max_cells == 0);
    }
}

/// The residual problem has exactly the optima, with their money.
fn check_residual(residual: &Residual, supported: &[Vec<usize>], optima: &[&Assignment]) {
    let mut left: Vec<(Vec<usize>, i64)> = all_within(residual)
        .into_iter()
        .map(|open| {
            let mut values: Vec<usize> = supported.iter().map(|values| values[0]).collect();
            for ((&variable, list), &value) in
                residual.variables.iter().zip(&residual.values).zip(&open.values)
            {
                values[variable] = list[value];
            }
            (values, open.cost.money + residual.fixed_money)
        })
        .collect();
    left.sort();
    let mut expected: Vec<(Vec<usize>, i64)> =
        optima.iter().map(|optimum| (optimum.values.clone(), optimum.cost.money)).collect();
    expected.sort();
    assert_eq!(left, expected);
}

fn all_within(residual: &Residual) -> Vec<Assignment> {
    let all = all(&residual.problem);
    if residual.exact {
        assert_eq!(residual.limit, Cost::default());
        assert!(all.iter().all(|assignment| fewest(assignment.cost) == Cost::default()));
    }
    all.into_iter().filter(|assignment| fewest(assignment.cost) == residual.limit).collect()
}

fn check_blame(problem: &Problem, constraint: &[bool], domain: &[bool]) {
    let pick = |blamed: bool| {
        let constraints = 0..problem.constraints.len();
        let domains = problem.restrictions.iter().map(|narrowed| narrowed.variable);
        (
            constraints
                .filter(|&index| constraint[index % constraint.len()] == blamed)
                .collect::<Vec<usize>>(),
            domains.filter(|&index| domain[index % domain.len()] == blamed).collect::<Vec<usize>>(),
        )
    };
    let ((constraints, domains), (given, given_domains)) = (pick(true), pick(false));
    let blame = Blame::Only { constraints: &constraints, domains: &domains };
    for budget in budgets() {
        match smallest_conflict(problem, blame, &budget).expect("a valid problem") {
            None => assert!(!all(problem).is_empty()),
            Some(conflict) => {
                assert!(conflict.constraints.iter().all(|index| constraints.contains(index)));
                assert!(conflict.domains.iter().all(|index| domains.contains(index)));
                check_conflict(problem, &conflict, &given, &given_domains);
            }
        }
    }
}

#[test]
fn ties_are_decided_at_the_first_difference_and_not_at_the_first_place_that_is_looked_at() {
    let constraint = |scope: [usize; 2], tuples: &[[usize; 2]]| Constraint {
        scope: scope.to_vec(),
        tuples: Tuples::of(tuples),
    };
    let problem = Problem {
        variables: vec![vec![Value::default(); 2]; 4],
        constraints: vec![
            constraint([1, 3], &[[0, 1], [1, 0]]),
            constraint([1, 2], &[[0, 1], [1, 0]]),
            constraint([2, 0], &[[0, 0], [0, 1], [1, 0]]),
        ],
        restrictions: Vec::new(),
    };
    check_solve(&problem);
    check_k_best(&problem, 2);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: cases(), ..ProptestConfig::default() })]

    #[test]
    fn the_best_assignment_is_the_best_and_ties_break_by_values(problem in problem(false)) {
        check_solve(&problem);
    }

    #[test]
    fn ties_are_broken_deep_down(problem in tied_tree(), k in 1..9_usize) {
        check_solve(&problem);
        check_k_best(&problem, k);
        check_supports(&problem);
    }

    #[test]
    fn large_figures_are_summed_exactly(problem in problem(true)) {
        check_solve(&problem);
        check_k_best(&problem, 4);
        check_supports(&problem);
    }

    #[test]
    fn the_next_best_come_in_order(problem in problem(false), k in 0..40_usize) {
        check_k_best(&problem, k);
    }

    #[test]
    fn supports_are_the_values_of_some_optimum_and_the_residual_has_exactly_the_optima(problem in problem(false)) {
        check_supports(&problem);
    }

    #[test]
    fn a_conflict_names_only_what_may_be_blamed_and_nothing_too_much(
        problem in problem(false),
        constraint in prop::collection::vec(any::<bool>(), 1..8),
        domain in prop::collection::vec(any::<bool>(), 1..7),
    ) {
        check_blame(&problem, &constraint, &domain);
    }

    #[test]
    fn a_short_budget_bounds_the_answer(problem in problem(false), max_nodes in 0..30_u64) {
        let all = all(&problem);
        let budget = Budget { max_cells: 0, max_nodes, ..Budget::default() };
        match solve(&problem, &budget).expect("a valid problem") {
            Outcome::Optimal(best) => prop_assert_eq!(Some(&best), all.first()),
            Outcome::Conflict(_) => prop_assert!(all.is_empty()),
            Outcome::Bounded { best, bound } => {
                prop_assert!(all.first().is_none_or(|optimum| bound <= optimum.cost));
                if let Some(best) = best {
                    prop_assert_eq!(price(&problem, &best.values), Some(best.cost));
                }
            }
        }
    }
}

/// How many random problems each property is tried on; more by the environment.
fn cases() -> u32 {
    std::env::var("PROPTEST_CASES").ok().and_then(|cases| cases.parse().ok()).unwrap_or(400)
}
