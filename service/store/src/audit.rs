//! The audit: who changed what, when, from which value to which. It is only added to, in the transaction of the change.

use chrono::{DateTime, Utc};
use sea_orm::{ConnectionTrait, DatabaseTransaction, QueryResult, Value};
use sha2::{Digest, Sha256};
use uuid::Uuid;

use crate::caller::Caller;
use crate::error::StoreError;
use crate::numbers::take_numbers;
use crate::select::statement;
use crate::store::Store;

/// An entry of the audit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AuditEntry {
    /// Its running number, without holes.
    pub sequence: i64,
    /// When it was done.
    pub at: DateTime<Utc>,
    /// The number of the key that was shown; `None`: somebody at the machine itself.
    pub key: Option<String>,
    /// Who did it.
    pub who: String,
    /// What was done: the word of an event's kind, or another one where no event tells of it.
    pub what: String,
    /// What it speaks of: the path below `/v1/`.
    pub subject: String,
    /// Its particulars, as JSON.
    pub detail: String,
    /// SHA-256 of what was changed, in hexadecimal.
    pub hash: String,
}

/// Which entries are wanted.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct AuditFilter {
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

/// A value that has become another one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Changed {
    field: String,
    from: Option<String>,
    to: Option<String>,
}

impl Changed {
    /// From a value to another; `None`: there was none, or is none any longer.
    pub(crate) fn new(
        field: impl Into<String>,
        from: Option<impl ToString>,
        to: Option<impl ToString>,
    ) -> Self {
        Self {
            field: field.into(),
            from: from.map(|value| value.to_string()),
            to: to.map(|value| value.to_string()),
        }
    }

    /// A value where there was none.
    pub(crate) fn made(field: impl Into<String>, to: impl ToString) -> Self {
        Self::new(field, None::<String>, Some(to))
    }

    /// Whether it is another value at all.
    pub(crate) fn is_change(&self) -> bool {
        self.from != self.to
    }

    fn json(&self) -> serde_json::Value {
        serde_json::json!({ "field": self.field, "from": self.from, "to": self.to })
    }
}

/// An entry that is to be written.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct NewEntry {
    /// When it was done.
    pub(crate) at: DateTime<Utc>,
    /// What was done.
    pub(crate) what: String,
    /// What it speaks of.
    pub(crate) subject: String,
    /// From which value to which. What is the same as before is left out.
    pub(crate) changes: Vec<Changed>,
    /// What else there is to say.
    pub(crate) data: serde_json::Value,
}

impl NewEntry {
    fn detail(&self) -> String {
        particulars(&self.changes, self.data.clone())
    }
}

/// The particulars of an entry as they are kept.
pub(crate) fn particulars(changes: &[Changed], data: serde_json::Value) -> String {
    let changes: Vec<serde_json::Value> =
        changes.iter().filter(|change| change.is_change()).map(Changed::json).collect();
    serde_json::json!({ "changes": changes, "data": data }).to_string()
}

/// Adds an entry. The columns in order: number, instant, key, who, what, subject, particulars, hash.
pub(crate) const INSERT: &str = "INSERT INTO audit (seq, at, key, who, what, subject, detail, hash) \
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8)";

/// Writes entries under the next numbers. The series is held until the transaction ends, as that of the events is
/// ([`crate::outbox`]), which comes right after.
pub(crate) async fn insert_entries(
    transaction: &DatabaseTransaction,
    caller: &Caller,
    entries: &[NewEntry],
) -> Result<(), StoreError> {
    if entries.is_empty() {
        return Ok(());
    }
    let count = i64::try_from(entries.len()).unwrap_or(i64::MAX);
    let first = take_numbers(transaction, "audit", count).await?;
    for (sequence, entry) in (first..).zip(entries) {
        let detail = entry.detail();
        let hash: String = Sha256::digest(&detail).iter().map(|byte| format!("{byte:02x}")).collect();
        let values: Vec<Value> = vec![
            sequence.into(),
            entry.at.into(),
            caller.key.clone().into(),
            caller.name.as_str().into(),
            entry.what.as_str().into(),
            entry.subject.as_str().into(),
            detail.into(),
            hash.into(),
        ];
        transaction.execute_raw(statement(transaction, INSERT.to_owned(), values)).await?;
    }
    Ok(())
}

impl Store {
    /// The entries after a number, the oldest first, at most so many.
    pub async fn list_audit(
        &self,
        filter: &AuditFilter,
        after: i64,
        limit: u64,
    ) -> Result<Vec<AuditEntry>, StoreError> {
        let mut sql =
            "SELECT seq, at, key, who, what, subject, detail, hash FROM audit WHERE seq > $1".to_owned();
        let mut values: Vec<Value> = vec![after.into()];
        let texts = [("subject =", &filter.subject), ("key =", &filter.key), ("what =", &filter.what)];
        let texts = texts.into_iter().filter_map(|(is, text)| Some((is, Value::from(text.as_deref()?))));
        let instants = [("at >=", filter.from), ("at <", filter.until)];
        let instants = instants.into_iter().filter_map(|(is, instant)| Some((is, Value::from(instant?))));
        for (is, value) in texts.chain(instants) {
            values.push(value);
            sql.push_str(&format!(" AND {is} ${}", values.len()));
        }
        sql.push_str(&format!(" ORDER BY seq LIMIT {limit}"));
        let rows = self.db.query_all_raw(statement(&self.db, sql, values)).await?;
        rows.iter().map(entry_of).collect()
    }

    /// The particulars of the import that has a paper, where its rows went in.
    pub(crate) async fn audit_of_import(&self, paper: Uuid) -> Result<Option<String>, StoreError> {
        let sql = "SELECT detail FROM audit WHERE what = 'import' AND detail LIKE $1 ORDER BY seq LIMIT 1";
        let values = vec![format!("%\"import\":\"{paper}\"%").into()];
        let row = self.db.query_one_raw(statement(&self.db, sql.to_owned(), values)).await?;
        Ok(row.map(|row| row.try_get_by_index(0)).transpose()?)
    }
}

fn entry_of(row: &QueryResult) -> Result<AuditEntry, StoreError> {
    Ok(AuditEntry {
        sequence: row.try_get_by_index(0)?,
        at: row.try_get_by_index(1)?,
        key: row.try_get_by_index(2)?,
        who: row.try_get_by_index(3)?,
        what: row.try_get_by_index(4)?,
        subject: row.try_get_by_index(5)?,
        detail: row.try_get_by_index(6)?,
        hash: row.try_get_by_index(7)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_as_before_is_left_out() {
        let entry = NewEntry {
            at: DateTime::UNIX_EPOCH,
            what: "job.changed".into(),
            subject: "jobs/J-000001".into(),
            changes: vec![
                Changed::new("state", Some("open"), Some("quoted")),
                Changed::new("note", Some("x"), Some("x")),
                Changed::made("count", 3),
                Changed::new("paused_because", Some("asked"), None::<&str>),
            ],
            data: serde_json::json!({"job": "J-000001"}),
        };
        assert_eq!(
            entry.detail(),
            "{\"changes\":[{\"field\":\"state\",\"from\":\"open\",\"to\":\"quoted\"},\
             {\"field\":\"count\",\"from\":null,\"to\":\"3\"},\
             {\"field\":\"paused_because\",\"from\":\"asked\",\"to\":null}],\"data\":{\"job\":\"J-000001\"}}"
        );
    }
}
