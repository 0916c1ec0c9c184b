//! The last attempts to deliver to a target.

use chrono::{DateTime, Utc};
use sea_orm::{ConnectionTrait, DatabaseTransaction, QueryResult, Value};

use crate::error::StoreError;
use crate::numbers::kept;
use crate::select::statement;
use crate::store::Store;

/// Attempts that are kept of each target; older ones are forgotten.
const KEPT: u64 = 500;

/// An attempt that is to be noted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewAttempt {
    /// The target.
    pub webhook: String,
    /// Its id, which rises with time.
    pub id: String,
    /// The id of the event.
    pub event: String,
    /// The word of the event's kind.
    pub kind: String,
    /// What the event speaks of.
    pub subject: String,
    /// The how-manieth attempt with this event it was.
    pub tries: i64,
    /// When it began.
    pub at: DateTime<Utc>,
    /// How long it took, in milliseconds.
    pub took_ms: i64,
    /// Whether it was delivered.
    pub delivered: bool,
    /// The status of the answer; `None`: there was none.
    pub status: Option<i64>,
    /// The first bytes of the answer, or why there was none.
    pub answer: String,
}

/// An attempt that was noted.
pub type Attempt = NewAttempt;

impl Store {
    /// Notes an attempt of which nothing else follows.
    pub async fn note_attempt(&self, attempt: &NewAttempt) -> Result<(), StoreError> {
        let transaction = self.begin_writing().await?;
        insert_attempt(&transaction, attempt).await?;
        transaction.commit().await?;
        Ok(())
    }

    /// The last attempts to deliver to a target before one of them, the newest first, at most so many.
    pub async fn webhook_attempts(
        &self,
        webhook: &str,
        before: Option<&str>,
        limit: u64,
    ) -> Result<Vec<Attempt>, StoreError> {
        let mut sql =
            "SELECT webhook, id, event, kind, subject, tries, at, took_ms, delivered, status, answer \
                       FROM webhook_attempts WHERE webhook = $1"
                .to_owned();
        let mut values: Vec<Value> = vec![webhook.into()];
        if let Some(before) = before {
            values.push(before.into());
            sql.push_str(" AND id < $2");
        }
        sql.push_str(&format!(" ORDER BY id DESC LIMIT {limit}"));
        let rows = self.db.query_all_raw(statement(&self.db, sql, values)).await?;
        rows.iter().map(attempt_of).collect()
    }
}

/// Notes an attempt; of a target that is gone there is nothing to note.
pub(super) async fn insert_attempt(
    transaction: &DatabaseTransaction,
    attempt: &NewAttempt,
) -> Result<(), StoreError> {
    let sql = "INSERT INTO webhook_attempts \
               (webhook, id, event, kind, subject, tries, at, took_ms, delivered, status, answer) \
               SELECT w.id, CAST($2 AS text), CAST($3 AS text), CAST($4 AS text), CAST($5 AS text), CAST($6 AS bigint), \
               $7, CAST($8 AS bigint), $9, CAST($10 AS bigint), CAST($11 AS text) FROM webhooks w WHERE w.id = $1";
    let values: Vec<Value> = vec![
        attempt.webhook.as_str().into(),
        attempt.id.as_str().into(),
        attempt.event.as_str().into(),
        attempt.kind.as_str().into(),
        attempt.subject.as_str().into(),
        attempt.tries.into(),
        kept(attempt.at).into(),
        attempt.took_ms.into(),
        attempt.delivered.into(),
        attempt.status.into(),
        attempt.answer.as_str().into(),
    ];
    transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
    let sql = format!(
        "DELETE FROM webhook_attempts WHERE webhook = $1 AND id < (SELECT a.id FROM webhook_attempts a \
         WHERE a.webhook = $1 ORDER BY a.id DESC LIMIT 1 OFFSET {})",
        KEPT - 1
    );
    let values = vec![attempt.webhook.as_str().into()];
    transaction.execute_raw(statement(transaction, sql, values)).await?;
    Ok(())
}

fn attempt_of(row: &QueryResult) -> Result<Attempt, StoreError> {
    Ok(Attempt {
        webhook: row.try_get_by_index(0)?,
        id: row.try_get_by_index(1)?,
        event: row.try_get_by_index(2)?,
        kind: row.try_get_by_index(3)?,
        subject: row.try_get_by_index(4)?,
        tries: row.try_get_by_index(5)?,
        at: row.try_get_by_index(6)?,
        took_ms: row.try_get_by_index(7)?,
        delivered: row.try_get_by_index(8)?,
        status: row.try_get_by_index(9)?,
        answer: row.try_get_by_index(10)?,
    })
}
