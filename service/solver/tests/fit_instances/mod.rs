//! Reads fit instances: positions with values, constraints with tuples, and what the referee expects.

mod problem;

use serde_json::Value as Json;
use solver::fit::{Cost, Problem};

/// What the referee found.
pub(crate) struct Expected {
    /// Whether it found an assignment at all.
    pub(crate) possible: bool,
    /// Its least (changes, cost).
    pub(crate) objective: Option<(u32, i64)>,
    /// The lexicographically smallest assignment of that, where the referee was asked for it.
    pub(crate) assignment: Option<Vec<usize>>,
    /// The (changes, cost) of its best assignments, in order.
    pub(crate) best: Option<Vec<(u32, i64)>>,
}

/// An instance.
pub(crate) struct Instance {
    /// Its name.
    pub(crate) id: String,
    /// Its size class.
    pub(crate) size: String,
    pub(crate) problem: Problem,
    /// Absent where the referee did not finish, or was not asked.
    pub(crate) expected: Option<Expected>,
}

fn pair(json: &Json) -> (u32, i64) {
    (u32::try_from(json[0].as_u64().expect("changes")).expect("changes"), json[1].as_i64().expect("money"))
}

fn value(json: &Json) -> usize {
    usize::try_from(json.as_u64().expect("a value")).expect("a value")
}

/// Reads one instance from JSON text.
pub(crate) fn read(text: &str) -> Instance {
    let json: Json = serde_json::from_str(text).expect("JSON");
    let expect = &json["expect"];
    let expected = expect["status"].as_str().filter(|status| *status != "unknown").map(|status| Expected {
        possible: status != "infeasible",
        objective: expect.get("obj").map(pair),
        assignment: expect["assignment"].as_array().map(|values| values.iter().map(value).collect()),
        best: expect["kbest"].as_array().map(|costs| costs.iter().map(pair).collect()),
    });
    Instance {
        id: json["id"].as_str().expect("an id").to_owned(),
        size: json["size"].as_str().expect("a size").to_owned(),
        problem: problem::read(&json),
        expected,
    }
}

/// What an assignment costs, or `None` if a constraint forbids it.
pub(crate) fn price(problem: &Problem, values: &[usize]) -> Option<Cost> {
    let mut cost: Cost = problem.variables.iter().zip(values).map(|(list, &value)| list[value].cost).sum();
    for constraint in &problem.constraints {
        let here = constraint.tuples.iter().find(|tuple| tuple.is_part_of(values, &constraint.scope));
        let unverified = here?.unverified;
        cost = cost + Cost { unverified, ..Cost::default() };
    }
    Some(cost)
}
