//! The audit: who changed what, when, from which value to which.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use store::{AuditEntry, AuditFilter, StoreError};
use utoipa::ToSchema;

use crate::listed::Listed;
use crate::shop::Shop;

/// An entry of the audit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct AuditSheet {
    /// Its running number, without holes.
    #[schema(example = 42)]
    pub sequence: i64,
    /// When it was done.
    pub at: DateTime<Utc>,
    /// The number of the key that was shown; empty: somebody at the machine itself, or the service.
    #[schema(example = "K-000001")]
    pub key: Option<String>,
    /// The name of that key, or of the place.
    #[schema(example = "first owner")]
    pub by: String,
    /// What was done, in the words of the events; `import`, `key.made` and `key.revoked` are told by no event.
    #[schema(example = "job.changed")]
    pub what: String,
    /// What it speaks of: the path below `/v1/`.
    #[schema(example = "jobs/J-000001")]
    pub subject: String,
    /// From which value to which. An import tells the values of files of at most 20 rows; sheets and counts stand in `detail`.
    pub changes: Vec<AuditChange>,
    /// What else there is to say: the data of the event, or the report of the import.
    #[schema(value_type = Object)]
    pub detail: serde_json::Value,
    /// SHA-256 of the particulars, in hexadecimal; of an import that of the rows that it changed.
    pub hash: String,
}

/// A value that became another one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct AuditChange {
    /// Its name.
    #[schema(example = "state")]
    pub field: String,
    /// As it was; empty: there was none.
    #[schema(example = "quoted")]
    pub from: Option<String>,
    /// As it is after it; empty: there is none any longer.
    #[schema(example = "approved")]
    pub to: Option<String>,
}

/// Which entries are wanted.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct AuditAsked {
    /// That speak of this.
    pub subject: Option<String>,
    /// Done with the key of this number.
    pub key: Option<String>,
    /// Where this was done.
    pub what: Option<String>,
    /// From this instant on.
    pub from: Option<DateTime<Utc>>,
    /// Before this instant.
    pub until: Option<DateTime<Utc>>,
}

/// The entries behind a number, the oldest first, at most so many.
pub async fn list_audit(
    shop: &Shop,
    asked: AuditAsked,
    after: i64,
    limit: u64,
) -> Result<Listed<AuditSheet>, StoreError> {
    let AuditAsked { subject, key, what, from, until } = asked;
    let filter = AuditFilter { subject, key, what, from, until };
    let found = shop.store().list_audit(&filter, after, limit.saturating_add(1)).await?;
    let sheets = found.into_iter().map(sheet_of).collect::<Result<Vec<_>, _>>()?;
    Ok(Listed::of(sheets, limit, |entry: &AuditSheet| entry.sequence.to_string()))
}

/// The particulars of a change as they are kept.
#[derive(Deserialize)]
struct Kept {
    changes: Vec<AuditChange>,
    data: serde_json::Value,
}

fn sheet_of(entry: AuditEntry) -> Result<AuditSheet, StoreError> {
    let bad = |_| StoreError::BadRow { table: "audit", column: "detail".to_owned() };
    let detail: serde_json::Value = serde_json::from_str(&entry.detail).map_err(bad)?;
    // Entries of imports that an earlier version wrote have no list of changes.
    let Kept { changes, data } = match detail.get("changes") {
        Some(_) => serde_json::from_value(detail).map_err(bad)?,
        None => Kept { changes: Vec::new(), data: detail },
    };
    Ok(AuditSheet {
        sequence: entry.sequence,
        at: entry.at,
        key: entry.key,
        by: entry.who,
        what: entry.what,
        subject: entry.subject,
        changes,
        detail: data,
        hash: entry.hash,
    })
}
