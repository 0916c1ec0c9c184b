//! Joint problems solved by CP-SAT, and by SCIP where CP-SAT had no proof, in one piece beforehand: fit first leaves what goes together at fewest further changes,
//! cover then chooses among that, and both together must come to the same values, proven.

use std::fmt::Write;

use solver::cover::{Budget, Outcome, solve};
use solver::fit::{Blame, Budget as FitBudget, Restriction, SupportsOutcome, smallest_conflict, supports};

mod cover_instance;
#[path = "cover_instance/narrowed.rs"]
mod narrowed;

use cover_instance::{Expected, Instance, values};
use narrowed::Narrowed;

/// The instances of a size, one a line.
fn instances(size: &str) -> Vec<Instance> {
    let file = format!("{}/tests/joint_instances/{size}.jsonl", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(file).expect("a file").lines().map(cover_instance::read).collect()
}

/// The changes and the values of the aims, proven; `None` where no values go together.
fn best(instance: &Instance) -> Option<(u32, Vec<i64>)> {
    let (problem, changes) = match instance.narrowed() {
        Narrowed::Left(problem, changes) => (problem, changes),
        Narrowed::Impossible => return None,
    };
    match solve(&problem, &Budget::UNLIMITED).expect("valid") {
        Outcome::Optimal(plan) => Some((changes, values(&problem, &plan))),
        other => panic!("{}: {other:?}", instance.id),
    }
}

/// Held against the referee; how many it proved in all aims, in some, and proved impossible.
fn held_against_the_referee(size: &str) -> [usize; 3] {
    let mut counts = [0; 3];
    let mut wrong = String::new();
    for instance in instances(size) {
        let found = best(&instance);
        let (at, right) = match (instance.expected.as_ref().expect("the referee said something"), &found) {
            (Expected::Impossible, None) => (2, true),
            (Expected::Best { changes, values }, Some((least, found))) => {
                (usize::from(values.len() < found.len()), least == changes && found.starts_with(values))
            }
            _ => (0, false),
        };
        counts[at] += 1;
        if !right {
            let _ = writeln!(wrong, "{}: {found:?} against {:?}", instance.id, instance.expected);
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
    counts
}

#[test]
fn small_joint_problems_have_the_referees_optimum() {
    let [all, some, impossible] = held_against_the_referee("small");
    assert!(all >= 100 && some == 0 && impossible >= 5, "{all} {some} {impossible}");
}

#[test]
fn medium_joint_problems_have_the_referees_optimum() {
    let [all, some, _] = held_against_the_referee("medium");
    assert!(all >= 20 && some == 0, "{all} {some}");
}

#[test]
fn large_joint_problems_have_the_second_referees_optimum() {
    let [all, some, _] = held_against_the_referee("large");
    assert!(all >= 5 && some == 0, "{all} {some}");
}

#[test]
fn of_every_impossible_one_the_named_facts_are_impossible_and_no_fact_can_be_left_out() {
    let mut held = 0;
    for instance in instances("small").into_iter().chain(instances("medium")) {
        for fit in &instance.fits {
            let Some(conflict) = smallest_conflict(fit, Blame::All, &FitBudget::default()).expect("valid")
            else {
                continue;
            };
            held += 1;
            assert!(conflict.minimal, "{}", instance.id);
            let without = |constraint: Option<usize>, domain: Option<usize>| {
                let mut left = fit.clone();
                let kept = |at: &usize| Some(*at) != constraint && conflict.constraints.contains(at);
                left.constraints =
                    (0..fit.constraints.len()).filter(kept).map(|at| fit.constraints[at].clone()).collect();
                let kept = |held: &&Restriction| {
                    Some(held.variable) != domain && conflict.domains.contains(&held.variable)
                };
                left.restrictions = fit.restrictions.iter().filter(kept).cloned().collect();
                matches!(supports(&left, &FitBudget::default()).expect("valid"), SupportsOutcome::Proven(_))
            };
            assert!(!without(None, None), "{}: the named facts are possible", instance.id);
            for &constraint in &conflict.constraints {
                assert!(without(Some(constraint), None), "{}: constraint {constraint}", instance.id);
            }
            for &domain in &conflict.domains {
                assert!(without(None, Some(domain)), "{}: domain {domain}", instance.id);
            }
        }
    }
    assert!(held >= 5, "{held}");
}
