//! Instances solved by CP-SAT beforehand: the answers must be the same.

mod fit_instances;

use fit_instances::{Instance, price};
use solver::fit::{Alternatives, Budget, Constraint, Outcome, Problem, k_best, solve};

fn instances() -> Vec<Instance> {
    let folder = format!("{}/tests/fit_instances", env!("CARGO_MANIFEST_DIR"));
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .expect("the folder of instances")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "json"))
        .collect();
    files.sort();
    files.iter().map(|file| fit_instances::read(&std::fs::read_to_string(file).expect("a file"))).collect()
}

#[test]
fn the_least_cost_and_the_smallest_assignment_are_those_of_the_referee() {
    let instances = instances();
    assert!(instances.len() >= 50, "{} instances", instances.len());
    for size in ["small", "medium", "medium-hard", "large", "extreme", "wide8x60"] {
        assert!(instances.iter().any(|instance| instance.size == size), "no {size} instance");
    }
    let mut compared = 0;
    for Instance { id, problem, expected, .. } in &instances {
        let expected = expected.as_ref().expect("the referee finished each of these");
        match solve(problem, &Budget::default()).unwrap() {
            Outcome::Optimal(best) => {
                assert_eq!(expected.objective, Some((best.cost.changes, best.cost.money)), "{id}");
                // Of the wide ones the referee did not find the smallest assignment in its time.
                if let Some(values) = &expected.assignment {
                    assert_eq!(values, &best.values, "{id}");
                    compared += 1;
                }
                assert_eq!(price(problem, &best.values), Some(best.cost), "{id}");
            }
            Outcome::Conflict(_) => assert!(!expected.possible, "{id}"),
            bounded @ Outcome::Bounded { .. } => panic!("{id}: {bounded:?}"),
        }
    }
    assert!(compared >= 40, "{compared} assignments compared");
}

#[test]
fn the_five_best_cost_what_those_of_the_referee_cost() {
    for Instance { id, problem, expected, .. } in &instances() {
        let Some(best) = expected.as_ref().and_then(|expected| expected.best.clone()) else { continue };
        let Alternatives::Proven(found) = k_best(problem, 5, &Budget::default()).unwrap() else {
            panic!("{id}: not proven");
        };
        let costs: Vec<(u32, i64)> = found.iter().map(|one| (one.cost.changes, one.cost.money)).collect();
        assert_eq!(costs, best, "{id}");
        for (at, one) in found.iter().enumerate() {
            assert_eq!(price(problem, &one.values), Some(one.cost), "{id}");
            assert!(found[..at].iter().all(|other| other.values != one.values), "{id}");
        }
    }
}

#[test]
fn a_conflict_is_impossible_and_without_any_one_of_its_constraints_possible() {
    let mut conflicts = 0;
    for Instance { id, problem, .. } in &instances() {
        let Outcome::Conflict(conflict) = solve(problem, &Budget::default()).unwrap() else { continue };
        conflicts += 1;
        assert!(conflict.minimal, "{id}");
        let possible = |left_out: Option<usize>| {
            let kept = conflict.constraints.iter().filter(|&&index| Some(index) != left_out);
            let constraints: Vec<Constraint> =
                kept.map(|&index| problem.constraints[index].clone()).collect();
            let part =
                Problem { variables: problem.variables.clone(), constraints, restrictions: Vec::new() };
            matches!(solve(&part, &Budget::default()), Ok(Outcome::Optimal(_)))
        };
        assert!(!possible(None), "{id}: {conflict:?}");
        for &index in &conflict.constraints {
            assert!(possible(Some(index)), "{id}: {conflict:?} holds without {index}");
        }
    }
    assert!(conflicts >= 8, "{conflicts} conflicts");
}

#[test]
fn the_search_finds_the_same_as_the_tables() {
    for Instance { id, size, problem, .. } in &instances() {
        if size.starts_with("wide") {
            continue;
        }
        let tables = solve(problem, &Budget::default()).unwrap();
        let search = solve(problem, &Budget { max_cells: 0, ..Budget::default() }).unwrap();
        match (&tables, &search) {
            (Outcome::Optimal(_), _) => assert_eq!(search, tables, "{id}"),
            _ => assert!(matches!(search, Outcome::Conflict(_)), "{id}"),
        }
    }
}
