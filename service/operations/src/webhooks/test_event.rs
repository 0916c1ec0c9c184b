//! A test that somebody asks for: posted once, at once, whatever the state of the target.

use catalogue::event::{EventKind, TYPE_PREFIX, WebhookEvent};
use chrono::Utc;
use courier::Courier;
use uuid::Uuid;

use super::asked::AskedWebhookTest;
use super::attempt::{AttemptSheet, sheet_of};
use super::change::{named, show_webhook};
use super::message::post;
use super::webhook_error::WebhookError;
use crate::events::{CloudEvent, cursor_of, time_text};
use crate::shop::Shop;

/// Posts a test to a target; what came of it.
pub async fn send_test(
    shop: &Shop,
    courier: &Courier,
    id: &str,
    asked: &AskedWebhookTest,
) -> Result<AttemptSheet, WebhookError> {
    let by = named(&asked.by)?;
    let webhook = show_webhook(shop, id).await?;
    let data = WebhookEvent {
        webhook: webhook.id.clone(),
        state: webhook.state.word().to_owned(),
        paused_because: webhook.paused_because.map(|cause| cause.word().to_owned()),
        by: Some(by),
    };
    let event = CloudEvent {
        specversion: "1.0".to_owned(),
        id: Uuid::now_v7().to_string(),
        source: format!("urn:uuid:{}", shop.store().event_source().await?),
        kind: format!("{TYPE_PREFIX}{}", EventKind::WebhookTest.word()),
        subject: format!("webhooks/{id}"),
        time: time_text(Utc::now()),
        datacontenttype: "application/json".to_owned(),
        sequence: cursor_of(shop.store().last_event().await?),
        data: serde_json::to_value(data).unwrap_or_default(),
    };
    let outcome = post(shop, courier, (id, &webhook.url), &event, 1).await?;
    shop.store().note_attempt(&outcome.attempt).await?;
    Ok(sheet_of(outcome.attempt))
}
