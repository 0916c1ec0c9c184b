//! The questions, and the answers in a form in which they can be compared.

use std::collections::{BTreeMap, BTreeSet};

use operations::asked::Asked;
use operations::find_part::find_current_numbers;
use operations::quote_rebuild::quote_rebuild;
use operations::shop::Shop;
use operations::where_used::where_used;
use serde_json::Value;

use crate::DAY;
use crate::peer::Peer;
use crate::synthetic::Synthetic;

/// A database, asked through the service and asked directly.
pub(crate) struct Place {
    pub(crate) name: &'static str,
    pub(crate) shop: Shop,
    pub(crate) peer: Peer,
}

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    Current,
    Rebuild,
    Uses,
}

/// A question with what it is asked about.
pub(crate) struct Question {
    pub(crate) kind: Kind,
    pub(crate) subjects: Vec<String>,
}

/// Everything that an answer says, in order: for a rebuild each part with its need and what comes off the shelf.
pub(crate) type Said = BTreeSet<(String, String, String)>;

impl Question {
    pub(crate) fn all(catalogue: &Synthetic) -> [Self; 3] {
        let some = |list: &[String], count: usize| {
            list.iter().step_by(list.len().div_ceil(count)).cloned().collect::<Vec<String>>()
        };
        [
            Self { kind: Kind::Current, subjects: some(&catalogue.numbers, 300) },
            Self { kind: Kind::Rebuild, subjects: some(&catalogue.units, 20) },
            Self { kind: Kind::Uses, subjects: some(&catalogue.used, 300) },
        ]
    }

    pub(crate) fn name(&self) -> &'static str {
        match self.kind {
            Kind::Current => "current numbers",
            Kind::Rebuild => "rebuild of a unit",
            Kind::Uses => "where used",
        }
    }
}

impl Kind {
    /// The service's answer as JSON.
    pub(crate) async fn ask_service(self, shop: &Shop, subject: &str) -> String {
        let day = DAY.parse().unwrap();
        match self {
            Self::Current => {
                serde_json::to_string(&find_current_numbers(shop, subject, Some(day)).await.unwrap()).unwrap()
            }
            Self::Rebuild => {
                let asked = Asked { as_of: Some(day), ..Asked::overhaul(subject) };
                quote_rebuild(shop, &asked).await.unwrap().body.to_string()
            }
            Self::Uses => serde_json::to_string(&where_used(shop, subject).await.unwrap()).unwrap(),
        }
    }

    /// The answer of the recursive SQL as JSON.
    pub(crate) async fn ask_peer(self, peer: &Peer, subject: &str) -> String {
        match self {
            Self::Current => serde_json::to_string(&peer.current(subject).await).unwrap(),
            Self::Rebuild => serde_json::to_string(&peer.rebuild(subject).await).unwrap(),
            Self::Uses => serde_json::to_string(&peer.uses(subject).await).unwrap(),
        }
    }

    /// What the service's answer says.
    pub(crate) fn said_by_service(self, answer: &str) -> Said {
        let answer: Value = serde_json::from_str(answer).unwrap();
        match self {
            Self::Current if answer["current"] == true => [said(&answer["part"]["part"], "", "")].into(),
            Self::Current => {
                list(&answer["successors"]).iter().map(|number| said(&number["part"], "", "")).collect()
            }
            Self::Rebuild => rebuild_said(&answer),
            Self::Uses => {
                let positions = list(&answer["positions"]).iter();
                let positions = positions.map(|used| {
                    let place = format!("{} {}", text(&used["unit"]), text(&used["position"]));
                    said(&used["part"], "0", &place)
                });
                let kits = list(&answer["kits"]).iter().map(|used| {
                    said(&used["part"], "1", &format!("{} {}", text(&used["kit"]), used["line"]))
                });
                positions.chain(kits).collect()
            }
        }
    }

    /// What the answer of the SQL says.
    pub(crate) fn said_by_peer(self, answer: &str) -> Said {
        let answer: Value = serde_json::from_str(answer).unwrap();
        let rows = list(&answer).iter();
        match self {
            Self::Current => rows.map(|row| said(&row[0], "", "")).collect(),
            Self::Rebuild => {
                rows.map(|row| said(&row[0], &row[1].to_string(), &row[2].to_string())).collect()
            }
            Self::Uses => rows
                .map(|row| {
                    said(&row[3], &row[0].to_string(), &format!("{} {}", text(&row[1]), text(&row[2])))
                })
                .collect(),
        }
    }
}

fn rebuild_said(answer: &Value) -> Said {
    let mut needed: BTreeMap<String, (i64, i64)> = BTreeMap::new();
    for line in list(&answer["units"][0]["lines"]).iter().filter(|line| line["action"] != "keep") {
        needed.entry(text(&line["part"]["part"])).or_default().0 += thousandths(&line["quantity"]);
    }
    for lot in list(&answer["sourcing"]["from_stock"]) {
        needed.entry(text(&lot["part"]["part"])).or_default().1 += thousandths(&lot["quantity"]);
    }
    needed.into_iter().map(|(part, (need, free))| (part, need.to_string(), free.to_string())).collect()
}

fn said(part: &Value, one: &str, other: &str) -> (String, String, String) {
    (text(part), one.to_owned(), other.to_owned())
}

fn list(value: &Value) -> &Vec<Value> {
    value.as_array().unwrap()
}

fn text(value: &Value) -> String {
    value.as_str().unwrap().to_owned()
}

fn thousandths(quantity: &Value) -> i64 {
    (text(quantity).parse::<f64>().unwrap() * 1000.0).round() as i64
}
