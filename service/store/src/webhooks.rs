//! Webhooks: who wants to be told of events.
//!
//! The events that a target wants wait in a table of their own from the moment they are looked at, so that one which fails
//! holds back only the later ones of its subject, and the target's position in the feed goes on. One instance at a time
//! delivers to a target: it holds a lease, which runs out where the instance has died.

mod attempts;
mod change;
mod lease;
mod waiting;

use catalogue::event::{Happened, WebhookEvent};
use chrono::{DateTime, Utc};
use sea_orm::{ConnectionTrait, QueryResult, Value};

use crate::error::StoreError;
use crate::select::statement;
use crate::store::Store;

pub use attempts::{Attempt, NewAttempt};
pub use change::{NewWebhook, WebhookChange};
pub use lease::WebhookAtWork;
pub use waiting::{Due, Progress};

/// Why a target is paused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PauseReason {
    /// Somebody asked for it.
    Asked,
    /// An event could not be delivered for too long.
    Failing,
    /// The target answered that it is gone.
    Gone,
}

impl PauseReason {
    /// Its word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Asked => "asked",
            Self::Failing => "failing",
            Self::Gone => "gone",
        }
    }

    fn from_word(word: &str) -> Option<Self> {
        [Self::Asked, Self::Failing, Self::Gone].into_iter().find(|reason| reason.word() == word)
    }
}

/// A target of events.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Webhook {
    /// Its id.
    pub id: String,
    /// Counts its changes.
    pub version: i64,
    /// Where events are posted.
    pub url: String,
    /// Which types, as names or beginnings with a star; none: all.
    pub types: Vec<String>,
    /// What it is, in words.
    pub description: String,
    /// Why it is paused; `None`: it is active.
    pub paused: Option<PauseReason>,
    /// All events up to this number have been looked at for it.
    pub position: i64,
    /// When it was made.
    pub created_at: DateTime<Utc>,
    /// Who made it.
    pub created_by: String,
}

const WEBHOOK: &str = "w.id, w.version, w.url, w.types, w.description, w.paused_because, w.position, w.created_at, w.created_by";

impl Store {
    /// The target of an id.
    pub async fn webhook(&self, id: &str) -> Result<Option<Webhook>, StoreError> {
        let sql = format!("SELECT {WEBHOOK} FROM webhooks w WHERE w.id = $1");
        let row = self.db.query_one_raw(statement(&self.db, sql, vec![id.into()])).await?;
        row.as_ref().map(webhook_of).transpose()
    }

    /// The targets behind an id, the oldest first, at most so many.
    pub async fn list_webhooks(&self, after: Option<&str>, limit: u64) -> Result<Vec<Webhook>, StoreError> {
        let sql = format!("SELECT {WEBHOOK} FROM webhooks w WHERE w.id > $1 ORDER BY w.id LIMIT {limit}");
        let values: Vec<Value> = vec![after.unwrap_or("").into()];
        let rows = self.db.query_all_raw(statement(&self.db, sql, values)).await?;
        rows.iter().map(webhook_of).collect()
    }

    /// The secrets of a target that are valid at a time, the newest first.
    pub async fn webhook_secrets(&self, id: &str, now: DateTime<Utc>) -> Result<Vec<String>, StoreError> {
        let sql = "SELECT secret FROM webhook_secrets WHERE webhook = $1 AND (valid_until IS NULL OR valid_until > $2) \
                   ORDER BY made_at DESC, secret";
        let values = vec![id.into(), crate::numbers::kept(now).into()];
        let rows = self.db.query_all_raw(statement(&self.db, sql.to_owned(), values)).await?;
        Ok(rows.iter().map(|row| row.try_get_by_index(0)).collect::<Result<_, _>>()?)
    }
}

fn webhook_of(row: &QueryResult) -> Result<Webhook, StoreError> {
    let bad = |column: &str| StoreError::BadRow { table: "webhooks", column: column.to_owned() };
    let types: String = row.try_get_by_index(3)?;
    let paused: Option<String> = row.try_get_by_index(5)?;
    let paused = paused.map(|word| PauseReason::from_word(&word).ok_or_else(|| bad("paused_because")));
    Ok(Webhook {
        id: row.try_get_by_index(0)?,
        version: row.try_get_by_index(1)?,
        url: row.try_get_by_index(2)?,
        types: serde_json::from_str(&types).map_err(|_| bad("types"))?,
        description: row.try_get_by_index(4)?,
        paused: paused.transpose()?,
        position: row.try_get_by_index(6)?,
        created_at: row.try_get_by_index(7)?,
        created_by: row.try_get_by_index(8)?,
    })
}

/// The word for whether events are posted.
fn state_of(paused: Option<PauseReason>) -> &'static str {
    if paused.is_some() { "paused" } else { "active" }
}

/// What an event says of a target.
fn event_of(id: &str, paused: Option<PauseReason>, by: Option<&str>) -> WebhookEvent {
    WebhookEvent {
        webhook: id.to_owned(),
        state: state_of(paused).to_owned(),
        paused_because: paused.map(|reason| reason.word().to_owned()),
        by: by.map(str::to_owned),
    }
}

/// A target that was changed by somebody.
fn changed(id: &str, paused: Option<PauseReason>, by: &str) -> Happened {
    Happened::WebhookChanged(event_of(id, paused, Some(by)))
}
