//! Reads a whole problem, fit and cover in one, from JSON: `"kind": "joint"`.
//!
//! Parts are `[free stock, carrying value, credit]`, needs `[pieces, [part]]`, suppliers their fixed costs, tiers
//! `[from, price]`; a choice is the list of its values, each `{needs, cash, change}`; `asked` lists `[choice, value]`.
//! `expect` holds the least `changes` and the aims' `values`.

use serde_json::Value;
use solver::cover::{
    Aim, Branch, Choice, ChoiceValue, Need, Offer, Part, Problem, StockPolicy, Supplier, Table, Tier,
};

use solver::fit;

use super::{Expected, Instance, index, list, number};

fn whole(value: &Value) -> i64 {
    value.as_i64().expect("a whole number")
}

fn items<'v, T>(value: &'v Value, read: impl Fn(&'v Value) -> T) -> Vec<T> {
    value.as_array().expect("a list").iter().map(read).collect()
}

fn need(value: &Value) -> Need {
    Need { quantity: whole(&value[0]), accepts: items(&value[1], index) }
}

fn offer(value: &Value) -> Offer {
    Offer {
        supplier: index(&value["supplier"]),
        contents: items(&value["contents"], |pair| (index(&pair[0]), whole(&pair[1]))),
        pack: number(value, "pack"),
        minimum: number(value, "minimum"),
        tiers: items(&value["tiers"], |tier| Tier { from: whole(&tier[0]), price: whole(&tier[1]) }),
        available: value["available"].as_i64(),
        lead_days: number(value, "lead") as u32,
        is_kit: value["kit"] == true,
    }
}

fn branch(value: &Value) -> Branch {
    let choice_value =
        |value: &Value| ChoiceValue { needs: items(&value["needs"], need), cash: number(value, "cash") };
    Branch {
        needs: items(&value["needs"], need),
        choices: items(&value["choices"], |choice| Choice { values: items(choice, choice_value) }),
        tables: items(&value["tables"], |table| Table {
            scope: items(&table["scope"], index),
            tuples: items(&table["tuples"], |tuple| items(tuple, index)),
        }),
    }
}

/// Which values of a branch's choices go together at fewest further changes, as a fit problem of its own.
fn fit_of(value: &Value) -> fit::Problem {
    let change =
        |value: &Value| fit::Cost { changes: number(value, "change") as u32, ..fit::Cost::default() };
    let tuple = |tuple: &Value| items(tuple, index);
    fit::Problem {
        variables: items(&value["choices"], |choice| {
            items(choice, |value| fit::Value { cost: change(value) })
        }),
        constraints: items(&value["tables"], |table| fit::Constraint {
            scope: items(&table["scope"], index),
            tuples: fit::Tuples::of(items(&table["tuples"], tuple)),
        }),
        restrictions: items(&value["asked"], |pair| fit::Restriction {
            variable: index(&pair[0]),
            allowed: vec![index(&pair[1])],
        }),
    }
}

fn aim(value: &Value) -> Aim {
    match value.as_str() {
        Some("cash") => Aim::Cash,
        Some("job_cost") => Aim::JobCost,
        Some("surplus") => Aim::Surplus,
        Some("days") => Aim::Days,
        Some("suppliers") => Aim::Suppliers,
        other => panic!("{other:?} is no aim"),
    }
}

/// Reads one instance.
pub(super) fn read(json: &Value) -> Instance {
    let part = |value: &Value| Part {
        free_stock: whole(&value[0]),
        carrying_value: whole(&value[1]),
        credit: whole(&value[2]),
    };
    let problem = Problem {
        parts: items(&json["parts"], part),
        suppliers: items(&json["suppliers"], |value| Supplier { fixed_cost: whole(value) }),
        offers: items(&json["offers"], offer),
        branches: items(&json["branches"], branch),
        policy: match json["policy"].as_str() {
            Some("first") => StockPolicy::First,
            Some("value") => StockPolicy::Value,
            _ => StockPolicy::None,
        },
        aims: items(&json["aims"], aim),
    };
    // What CP-SAT did not prove, SCIP did.
    let second = &json["expect"]["second"];
    let expect = if second.is_object() { second } else { &json["expect"] };
    let expected = match expect["status"].as_str() {
        Some("infeasible") => Some(Expected::Impossible),
        _ => expect["changes"].as_u64().map(|changes| Expected::Best {
            changes: changes as u32,
            values: list(expect, "values").iter().map(whole).collect(),
        }),
    };
    let fits = items(&json["branches"], fit_of);
    Instance { id: json["id"].as_str().unwrap_or("?").to_owned(), problem, fits, expected }
}
