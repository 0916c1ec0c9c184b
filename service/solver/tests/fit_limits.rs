//! What lies outside the usual: refused input, large shapes, budgets that end.

use std::cell::Cell;

use solver::fit::{
    Alternatives, Blame, Budget, Conflict, Constraint, Cost, CostPart, InvalidProblem, Outcome, Problem,
    Restriction, SupportsOutcome, Tuples, Value, k_best, smallest_conflict, solve, supports,
};

fn priced(money: &[i64]) -> Vec<Value> {
    money.iter().map(|&money| Value { cost: Cost { money, ..Cost::default() } }).collect()
}

fn constraint(scope: &[usize], tuples: &[&[usize]]) -> Constraint {
    Constraint { scope: scope.to_vec(), tuples: Tuples::of(tuples) }
}

fn problem(variables: &[&[i64]], constraints: Vec<Constraint>) -> Problem {
    Problem {
        variables: variables.iter().map(|money| priced(money)).collect(),
        constraints,
        restrictions: Vec::new(),
    }
}

/// Every question refuses it for the same reason, in the same words.
fn check_refused(problem: &Problem, expected: InvalidProblem, words: &str) {
    let budget = Budget::default();
    assert_eq!(solve(problem, &budget), Err(expected));
    assert_eq!(k_best(problem, 2, &budget), Err(expected));
    assert_eq!(supports(problem, &budget), Err(expected));
    assert_eq!(smallest_conflict(problem, Blame::All, &budget), Err(expected));
    assert_eq!(expected.to_string(), words);
}

#[test]
fn what_refers_to_nothing_is_refused_with_its_place() {
    check_refused(
        &problem(&[&[1]], vec![constraint(&[0, 1], &[])]),
        InvalidProblem::UnknownVariable { constraint: 0, variable: 1, variables: 1 },
        "constraint 0 names variable 1, but there are 1, counted from 0",
    );
    check_refused(
        &problem(&[&[1], &[1]], vec![constraint(&[1, 0, 1], &[])]),
        InvalidProblem::RepeatedVariable { constraint: 0, variable: 1 },
        "constraint 0 names variable 1 twice; each may stand once in a scope",
    );
    check_refused(
        &problem(&[&[1], &[1]], vec![constraint(&[0], &[&[0]]), constraint(&[0, 1], &[&[0, 0], &[0]])]),
        InvalidProblem::TupleLength { constraint: 1, tuple: 1, found: 1, expected: 2 },
        "tuple 1 of constraint 1 has 1 values; its scope asks for 2",
    );
    check_refused(
        &problem(&[&[1], &[1, 2], &[1]], vec![constraint(&[2, 1, 0], &[&[0, 1, 0], &[0, 2, 0]])]),
        InvalidProblem::UnknownValue { constraint: 0, tuple: 1, variable: 1, value: 2, values: 2 },
        "tuple 1 of constraint 0 gives variable 1 the value 2, but it has 2, counted from 0",
    );
    let many: Vec<usize> = (0..20).chain([3]).collect();
    check_refused(
        &Problem {
            variables: vec![priced(&[0]); 20],
            constraints: vec![constraint(&many, &[])],
            ..Problem::default()
        },
        InvalidProblem::RepeatedVariable { constraint: 0, variable: 3 },
        "constraint 0 names variable 3 twice; each may stand once in a scope",
    );
}

#[test]
fn restrictions_are_checked_like_constraints() {
    let narrowed = |variable, allowed: &[usize]| Restriction { variable, allowed: allowed.to_vec() };
    let with = |restrictions| Problem { restrictions, ..problem(&[&[1, 2]], Vec::new()) };
    check_refused(
        &with(vec![narrowed(4, &[])]),
        InvalidProblem::RestrictedUnknownVariable { restriction: 0, variable: 4, variables: 1 },
        "restriction 0 names variable 4, but there are 1, counted from 0",
    );
    check_refused(
        &with(vec![narrowed(0, &[1, 2])]),
        InvalidProblem::RestrictedUnknownValue { restriction: 0, variable: 0, value: 2, values: 2 },
        "restriction 0 allows variable 0 the value 2, but it has 2, counted from 0",
    );
    check_refused(
        &with(vec![narrowed(0, &[1]), narrowed(0, &[0])]),
        InvalidProblem::RepeatedRestriction { restriction: 1, variable: 0 },
        "restriction 1 narrows variable 0 a second time; join the two, or make one of them a constraint of one variable",
    );
    let problem = with(vec![narrowed(0, &[1])]);
    let blame = Blame::Only { constraints: &[0], domains: &[0] };
    let refused = InvalidProblem::UnknownBlame { index: 0, domain: false };
    assert_eq!(smallest_conflict(&problem, blame, &Budget::default()), Err(refused));
    let blame = Blame::Only { constraints: &[], domains: &[1] };
    let refused = InvalidProblem::UnknownBlame { index: 1, domain: true };
    assert_eq!(smallest_conflict(&problem, blame, &Budget::default()), Err(refused));
}

#[test]
fn sums_beyond_the_number_range_are_refused() {
    check_refused(
        &problem(&[&[i64::MAX], &[1]], Vec::new()),
        InvalidProblem::CostOverflow { part: CostPart::Money },
        "the largest possible sum of money (within 64 bits, from least to most) does not fit; use smaller figures",
    );
    let mut priced = constraint(&[0], &[&[0]]);
    priced.tuples = [([0], u32::MAX)].into_iter().collect();
    let refused = InvalidProblem::CostOverflow { part: CostPart::Unverified };
    let words =
        "the largest possible sum of unverified joints (at most 2^32 - 1) does not fit; use smaller figures";
    check_refused(&problem(&[&[0]], vec![priced.clone(), priced]), refused, words);
}

#[test]
fn nothing_to_choose_costs_nothing() {
    let nothing = Problem::default();
    let Outcome::Optimal(best) = solve(&nothing, &Budget::default()).unwrap() else { panic!("optimal") };
    assert_eq!((best.values, best.cost), (Vec::new(), Cost::default()));
    let found = k_best(&nothing, 3, &Budget::default()).unwrap();
    assert!(matches!(found, Alternatives::Proven(found) if found.len() == 1));
    assert_eq!(smallest_conflict(&nothing, Blame::All, &Budget::default()), Ok(None));
}

#[test]
fn a_variable_without_values_is_a_conflict_by_itself() {
    let problem = problem(&[&[1], &[], &[2]], vec![constraint(&[0, 2], &[])]);
    let expected = Conflict { constraints: Vec::new(), domains: vec![1], minimal: true };
    assert_eq!(solve(&problem, &Budget::default()), Ok(Outcome::Conflict(expected)));
}

#[test]
fn an_impossible_given_leaves_nothing_to_blame() {
    let problem = problem(&[&[1, 2], &[1]], vec![constraint(&[0, 1], &[]), constraint(&[0], &[&[1]])]);
    let blame = Blame::Only { constraints: &[1], domains: &[] };
    let expected = Conflict { constraints: Vec::new(), domains: Vec::new(), minimal: true };
    assert_eq!(smallest_conflict(&problem, blame, &Budget::default()), Ok(Some(expected)));
}

#[test]
fn a_long_chain_is_solved_without_running_out_of_stack() {
    // Neighbours differ, so two assignments tie all the way down; the smaller one starts with zero.
    let length = 20_000;
    let differ = |at: usize| constraint(&[at, at + 1], &[&[0, 1], &[1, 0]]);
    let chain = Problem {
        variables: vec![priced(&[7, 7]); length],
        constraints: (0..length - 1).map(differ).collect(),
        restrictions: Vec::new(),
    };
    let Outcome::Optimal(best) = solve(&chain, &Budget::default()).unwrap() else { panic!("optimal") };
    assert_eq!(best.cost.money, 7 * length as i64);
    assert!(best.values.iter().enumerate().all(|(at, &value)| value == at % 2));
    let Alternatives::Proven(found) = k_best(&chain, 3, &Budget::default()).unwrap() else {
        panic!("proven")
    };
    assert_eq!(found.len(), 2);
    assert!(found[1].values.iter().enumerate().all(|(at, &value)| value == (at + 1) % 2));
}

#[test]
fn domains_may_be_wider_than_a_machine_word() {
    // x + y = 150 with 100 values each; x is dear, so it is as small as can be.
    let sum: Vec<[usize; 2]> = (51..100).map(|x| [x, 150 - x]).collect();
    let sum: Vec<&[usize]> = sum.iter().map(<[usize; 2]>::as_slice).collect();
    let dear: Vec<i64> = (0..100).map(|x| 5 * x).collect();
    let cheap: Vec<i64> = (0..100).collect();
    let wide = problem(&[&dear, &cheap, &[0, 1]], vec![constraint(&[0, 1], &sum), constraint(&[2], &[&[1]])]);
    let Outcome::Optimal(best) = solve(&wide, &Budget::default()).unwrap() else { panic!("optimal") };
    assert_eq!(best.values, [51, 99, 1]);
    let Alternatives::Proven(found) = k_best(&wide, 60, &Budget::default()).unwrap() else {
        panic!("proven")
    };
    assert_eq!(found.len(), 49);
    assert_eq!(found[48].values, [99, 51, 1]);
}

/// A constraint over ten variables of nine values has 9^10 cells, far too many to lay out.
fn sparse() -> Problem {
    let rows: Vec<Vec<usize>> =
        (0..40).map(|row| (0..10).map(|at| (row * (at + 3) + at * at) % 9).collect()).collect();
    let mut table = Constraint { scope: (0..10).collect(), tuples: Tuples::new() };
    for (row, values) in rows.iter().enumerate() {
        table.tuples.push(values, (row % 3) as u32);
        table.tuples.push(values, 3);
    }
    let money = |variable: usize| -> Vec<i64> {
        (0..9).map(|value| ((value * 7 + variable * 5) % 11) as i64).collect()
    };
    Problem {
        variables: (0..10).map(|variable| priced(&money(variable))).collect(),
        constraints: vec![table],
        restrictions: Vec::new(),
    }
}

#[test]
fn a_constraint_over_many_variables_need_not_be_laid_out() {
    let problem = sparse();
    let mut expected: Vec<(Cost, Vec<usize>)> = problem.constraints[0]
        .tuples
        .iter()
        .filter(|tuple| tuple.unverified < 3)
        .map(|tuple| {
            let values: Vec<usize> = tuple.values.iter().map(|&value| value as usize).collect();
            let own: Cost =
                problem.variables.iter().zip(&values).map(|(list, &value)| list[value].cost).sum();
            (own + Cost { unverified: tuple.unverified, ..Cost::default() }, values)
        })
        .collect();
    expected.sort();
    expected.dedup_by(|next, kept| next.1 == kept.1);
    for max_cells in [0, Budget::DEFAULT_CELLS] {
        let budget = Budget { max_cells, ..Budget::default() };
        let Alternatives::Proven(found) = k_best(&problem, 100, &budget).unwrap() else { panic!("proven") };
        let found: Vec<(Cost, Vec<usize>)> = found.into_iter().map(|one| (one.cost, one.values)).collect();
        assert_eq!(found, expected);
        let SupportsOutcome::Proven(support) = supports(&problem, &budget).unwrap() else { panic!("proven") };
        let verified: Vec<&Vec<usize>> =
            expected.iter().filter(|(cost, _)| cost.unverified == 0).map(|(_, values)| values).collect();
        assert_eq!(support.least, Cost::default());
        for (variable, values) in support.values.iter().enumerate() {
            assert!(verified.iter().all(|row| values.contains(&row[variable])));
            assert!(values.iter().all(|value| verified.iter().any(|row| row[variable] == *value)));
        }
        assert!(!support.residual.exact);
    }
}

/// Variables of nine values that must all differ: nothing propagates, all the work is in the tables or in the search.
fn all_different(count: usize) -> Problem {
    let mut constraints = Vec::new();
    for x in 0..count {
        for y in x + 1..count {
            let pairs: Vec<[usize; 2]> =
                (0..9).flat_map(|a| (0..9).map(move |b| [a, b])).filter(|[a, b]| a != b).collect();
            let pairs: Vec<&[usize]> = pairs.iter().map(<[usize; 2]>::as_slice).collect();
            constraints.push(constraint(&[x, y], &pairs));
        }
    }
    let money: Vec<Vec<i64>> =
        (0..count).map(|x| (0..9).map(|value| (x * value * 13 % 17) as i64).collect()).collect();
    let money: Vec<&[i64]> = money.iter().map(Vec::as_slice).collect();
    problem(&money, constraints)
}

#[test]
fn a_caller_who_stops_gets_a_bound() {
    // Seven variables are stopped in their tables; nine are too wide for tables and stopped in the search.
    for (count, max_cells) in [(7, Budget::DEFAULT_CELLS), (9, 0)] {
        let problem = all_different(count);
        let patient = Budget { max_cells, ..Budget::default() };
        let Outcome::Optimal(optimum) = solve(&problem, &patient).unwrap() else { panic!("optimal") };
        let asked = Cell::new(0);
        let stop = || {
            asked.set(asked.get() + 1);
            true
        };
        let Outcome::Bounded { best, bound } =
            solve(&problem, &Budget { stop: Some(&stop), ..patient }).unwrap()
        else {
            panic!("bounded")
        };
        assert_eq!(asked.get(), 1);
        assert!(bound <= optimum.cost);
        assert!(best.is_none_or(|best| best.cost >= optimum.cost));
        let found = k_best(&problem, 3, &Budget { stop: Some(&stop), ..patient }).unwrap();
        assert!(matches!(found, Alternatives::Bounded { bound, .. } if bound <= optimum.cost));
        let found = supports(&problem, &Budget { stop: Some(&stop), ..patient }).unwrap();
        assert!(matches!(found, SupportsOutcome::Bounded { .. }));
    }
}

#[test]
fn more_search_never_weakens_the_bound_and_ends_in_the_proof() {
    let problem = all_different(9);
    let mut before = Cost { money: i64::MIN, ..Cost::default() };
    for max_nodes in [0, 10, 100, 300, 1_000, 100_000] {
        match solve(&problem, &Budget { max_cells: 0, max_nodes, ..Budget::default() }).unwrap() {
            Outcome::Bounded { best, bound } => {
                assert!(max_nodes < 100_000);
                assert!(bound >= before);
                assert!(best.is_none_or(|best| best.cost >= bound));
                before = bound;
            }
            Outcome::Optimal(best) => assert!(best.cost >= before),
            conflict @ Outcome::Conflict(_) => panic!("{conflict:?}"),
        }
    }
}

#[test]
fn the_bound_of_parts_that_are_not_tied_together_adds_up() {
    // Beside what is too wide, a pair that costs 1000 at least.
    let mut problem = all_different(9);
    problem.variables.extend([priced(&[400, 900]), priced(&[600, 100])]);
    problem.constraints.push(constraint(&[9, 10], &[&[0, 0], &[1, 1]]));
    let budget = Budget { max_cells: 50, max_nodes: 20, ..Budget::default() };
    let Outcome::Bounded { best: Some(best), bound } = solve(&problem, &budget).unwrap() else {
        panic!("bounded")
    };
    assert_eq!(best.values[9..], [0, 0]);
    assert!(bound.money > 1000 && best.cost >= bound, "{bound:?}");
}
