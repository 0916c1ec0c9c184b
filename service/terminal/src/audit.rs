//! `crownwheel audit`: who changed what, when, from which value to which.

use std::fmt::Write;

use clap::Args;
use operations::list_audit::{AuditAsked, AuditSheet, list_audit};
use serde::Deserialize;

use crate::arguments::WhereArguments;
use crate::failure::Failure;
use crate::output::say;
use crate::quote::read;
use crate::source::{Source, given, json};

/// Which entries are shown.
#[derive(Debug, Clone, Args)]
pub struct AuditArguments {
    /// Only those that speak of a paper, such as orders/PO-000001.
    #[arg(long, value_name = "PAPER")]
    pub subject: Option<String>,
    /// Only those done with the key of this number.
    #[arg(long, value_name = "NUMBER")]
    pub carrier: Option<String>,
    /// Only those where this was done, such as order.placed, import or key.revoked.
    #[arg(long, value_name = "WORD")]
    pub what: Option<String>,
    /// The number behind which they stand, as printed in the first column.
    #[arg(long, value_name = "NUMBER", default_value_t = 0)]
    pub after: i64,
    /// How many at most.
    #[arg(long, value_name = "COUNT", default_value_t = 50, value_parser = clap::value_parser!(u64).range(1..=500))]
    pub limit: u64,
    /// Where they are.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// A piece of the audit as the service sends it.
#[derive(Deserialize)]
struct AuditPiece {
    items: Vec<AuditSheet>,
}

/// Prints entries.
pub(crate) async fn audit(arguments: &AuditArguments) -> Result<(), Failure> {
    let source = Source::open(&arguments.place).await?;
    let text = source.audit(arguments).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    let piece: AuditPiece = read(&text)?;
    if piece.items.is_empty() {
        return say("no such entry\n");
    }
    say(&piece.items.iter().map(entry_lines).collect::<String>())
}

/// An entry: number, time, who, what, of what; below it from which value to which.
fn entry_lines(entry: &AuditSheet) -> String {
    let at = entry.at.format("%Y-%m-%d %H:%M:%S");
    let key = entry.key.as_deref().unwrap_or("-");
    let mut text =
        format!("{:>6}  {at}  {key:<8}  {}  {}  {}\n", entry.sequence, entry.by, entry.what, entry.subject);
    for change in &entry.changes {
        let said = match (&change.from, &change.to) {
            (Some(from), Some(to)) => format!("{from} -> {to}"),
            (None, Some(to)) => to.clone(),
            (Some(from), None) => format!("{from} -> nothing"),
            (None, None) => continue,
        };
        // Writing to a text does not fail.
        let _ = writeln!(text, "        {}: {said}", change.field);
    }
    text
}

impl Source {
    /// Entries of the audit, as JSON.
    async fn audit(&self, arguments: &AuditArguments) -> Result<String, Failure> {
        match self {
            Self::Database(shop) => {
                let asked = AuditAsked {
                    subject: arguments.subject.clone(),
                    key: arguments.carrier.clone(),
                    what: arguments.what.clone(),
                    ..AuditAsked::default()
                };
                let listed = list_audit(shop, asked, arguments.after, arguments.limit).await?;
                json(&serde_json::json!({ "items": listed.items }))
            }
            Self::Service(service) => {
                let (after, limit) = (arguments.after.to_string(), arguments.limit.to_string());
                let asked = [
                    ("subject", arguments.subject.as_deref()),
                    ("key", arguments.carrier.as_deref()),
                    ("what", arguments.what.as_deref()),
                    ("after", Some(after.as_str())),
                    ("limit", Some(limit.as_str())),
                ];
                service.get("/v1/audit", &given(&asked)).await
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_entry_says_who_did_what_and_from_which_value_to_which() {
        let entry: AuditSheet = serde_json::from_value(serde_json::json!({
            "sequence": 42, "at": "2026-11-25T09:00:00Z", "key": "K-000002", "by": "counter one",
            "what": "order.cancelled", "subject": "orders/PO-000001", "detail": {}, "hash": "00",
            "changes": [
                { "field": "state", "from": "placed", "to": "cancelled" },
                { "field": "note", "from": null, "to": "gate B" },
                { "field": "substitute", "from": "VESSICK/S1", "to": null },
            ],
        }))
        .unwrap();
        assert_eq!(
            entry_lines(&entry),
            "    42  2026-11-25 09:00:00  K-000002  counter one  order.cancelled  orders/PO-000001\n        \
             state: placed -> cancelled\n        note: gate B\n        substitute: VESSICK/S1 -> nothing\n"
        );
    }
}
