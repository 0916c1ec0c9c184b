//! A target as it is shown.

use catalogue::event::TYPE_PREFIX;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use store::{PauseReason, Progress, Webhook};
use utoipa::ToSchema;

use crate::events::cursor_of;

catalogue::choice! {
    /// Whether events are posted to a target.
    pub enum WebhookState {
        /// They are.
        Active = "active",
        /// They wait.
        Paused = "paused",
    }
}

catalogue::choice! {
    /// Why a target is paused.
    pub enum PauseCause {
        /// Somebody asked for it.
        Asked = "asked",
        /// An event could not be delivered for five days.
        Failing = "failing",
        /// The target answered 410.
        Gone = "gone",
    }
}

/// A target of events.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WebhookSheet {
    /// Its id.
    #[schema(example = "01941f29-7c00-7000-8000-000000000001")]
    pub id: String,
    /// Counts its changes.
    pub version: i64,
    /// Where events are posted.
    pub url: String,
    /// Which types, as names or beginnings with a star; none: all.
    pub types: Vec<String>,
    /// What it is, in words.
    pub description: String,
    /// Whether events are posted.
    pub state: WebhookState,
    /// Why it is paused.
    pub paused_because: Option<PauseCause>,
    /// When it was made.
    pub created_at: DateTime<Utc>,
    /// Who made it.
    pub created_by: String,
}

/// A target with its secret, which is shown this once.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WebhookWithSecret {
    /// The target.
    #[serde(flatten)]
    pub webhook: WebhookSheet,
    /// The secret with which its messages are signed (Standard Webhooks). It is shown only now.
    #[schema(example = "whsec_AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=")]
    pub secret: String,
}

/// Another secret, which is shown this once.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct NewSecret {
    /// The secret. It is shown only now.
    #[schema(example = "whsec_AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=")]
    pub secret: String,
    /// Until when the old one signs beside it.
    pub old_until: DateTime<Utc>,
}

/// How far the deliveries to a target are.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WebhookProgress {
    /// The cursor up to which events have been looked at: those the target wants are delivered or wait.
    #[schema(example = "0000000000000042")]
    pub position: String,
    /// How many wait.
    pub waiting: i64,
    /// The `sequence` of the first that waits.
    pub first_waiting: Option<String>,
    /// When the next attempt is due.
    pub next_at: Option<DateTime<Utc>>,
}

pub(super) fn sheet(webhook: Webhook) -> WebhookSheet {
    let cause = |reason| match reason {
        PauseReason::Asked => PauseCause::Asked,
        PauseReason::Failing => PauseCause::Failing,
        PauseReason::Gone => PauseCause::Gone,
    };
    WebhookSheet {
        id: webhook.id,
        version: webhook.version,
        url: webhook.url,
        types: webhook.types.iter().map(|word| format!("{TYPE_PREFIX}{word}")).collect(),
        description: webhook.description,
        state: if webhook.paused.is_some() { WebhookState::Paused } else { WebhookState::Active },
        paused_because: webhook.paused.map(cause),
        created_at: webhook.created_at,
        created_by: webhook.created_by,
    }
}

pub(super) fn progress(progress: &Progress) -> WebhookProgress {
    WebhookProgress {
        position: cursor_of(progress.position),
        waiting: progress.waiting,
        first_waiting: progress.first_waiting.map(cursor_of),
        next_at: progress.next_at,
    }
}
