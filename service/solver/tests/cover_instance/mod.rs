//! Reads cover instances with their expected optimum from JSON.
//!
//! Prices are per pack, minimum orders and availability count packs, and the first supplier is the shop's own shelf:
//! its offers become free stock at a carrying value, so least cost is least job cost under stock policy *value*.

use serde_json::Value;
use solver::cover::{Aim, Branch, Need, Offer, Part, Plan, Problem, StockPolicy, Supplier, Tier};
use solver::fit;

mod joint;

/// An instance and what the referee found.
pub(crate) struct Instance {
    /// Its name.
    pub(crate) id: String,
    /// The problem; its choices hold every value, whatever goes together best.
    pub(crate) problem: Problem,
    /// For each branch which values of its choices go together, and what counts as a further change; empty: all may.
    pub(crate) fits: Vec<fit::Problem>,
    /// What the referee found, `None` if it found nothing.
    pub(crate) expected: Option<Expected>,
}

/// What the referee found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Expected {
    /// No choice of values goes together.
    Impossible,
    /// The least further changes, and the values of the aims at the optimum: of the first aims only, where the referee's
    /// time ended before the others.
    Best {
        /// Further changes over all branches.
        changes: u32,
        /// One value for each aim that it proved.
        values: Vec<i64>,
    },
}

/// The values of the aims of a problem at a plan.
pub(crate) fn values(problem: &Problem, plan: &Plan) -> Vec<i64> {
    let value = |aim: &Aim| match aim {
        Aim::Cash => plan.cash,
        Aim::JobCost => plan.job_cost,
        Aim::Surplus => plan.surplus,
        Aim::Days => i64::from(plan.days),
        Aim::Suppliers => plan.suppliers as i64,
    };
    problem.aims.iter().map(value).collect()
}

fn number(value: &Value, key: &str) -> i64 {
    value[key].as_i64().unwrap_or_else(|| panic!("{key} is a whole number"))
}

fn list<'v>(value: &'v Value, key: &str) -> &'v [Value] {
    value[key].as_array().unwrap_or_else(|| panic!("{key} is a list"))
}

fn index(value: &Value) -> usize {
    value.as_u64().expect("an index") as usize
}

/// Reads one instance.
pub(crate) fn read(text: &str) -> Instance {
    let json: Value = serde_json::from_str(text).expect("JSON");
    if json["kind"] == "joint" { joint::read(&json) } else { cover(&json) }
}

fn cover(json: &Value) -> Instance {
    let mut parts: Vec<Part> = Vec::new();
    let mut offers: Vec<Offer> = Vec::new();
    for (at, part) in list(json, "parts").iter().enumerate() {
        let mut held = Part::default();
        for offer in list(part, "offers") {
            let (price, pack) = (number(offer, "price"), number(offer, "pack"));
            if index(&offer["supplier"]) == 0 {
                (held.free_stock, held.carrying_value) = (number(offer, "stock") * pack, price / pack);
                continue;
            }
            assert_eq!(price % pack, 0);
            let least = number(offer, "moq");
            offers.push(Offer {
                supplier: index(&offer["supplier"]),
                contents: vec![(at, 1)],
                pack,
                minimum: if least > 1 { least * pack } else { 0 },
                tiers: vec![Tier { from: 1, price: price / pack }],
                available: Some(number(offer, "stock") * pack),
                lead_days: number(offer, "lead") as u32,
                is_kit: false,
            });
        }
        parts.push(held);
    }
    for kit in list(json, "kits") {
        let options = kit["one_of"].as_array();
        assert!(options.is_none_or(Vec::is_empty), "options are kits of their own here");
        offers.push(Offer {
            supplier: index(&kit["supplier"]),
            contents: list(kit, "contents")
                .iter()
                .map(|pair| (index(&pair[0]), pair[1].as_i64().expect("pieces")))
                .collect(),
            pack: 1,
            minimum: 0,
            tiers: vec![Tier { from: 1, price: number(kit, "price") }],
            available: Some(number(kit, "stock")),
            lead_days: number(kit, "lead") as u32,
            is_kit: true,
        });
    }
    let needs = list(json, "demands")
        .iter()
        .map(|demand| Need {
            quantity: number(demand, "qty"),
            accepts: list(demand, "accepts").iter().map(index).collect(),
        })
        .collect();
    let aims = match json["objective"].as_str() {
        Some("earliest") => vec![Aim::Days, Aim::JobCost],
        Some("suppliers") => vec![Aim::Suppliers, Aim::JobCost],
        _ => vec![Aim::JobCost],
    };
    let suppliers =
        list(json, "suppliers").iter().map(|held| Supplier { fixed_cost: number(held, "fixed") }).collect();
    // What CP-SAT did not prove, SCIP did.
    let second = &json["expect"]["second"];
    let expect = if second.is_object() { second } else { &json["expect"] };
    let proven = second.is_object() || expect["status"] == "optimal";
    let expected = proven.then(|| Expected::Best {
        changes: 0,
        values: expect["first"].as_i64().into_iter().chain([number(expect, "obj")]).collect(),
    });
    Instance {
        id: json["id"].as_str().unwrap_or("?").to_owned(),
        problem: Problem {
            parts,
            suppliers,
            offers,
            branches: vec![Branch { needs, ..Branch::default() }],
            policy: StockPolicy::Value,
            aims,
        },
        fits: Vec::new(),
        expected,
    }
}
