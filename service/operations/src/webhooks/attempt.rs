//! The last attempts to deliver to a target.

use catalogue::event::TYPE_PREFIX;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use store::Attempt;
use utoipa::ToSchema;

use super::sheet::{WebhookProgress, progress};
use super::webhook_error::WebhookError;
use crate::listed::Listed;
use crate::shop::Shop;

/// An attempt to deliver.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct AttemptSheet {
    /// Its id, which rises with time.
    #[schema(example = "01941f29-7c00-7000-8000-000000000001")]
    pub id: String,
    /// The id of the event.
    pub event: String,
    /// The event's type.
    #[serde(rename = "type")]
    #[schema(example = "internal.crownwheel.order.placed")]
    pub kind: String,
    /// What the event speaks of.
    #[schema(example = "orders/PO-000001")]
    pub subject: String,
    /// The how-manieth attempt with this event it was.
    pub tries: i64,
    /// When it began.
    pub at: DateTime<Utc>,
    /// How long it took, in milliseconds.
    pub took_ms: i64,
    /// Whether the target took the event: it answered with a status from 200 to 299.
    pub delivered: bool,
    /// The status of the answer; empty: there was none.
    pub status: Option<i64>,
    /// The first bytes of the answer, or why there was none.
    pub answer: String,
}

/// Attempts, and how far the deliveries are.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct AttemptList {
    /// The attempts, the newest first.
    pub items: Vec<AttemptSheet>,
    /// How far the deliveries are.
    pub progress: WebhookProgress,
}

/// The last attempts to deliver to a target before one of them, the newest first; and the id behind which more stand.
pub async fn list_attempts(
    shop: &Shop,
    id: &str,
    before: Option<&str>,
    limit: u64,
) -> Result<(AttemptList, Option<String>), WebhookError> {
    let not_found = || WebhookError::NotFound(id.to_owned());
    let found = shop.store().webhook_progress(id).await?.ok_or_else(not_found)?;
    let attempts = shop.store().webhook_attempts(id, before, limit.saturating_add(1)).await?;
    let sheets = attempts.into_iter().map(sheet_of).collect();
    let listed = Listed::of(sheets, limit, |attempt: &AttemptSheet| attempt.id.clone());
    Ok((AttemptList { items: listed.items, progress: progress(&found) }, listed.next_after))
}

pub(super) fn sheet_of(attempt: Attempt) -> AttemptSheet {
    AttemptSheet {
        id: attempt.id,
        event: attempt.event,
        kind: format!("{TYPE_PREFIX}{}", attempt.kind),
        subject: attempt.subject,
        tries: attempt.tries,
        at: attempt.at,
        took_ms: attempt.took_ms,
        delivered: attempt.delivered,
        status: attempt.status,
        answer: attempt.answer,
    }
}
