//! Reads a whole problem, with branches, choices and tables, from JSON: `"kind": "joint"`.
//!
//! Parts are `[free stock, carrying value, credit]`, needs `[pieces, [part]]`, suppliers their fixed costs, tiers
//! `[from, price]`; a choice is the list of its values, each `{needs, cash}`. `expect.values` holds the aims' values.

use serde_json::Value;
use solver::cover::{
    Aim, Branch, Choice, ChoiceValue, Need, Offer, Part, Problem, StockPolicy, Supplier, Table, Tier,
};

use super::{Instance, index, list, number};

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
    let expect = &json["expect"];
    Instance {
        id: json["id"].as_str().unwrap_or("?").to_owned(),
        problem,
        expected: (expect["status"] == "optimal").then(|| list(expect, "values").iter().map(whole).collect()),
    }
}
