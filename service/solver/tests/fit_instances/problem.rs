//! Reads the problem of a fit instance.

use serde_json::Value as Json;
use solver::fit::{Constraint, Cost, Problem, Tuples, Value};

fn index(json: &Json) -> usize {
    usize::try_from(json.as_u64().expect("an index")).expect("an index")
}

fn list<T>(json: &Json, read: impl Fn(&Json) -> T) -> Vec<T> {
    json.as_array().expect("a list").iter().map(read).collect()
}

/// Positions become variables; the file knows no unverified joints.
pub(crate) fn read(json: &Json) -> Problem {
    let value = |value: &Json| Value {
        cost: Cost {
            changes: u32::try_from(index(&value["change"])).expect("changes"),
            unverified: 0,
            money: value["cost"].as_i64().expect("money"),
        },
    };
    let tuple = |tuple: &Json| list(tuple, index);
    let constraint = |constraint: &Json| Constraint {
        scope: list(&constraint["scope"], index),
        tuples: Tuples::of(list(&constraint["tuples"], tuple)),
    };
    Problem {
        variables: list(&json["positions"], |position| list(&position["values"], value)),
        constraints: list(&json["constraints"], constraint),
        restrictions: Vec::new(),
    }
}
