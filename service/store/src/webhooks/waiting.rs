//! Events that wait to be delivered to a target.

use catalogue::event::{EventKind, Happened};
use chrono::{DateTime, Utc};
use sea_orm::{ConnectionTrait, DatabaseTransaction, Value};

use super::attempts::{NewAttempt, insert_attempt};
use super::{PauseReason, event_of as webhook_event};
use crate::audit::Changed;
use crate::error::StoreError;
use crate::numbers::kept;
use crate::outbox::{EVENT, Outbox, StoredEvent, event_of};
use crate::select::statement;
use crate::store::{DatabaseKind, Store};

/// An event that is to be delivered now: the first that waits of its subject.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Due {
    /// The event.
    pub event: StoredEvent,
    /// How often it was tried.
    pub tries: i64,
    /// Since when it fails.
    pub failing_since: Option<DateTime<Utc>>,
}

/// How far the deliveries to a target are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Progress {
    /// All events up to this number have been looked at.
    pub position: i64,
    /// How many of them wait to be delivered.
    pub waiting: i64,
    /// The number of the first that waits.
    pub first_waiting: Option<i64>,
    /// When the next attempt is due.
    pub next_at: Option<DateTime<Utc>>,
}

impl Store {
    /// Looks at the events behind a target's position, at most so many: those of some kinds wait from now on, and the
    /// position goes on. Returns how many were looked at; none, where the lease is somebody else's.
    pub async fn take_up_events(
        &self,
        id: &str,
        owner: &str,
        kinds: &[EventKind],
        now: DateTime<Utc>,
        limit: u64,
    ) -> Result<usize, StoreError> {
        let transaction = self.begin_writing().await?;
        let Some(position) = held_position(&transaction, self.kind(), id, owner).await? else {
            transaction.rollback().await?;
            return Ok(0);
        };
        let sql = format!(
            "SELECT e.seq, e.kind, e.subject FROM events e WHERE e.seq > $1 ORDER BY e.seq LIMIT {limit}"
        );
        let rows = transaction.query_all_raw(statement(&transaction, sql, vec![position.into()])).await?;
        let Some(last) = rows.last() else {
            transaction.rollback().await?;
            return Ok(0);
        };
        let last: i64 = last.try_get_by_index(0)?;
        let sql =
            "INSERT INTO webhook_waiting (webhook, seq, subject, tries, next_at) VALUES ($1, $2, $3, 0, $4)";
        for row in &rows {
            let kind: String = row.try_get_by_index(1)?;
            if !kinds.iter().any(|wanted| wanted.word() == kind) {
                continue;
            }
            let (sequence, subject): (i64, String) = (row.try_get_by_index(0)?, row.try_get_by_index(2)?);
            let values: Vec<Value> = vec![id.into(), sequence.into(), subject.into(), kept(now).into()];
            transaction.execute_raw(statement(&transaction, sql.to_owned(), values)).await?;
        }
        let sql = "UPDATE webhooks SET position = $2 WHERE id = $1";
        transaction
            .execute_raw(statement(&transaction, sql.to_owned(), vec![id.into(), last.into()]))
            .await?;
        transaction.commit().await?;
        Ok(rows.len())
    }

    /// The events that are to be delivered to a target now: of each subject the first that waits, if its time has come;
    /// those that were tried least often first.
    pub async fn due_events(&self, id: &str, now: DateTime<Utc>, limit: u64) -> Result<Vec<Due>, StoreError> {
        let sql = format!(
            "SELECT {EVENT}, p.tries, p.failing_since FROM webhook_waiting p JOIN events e ON e.seq = p.seq \
             WHERE p.webhook = $1 AND p.next_at <= $2 AND NOT EXISTS (SELECT 1 FROM webhook_waiting q \
             WHERE q.webhook = p.webhook AND q.subject = p.subject AND q.seq < p.seq) \
             ORDER BY p.tries, p.seq LIMIT {limit}"
        );
        let values: Vec<Value> = vec![id.into(), kept(now).into()];
        let rows = self.db.query_all_raw(statement(&self.db, sql, values)).await?;
        let mut due = Vec::with_capacity(rows.len());
        for row in &rows {
            let (tries, failing_since) = (row.try_get_by_index(7)?, row.try_get_by_index(8)?);
            due.push(Due { event: event_of(row)?, tries, failing_since });
        }
        Ok(due)
    }

    /// Notes that an event was delivered.
    pub async fn note_delivered(&self, attempt: &NewAttempt, sequence: i64) -> Result<(), StoreError> {
        let transaction = self.begin_writing().await?;
        hold(&transaction, self.kind(), &attempt.webhook).await?;
        let sql = "DELETE FROM webhook_waiting WHERE webhook = $1 AND seq = $2";
        let values = vec![attempt.webhook.as_str().into(), sequence.into()];
        transaction.execute_raw(statement(&transaction, sql.to_owned(), values)).await?;
        insert_attempt(&transaction, attempt).await?;
        transaction.commit().await?;
        Ok(())
    }

    /// Notes that an event was not delivered, and when it is tried again; `pause` says why the target is left alone until
    /// somebody takes it up again. Whether it was paused by this call.
    pub async fn note_failed(
        &self,
        attempt: &NewAttempt,
        sequence: i64,
        next_at: DateTime<Utc>,
        pause: Option<PauseReason>,
    ) -> Result<bool, StoreError> {
        let transaction = self.begin_writing().await?;
        let id = attempt.webhook.as_str();
        hold(&transaction, self.kind(), id).await?;
        let mut outbox = Outbox::default();
        let mut paused = false;
        if let Some(reason) = pause {
            let sql = "UPDATE webhooks SET version = version + 1, state = 'paused', paused_because = $2, \
                       lease_owner = NULL, lease_until = NULL WHERE id = $1 AND state = 'active'";
            let values = vec![id.into(), reason.word().into()];
            let done = transaction.execute_raw(statement(&transaction, sql.to_owned(), values)).await?;
            paused = done.rows_affected() > 0;
            if paused {
                let changes = vec![Changed::new("state", Some("active"), Some("paused"))];
                outbox.record(attempt.at, Happened::WebhookPaused(webhook_event(id, pause, None)), changes);
            }
        }
        let sql = "UPDATE webhook_waiting SET tries = tries + 1, next_at = $3, \
                   failing_since = COALESCE(failing_since, $4) WHERE webhook = $1 AND seq = $2";
        let values: Vec<Value> =
            vec![id.into(), sequence.into(), kept(next_at).into(), kept(attempt.at).into()];
        transaction.execute_raw(statement(&transaction, sql.to_owned(), values)).await?;
        insert_attempt(&transaction, attempt).await?;
        self.finish_aside(transaction, outbox).await?;
        Ok(paused)
    }

    /// How far the deliveries to a target are.
    pub async fn webhook_progress(&self, id: &str) -> Result<Option<Progress>, StoreError> {
        let sql = "SELECT w.position, (SELECT COUNT(*) FROM webhook_waiting p WHERE p.webhook = w.id), \
                   (SELECT MIN(p.seq) FROM webhook_waiting p WHERE p.webhook = w.id), \
                   (SELECT MIN(p.next_at) FROM webhook_waiting p WHERE p.webhook = w.id) FROM webhooks w WHERE w.id = $1";
        let row = self.db.query_one_raw(statement(&self.db, sql.to_owned(), vec![id.into()])).await?;
        let Some(row) = row else { return Ok(None) };
        Ok(Some(Progress {
            position: row.try_get_by_index(0)?,
            waiting: row.try_get_by_index(1)?,
            first_waiting: row.try_get_by_index(2)?,
            next_at: row.try_get_by_index(3)?,
        }))
    }
}

/// Keeps a target from being deleted until the transaction ends. Its row is taken before the rows below it, as the one who
/// deletes does: else the two could wait for each other.
async fn hold(transaction: &DatabaseTransaction, kind: DatabaseKind, id: &str) -> Result<(), StoreError> {
    if kind == DatabaseKind::Postgres {
        let sql = "SELECT id FROM webhooks WHERE id = $1 FOR KEY SHARE";
        transaction.query_all_raw(statement(transaction, sql.to_owned(), vec![id.into()])).await?;
    }
    Ok(())
}

/// The position of a target whose lease an owner holds; the target is held until the transaction ends.
async fn held_position(
    transaction: &DatabaseTransaction,
    kind: DatabaseKind,
    id: &str,
    owner: &str,
) -> Result<Option<i64>, StoreError> {
    let lock = if kind == DatabaseKind::Postgres { " FOR NO KEY UPDATE" } else { "" };
    let sql = format!(
        "SELECT position FROM webhooks WHERE id = $1 AND lease_owner = $2 AND state = 'active'{lock}"
    );
    let row = transaction.query_one_raw(statement(transaction, sql, vec![id.into(), owner.into()])).await?;
    Ok(row.map(|row| row.try_get_by_index(0)).transpose()?)
}
