//! Webhooks: whoever wants to be told of events gets them posted, signed, in order for each paper, at least once.
//!
//! Requests only write down what is wanted; one task of the process delivers ([`deliveries`]). What a target does or does
//! not answer never keeps a request waiting.

mod asked;
mod attempt;
pub mod backoff;
mod change;
pub mod deliveries;
mod figures;
mod message;
mod sheet;
mod test_event;
mod webhook_error;

use std::time::Duration;

pub use asked::{AskedReplay, AskedSecret, AskedWebhook, AskedWebhookTest, WebhookReplacement};
pub use attempt::{AttemptList, AttemptSheet, list_attempts};
pub use change::{
    create_webhook, delete_webhook, list_webhooks, replace_webhook, replay_webhook, rotate_secret,
    show_webhook,
};
pub use courier::{AllowedHosts, Courier, CourierError};
pub(crate) use figures::Counters;
pub use figures::DeliveryFigures;
pub use sheet::{NewSecret, PauseCause, WebhookProgress, WebhookSheet, WebhookState, WebhookWithSecret};
pub use test_event::send_test;
pub use webhook_error::WebhookError;

/// How long a target may take to answer.
pub const PATIENCE: Duration = Duration::from_secs(10);

/// A courier that goes outside, and to the hosts that the owner allows by name.
pub fn courier(allowed: &[String]) -> Result<Courier, CourierError> {
    Courier::new(AllowedHosts::new(allowed), PATIENCE)
}
