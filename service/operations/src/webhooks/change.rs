//! Targets: made, shown, changed, deleted, set back, given another secret.

use chrono::{TimeDelta, Utc};
use courier::{Courier, Secret};
use store::{NewWebhook, WebhookChange};
use uuid::Uuid;

use super::asked::{AskedReplay, AskedSecret, AskedWebhook, WebhookReplacement};
use super::sheet::{
    NewSecret, WebhookProgress, WebhookSheet, WebhookState, WebhookWithSecret, progress, sheet,
};
use super::webhook_error::WebhookError;
use crate::events::{parse_patterns, sequence_of};
use crate::listed::Listed;
use crate::shop::Shop;

/// Longest description, in characters.
const DESCRIPTION_MAX: usize = 500;
/// Longest name of who asks, in characters.
const NAME_MAX: usize = 100;
/// Longest time for which an old secret signs beside a new one, in hours.
const OVERLAP_MAX_H: u32 = 168;

/// Makes a target with a secret of its own.
pub async fn create_webhook(
    shop: &Shop,
    courier: &Courier,
    asked: &AskedWebhook,
) -> Result<WebhookWithSecret, WebhookError> {
    let by = named(&asked.by)?;
    courier.check(&asked.url).await?;
    let after = asked.after.as_deref().map(sequence_of).transpose();
    let secret = new_secret()?;
    let new = NewWebhook {
        id: Uuid::now_v7().to_string(),
        url: asked.url.clone(),
        types: patterns(&asked.types)?,
        description: described(&asked.description)?,
        after: after.map_err(|error| WebhookError::at("/after", error))?,
        secret: secret.text(),
        at: Utc::now(),
        by,
    };
    let webhook = shop.store().insert_webhook(&new).await?;
    Ok(WebhookWithSecret { webhook: sheet(webhook), secret: secret.text() })
}

/// The target of an id.
pub async fn show_webhook(shop: &Shop, id: &str) -> Result<WebhookSheet, WebhookError> {
    let found = shop.store().webhook(id).await?;
    found.map(sheet).ok_or_else(|| WebhookError::NotFound(id.to_owned()))
}

/// The targets behind an id, the oldest first, at most so many.
pub async fn list_webhooks(
    shop: &Shop,
    after: Option<&str>,
    limit: u64,
) -> Result<Listed<WebhookSheet>, WebhookError> {
    let found = shop.store().list_webhooks(after, limit.saturating_add(1)).await?;
    Ok(Listed::of(found.into_iter().map(sheet).collect(), limit, |webhook| webhook.id.clone()))
}

/// Changes a target; `still_holds` says whether that was decided on the target as it is now.
pub async fn replace_webhook<E: From<WebhookError>>(
    shop: &Shop,
    courier: &Courier,
    id: &str,
    asked: &WebhookReplacement,
    still_holds: impl FnOnce(&WebhookSheet) -> Result<(), E>,
) -> Result<WebhookSheet, E> {
    let current = show_webhook(shop, id).await?;
    still_holds(&current)?;
    if asked.url != current.url {
        courier.check(&asked.url).await.map_err(WebhookError::from)?;
    }
    let change = WebhookChange {
        url: asked.url.clone(),
        types: patterns(&asked.types)?,
        description: described(&asked.description)?,
        paused: asked.state == WebhookState::Paused,
        at: Utc::now(),
        by: named(&asked.by)?,
    };
    let changed = shop.store().change_webhook(id, current.version, &change).await;
    Ok(sheet(changed.map_err(WebhookError::from)?))
}

/// Deletes a target; `still_holds` says whether that was decided on the target as it is now.
pub async fn delete_webhook<E: From<WebhookError>>(
    shop: &Shop,
    id: &str,
    still_holds: impl FnOnce(&WebhookSheet) -> Result<(), E>,
) -> Result<(), E> {
    let current = show_webhook(shop, id).await?;
    still_holds(&current)?;
    let deleted = shop.store().delete_webhook(id, current.version, Utc::now()).await;
    Ok(deleted.map_err(WebhookError::from)?)
}

/// Gives a target another secret. The old one signs beside it for a while, so that the target can change over.
pub async fn rotate_secret(shop: &Shop, id: &str, asked: &AskedSecret) -> Result<NewSecret, WebhookError> {
    let by = named(&asked.by)?;
    if asked.overlap_hours > OVERLAP_MAX_H {
        let detail =
            format!("`overlap_hours` is {}; it must be from 0 to {OVERLAP_MAX_H}", asked.overlap_hours);
        return Err(WebhookError::bad("/overlap_hours", detail));
    }
    let secret = new_secret()?;
    let now = Utc::now();
    let old_until = now + TimeDelta::hours(i64::from(asked.overlap_hours));
    shop.store().add_webhook_secret(id, &secret.text(), (now, &by), old_until).await?;
    Ok(NewSecret { secret: secret.text(), old_until })
}

/// Sets a target back in the feed: all events behind a cursor are posted again.
pub async fn replay_webhook(
    shop: &Shop,
    id: &str,
    asked: &AskedReplay,
) -> Result<WebhookProgress, WebhookError> {
    let by = named(&asked.by)?;
    let after = sequence_of(&asked.after).map_err(|error| WebhookError::at("/after", error))?;
    shop.store().replay_webhook(id, after, (Utc::now(), &by)).await?;
    let found = shop.store().webhook_progress(id).await?;
    found.as_ref().map(progress).ok_or_else(|| WebhookError::NotFound(id.to_owned()))
}

fn new_secret() -> Result<Secret, WebhookError> {
    let mut bytes = [0; 32];
    getrandom::fill(&mut bytes).map_err(|_| WebhookError::NoRandomness)?;
    Ok(Secret::from_bytes(bytes))
}

fn patterns(types: &[String]) -> Result<Vec<String>, WebhookError> {
    parse_patterns(types.iter().map(String::as_str)).map_err(|error| WebhookError::at("/types", error))
}

fn described(text: &str) -> Result<String, WebhookError> {
    if text.chars().count() > DESCRIPTION_MAX || text.contains('\0') {
        let detail =
            format!("the description must have at most {DESCRIPTION_MAX} characters, and none of them zero");
        return Err(WebhookError::bad("/description", detail));
    }
    Ok(text.to_owned())
}

pub(super) fn named(by: &str) -> Result<String, WebhookError> {
    let name = by.trim();
    if name.is_empty() || name.chars().count() > NAME_MAX || name.contains('\0') {
        let detail = format!("`by` must name who asks, in 1 to {NAME_MAX} characters");
        return Err(WebhookError::bad("/by", detail));
    }
    Ok(name.to_owned())
}
