//! An event as a signed message, and what a target made of it.

use std::time::Duration;

use chrono::{DateTime, SubsecRound, Utc};
use courier::{Courier, PostFailure, Secret, signature_header};
use store::{NewAttempt, StoreError};
use tokio::time::Instant;
use uuid::Uuid;

use crate::events::CloudEvent;
use crate::shop::Shop;

/// The media type of an event in structured mode (CloudEvents 1.0, HTTP binding).
const CLOUD_EVENT: &str = "application/cloudevents+json";
/// The answer of a target that wants nothing any more.
const GONE: u16 = 410;

/// What came of a message.
#[derive(Debug)]
pub(super) struct Outcome {
    /// The attempt as it is noted.
    pub(super) attempt: NewAttempt,
    /// Whether the target is gone.
    pub(super) gone: bool,
    /// How long the target wants to be left alone.
    pub(super) retry_after: Option<Duration>,
}

/// Posts an event to a target, signed with all secrets that are valid now.
pub(super) async fn post(
    shop: &Shop,
    courier: &Courier,
    (webhook, url): (&str, &str),
    event: &CloudEvent,
    tries: i64,
) -> Result<Outcome, StoreError> {
    // As it is kept: PostgreSQL knows no more than microseconds.
    let at = Utc::now().trunc_subsecs(6);
    let secrets = shop.store().webhook_secrets(webhook, at).await?;
    let secrets: Vec<Secret> = secrets.iter().filter_map(|text| Secret::parse(text).ok()).collect();
    let body = serde_json::to_vec(event).unwrap_or_default();
    let headers = headers_of(&secrets, event, at, &body);
    let started = Instant::now();
    let posted = courier.post(url, &headers, body).await;
    let took_ms = i64::try_from(started.elapsed().as_millis()).unwrap_or(i64::MAX);
    let (status, answer, retry_after) = match posted {
        Ok(posted) => (Some(posted.status), posted.answer, posted.retry_after),
        Err(failure) => (None, words(&failure), None),
    };
    let kind = event.kind.strip_prefix(catalogue::event::TYPE_PREFIX).unwrap_or(&event.kind);
    let attempt = NewAttempt {
        webhook: webhook.to_owned(),
        id: Uuid::now_v7().to_string(),
        event: event.id.clone(),
        kind: kind.to_owned(),
        subject: event.subject.clone(),
        tries,
        at,
        took_ms,
        delivered: status.is_some_and(|status| (200..300).contains(&status)),
        status: status.map(i64::from),
        answer,
    };
    Ok(Outcome { attempt, gone: status == Some(GONE), retry_after })
}

/// The header fields of Standard Webhooks. The time is that of the attempt; the id stays the same.
fn headers_of(
    secrets: &[Secret],
    event: &CloudEvent,
    at: DateTime<Utc>,
    body: &[u8],
) -> [(&'static str, String); 4] {
    let timestamp_s = at.timestamp();
    [
        ("content-type", CLOUD_EVENT.to_owned()),
        ("webhook-id", event.id.clone()),
        ("webhook-timestamp", timestamp_s.to_string()),
        ("webhook-signature", signature_header(secrets, &event.id, timestamp_s, body)),
    ]
}

fn words(failure: &PostFailure) -> String {
    failure.to_string().replace('\0', "\u{fffd}")
}
