//! Instances solved by CP-SAT beforehand: the values must be the same, and proven.

use solver::cover::{Aim, Budget, Outcome, Plan, Problem, StockPolicy, solve};

mod cover_instance;

use cover_instance::{Expected, Instance, values};

fn instances() -> Vec<Instance> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/cover_instances");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .expect("the folder of instances")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    files.sort();
    files.iter().map(|file| cover_instance::read(&std::fs::read_to_string(file).expect("a file"))).collect()
}

fn best(problem: &Problem) -> Plan {
    match solve(problem, &Budget::UNLIMITED).expect("valid") {
        Outcome::Optimal(plan) => plan,
        other => panic!("{other:?}"),
    }
}

#[test]
fn the_referee_finds_the_same_optimum() {
    let instances = instances();
    assert!(instances.len() >= 40);
    for instance in instances {
        assert!(instance.fits.is_empty(), "{} is about cover alone", instance.id);
        let plan = best(&instance.problem);
        let found = Expected::Best { changes: 0, values: values(&instance.problem, &plan) };
        assert_eq!(Some(found), instance.expected, "{}", instance.id);
    }
}

#[test]
fn later_aims_cost_nothing_on_earlier_ones() {
    for Instance { id, mut problem, .. } in
        instances().into_iter().filter(|held| held.id.starts_with("small"))
    {
        problem.policy = StockPolicy::First;
        let all = [Aim::Cash, Aim::JobCost, Aim::Surplus, Aim::Days, Aim::Suppliers];
        problem.aims = all[..1].to_vec();
        let alone = values(&problem, &best(&problem));
        problem.aims = all.to_vec();
        assert_eq!(values(&problem, &best(&problem))[..1], alone, "{id}");
    }
}

#[test]
fn the_order_of_the_offers_does_not_change_the_values() {
    for Instance { id, mut problem, .. } in
        instances().into_iter().filter(|held| held.id.starts_with("small"))
    {
        let before = values(&problem, &best(&problem));
        problem.offers.reverse();
        assert_eq!(values(&problem, &best(&problem)), before, "{id}");
    }
}
