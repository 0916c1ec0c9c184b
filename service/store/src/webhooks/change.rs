//! Making, changing and deleting targets.

use catalogue::event::Happened;
use chrono::{DateTime, Utc};
use sea_orm::{ConnectionTrait, DatabaseTransaction, Value};

use super::{PauseReason, Webhook, changed, event_of, state_of, webhook_of};
use crate::audit::Changed;
use crate::error::StoreError;
use crate::numbers::kept;
use crate::outbox::Outbox;
use crate::select::statement;
use crate::store::Store;

/// A target that is to be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewWebhook {
    /// Its id.
    pub id: String,
    /// Where events are posted.
    pub url: String,
    /// Which types; none: all.
    pub types: Vec<String>,
    /// What it is, in words.
    pub description: String,
    /// The number behind which its events stand; `None`: those from now on.
    pub after: Option<i64>,
    /// Its secret.
    pub secret: String,
    /// When.
    pub at: DateTime<Utc>,
    /// Who makes it.
    pub by: String,
}

/// A target as it shall be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WebhookChange {
    /// Where events are posted.
    pub url: String,
    /// Which types; none: all.
    pub types: Vec<String>,
    /// What it is, in words.
    pub description: String,
    /// Whether it is paused.
    pub paused: bool,
    /// When.
    pub at: DateTime<Utc>,
    /// Who changes it.
    pub by: String,
}

impl Store {
    /// Makes a target.
    pub async fn insert_webhook(&self, new: &NewWebhook) -> Result<Webhook, StoreError> {
        let transaction = self.begin_writing().await?;
        let mut outbox = Outbox::default();
        let changes = vec![
            Changed::made("url", &new.url),
            Changed::made("types", types_text(&new.types)),
            Changed::made("description", &new.description),
            Changed::made("state", "active"),
        ];
        outbox.record(new.at, Happened::WebhookCreated(event_of(&new.id, None, Some(&new.by))), changes);
        let sql = "INSERT INTO webhooks (id, version, url, types, description, state, position, created_at, created_by) \
                   VALUES ($1, 1, $2, $3, $4, 'active', $5, $6, $7)";
        let values: Vec<Value> = vec![
            new.id.as_str().into(),
            new.url.as_str().into(),
            types_text(&new.types).into(),
            new.description.as_str().into(),
            new.after.unwrap_or(0).into(),
            kept(new.at).into(),
            new.by.as_str().into(),
        ];
        transaction.execute_raw(statement(&transaction, sql.to_owned(), values)).await?;
        insert_secret(&transaction, &new.id, &new.secret, new.at).await?;
        self.note_made(&transaction, &outbox.subjects()).await?;
        outbox.write(&transaction, self.caller()).await?;
        if new.after.is_none() {
            // The row is this transaction's own, so nothing waits for it: it may follow the number of the event.
            let sql = "UPDATE webhooks SET position = (SELECT last FROM numbers WHERE series = 'event') WHERE id = $1";
            let values = vec![new.id.as_str().into()];
            transaction.execute_raw(statement(&transaction, sql.to_owned(), values)).await?;
        }
        transaction.commit().await?;
        self.known_webhook(&new.id).await
    }

    /// Changes a target that is still at the version it was decided on. Taken up again, it tries at once what waits.
    ///
    /// # Errors
    /// [`StoreError::WebhookChanged`] where it is not.
    pub async fn change_webhook(
        &self,
        id: &str,
        version: i64,
        change: &WebhookChange,
    ) -> Result<Webhook, StoreError> {
        let transaction = self.begin_writing().await?;
        let before = locked(&transaction, id, version).await?;
        let paused = match (change.paused, before.paused) {
            (true, Some(reason)) => Some(reason),
            (true, None) => Some(PauseReason::Asked),
            (false, _) => None,
        };
        let sql = "UPDATE webhooks SET version = version + 1, url = $2, types = $3, description = $4, state = $5, \
                   paused_because = $6 WHERE id = $1";
        let values: Vec<Value> = vec![
            id.into(),
            change.url.as_str().into(),
            types_text(&change.types).into(),
            change.description.as_str().into(),
            state_of(paused).into(),
            paused.map(|reason| reason.word().to_owned()).into(),
        ];
        transaction.execute_raw(statement(&transaction, sql.to_owned(), values)).await?;
        if before.paused.is_some() && paused.is_none() {
            let sql =
                "UPDATE webhook_waiting SET next_at = $2, failing_since = NULL, tries = 0 WHERE webhook = $1";
            let values = vec![id.into(), kept(change.at).into()];
            transaction.execute_raw(statement(&transaction, sql.to_owned(), values)).await?;
        }
        let mut outbox = Outbox::default();
        let changes = vec![
            Changed::new("url", Some(&before.url), Some(&change.url)),
            Changed::new("types", Some(types_text(&before.types)), Some(types_text(&change.types))),
            Changed::new("description", Some(&before.description), Some(&change.description)),
            Changed::new("state", Some(state_of(before.paused)), Some(state_of(paused))),
        ];
        outbox.record(change.at, changed(id, paused, &change.by), changes);
        self.finish(transaction, outbox).await?;
        self.known_webhook(id).await
    }

    /// Deletes a target that is still at the version it was decided on, with what waits for it.
    ///
    /// # Errors
    /// [`StoreError::WebhookChanged`] where it is not.
    pub async fn delete_webhook(&self, id: &str, version: i64, at: DateTime<Utc>) -> Result<(), StoreError> {
        let transaction = self.begin_writing().await?;
        let before = locked(&transaction, id, version).await?;
        let sql = "DELETE FROM webhooks WHERE id = $1";
        transaction.execute_raw(statement(&transaction, sql.to_owned(), vec![id.into()])).await?;
        let mut outbox = Outbox::default();
        let changes = vec![
            Changed::new("url", Some(&before.url), None::<&str>),
            Changed::new("state", Some(state_of(before.paused)), None::<&str>),
        ];
        outbox.record(at, Happened::WebhookDeleted(event_of(id, before.paused, None)), changes);
        self.finish(transaction, outbox).await?;
        Ok(())
    }

    /// Gives a target another secret; those it has stay valid until a time.
    ///
    /// # Errors
    /// [`StoreError::WebhookNotFound`].
    pub async fn add_webhook_secret(
        &self,
        id: &str,
        secret: &str,
        (at, by): (DateTime<Utc>, &str),
        old_until: DateTime<Utc>,
    ) -> Result<(), StoreError> {
        let transaction = self.begin_writing().await?;
        let paused = step(&transaction, id).await?.paused;
        let sql = "DELETE FROM webhook_secrets WHERE webhook = $1 AND valid_until <= $2";
        let values = vec![id.into(), kept(at).into()];
        transaction.execute_raw(statement(&transaction, sql.to_owned(), values)).await?;
        let sql = "UPDATE webhook_secrets SET valid_until = $2 WHERE webhook = $1 AND valid_until IS NULL";
        let values = vec![id.into(), kept(old_until).into()];
        transaction.execute_raw(statement(&transaction, sql.to_owned(), values)).await?;
        insert_secret(&transaction, id, secret, at).await?;
        let mut outbox = Outbox::default();
        // A secret is nothing to write down; that there is another one is.
        let changes = vec![Changed::made("secret made at", kept(at).to_rfc3339())];
        outbox.record(at, changed(id, paused, by), changes);
        self.finish(transaction, outbox).await?;
        Ok(())
    }

    /// Sets a target back in the feed: all events behind a number are delivered again.
    ///
    /// # Errors
    /// [`StoreError::WebhookNotFound`]; [`StoreError::ReplayAhead`] where the target has not come that far.
    pub async fn replay_webhook(
        &self,
        id: &str,
        after: i64,
        (at, by): (DateTime<Utc>, &str),
    ) -> Result<(), StoreError> {
        let transaction = self.begin_writing().await?;
        let Webhook { paused, position: before, .. } = step(&transaction, id).await?;
        let sql = "UPDATE webhooks SET position = $2 WHERE id = $1 AND position >= $2";
        let values = vec![id.into(), after.into()];
        let done = transaction.execute_raw(statement(&transaction, sql.to_owned(), values)).await?;
        if done.rows_affected() == 0 {
            return Err(StoreError::ReplayAhead(after));
        }
        let sql = "DELETE FROM webhook_waiting WHERE webhook = $1 AND seq > $2";
        let values = vec![id.into(), after.into()];
        transaction.execute_raw(statement(&transaction, sql.to_owned(), values)).await?;
        let mut outbox = Outbox::default();
        let changes = vec![Changed::new("position", Some(before), Some(after))];
        outbox.record(at, changed(id, paused, by), changes);
        self.finish(transaction, outbox).await?;
        Ok(())
    }

    async fn known_webhook(&self, id: &str) -> Result<Webhook, StoreError> {
        self.webhook(id).await?.ok_or_else(|| StoreError::WebhookNotFound(id.to_owned()))
    }
}

fn types_text(types: &[String]) -> String {
    serde_json::Value::from_iter(types.iter().map(String::as_str)).to_string()
}

/// Counts a change of a target and holds it until the transaction ends.
async fn step(transaction: &DatabaseTransaction, id: &str) -> Result<Webhook, StoreError> {
    let sql = "UPDATE webhooks SET version = version + 1 WHERE id = $1";
    let done = transaction.execute_raw(statement(transaction, sql.to_owned(), vec![id.into()])).await?;
    if done.rows_affected() == 0 {
        return Err(StoreError::WebhookNotFound(id.to_owned()));
    }
    read(transaction, id).await
}

/// Holds a target until the transaction ends, if it is at a version.
async fn locked(transaction: &DatabaseTransaction, id: &str, version: i64) -> Result<Webhook, StoreError> {
    let sql = "UPDATE webhooks SET version = version WHERE id = $1 AND version = $2";
    let values = vec![id.into(), version.into()];
    let done = transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
    if done.rows_affected() == 0 {
        return Err(StoreError::WebhookChanged(id.to_owned()));
    }
    read(transaction, id).await
}

async fn read(transaction: &DatabaseTransaction, id: &str) -> Result<Webhook, StoreError> {
    let sql = format!("SELECT {} FROM webhooks w WHERE w.id = $1", super::WEBHOOK);
    let row = transaction.query_one_raw(statement(transaction, sql, vec![id.into()])).await?;
    webhook_of(&row.ok_or_else(|| StoreError::WebhookNotFound(id.to_owned()))?)
}

async fn insert_secret(
    transaction: &DatabaseTransaction,
    id: &str,
    secret: &str,
    at: DateTime<Utc>,
) -> Result<(), StoreError> {
    let sql = "INSERT INTO webhook_secrets (webhook, secret, made_at) VALUES ($1, $2, $3)";
    let values = vec![id.into(), secret.into(), kept(at).into()];
    transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
    Ok(())
}
