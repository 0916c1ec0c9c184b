//! What is asked of webhooks.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::sheet::WebhookState;

/// A target that is to be made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedWebhook {
    /// Where events are posted: https, and outside unless the owner allows the host by name.
    #[schema(example = "https://orders.example/hooks/crownwheel")]
    pub url: String,
    /// Which types, as names or beginnings with a star; none: all.
    #[serde(default)]
    #[schema(example = json!(["internal.crownwheel.order.*"]))]
    pub types: Vec<String>,
    /// What it is, in words.
    #[serde(default)]
    pub description: String,
    /// The cursor behind which its events stand; left out: those from now on.
    #[serde(default)]
    pub after: Option<String>,
    /// Who makes it.
    #[schema(example = "M. Brandl")]
    pub by: String,
}

/// A target as it shall be.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WebhookReplacement {
    /// Where events are posted.
    #[schema(example = "https://orders.example/hooks/crownwheel")]
    pub url: String,
    /// Which types of the events that come from now on, as names or beginnings with a star; none: all.
    #[serde(default)]
    pub types: Vec<String>,
    /// What it is, in words.
    #[serde(default)]
    pub description: String,
    /// Whether events are posted. What comes while it is paused waits; active again, it is tried at once.
    pub state: WebhookState,
    /// Who changes it.
    #[schema(example = "M. Brandl")]
    pub by: String,
}

/// Another secret.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedSecret {
    /// How many hours the old secret goes on signing beside the new one.
    #[serde(default = "usual_overlap")]
    #[schema(minimum = 0, maximum = 168, default = 24)]
    pub overlap_hours: u32,
    /// Who asks.
    #[schema(example = "M. Brandl")]
    pub by: String,
}

fn usual_overlap() -> u32 {
    24
}

/// Events that are to be posted again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedReplay {
    /// The cursor behind which all events are posted again.
    #[schema(example = "0000000000000042")]
    pub after: String,
    /// Who asks.
    #[schema(example = "M. Brandl")]
    pub by: String,
}

/// A test that is to be posted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedWebhookTest {
    /// Who asks.
    #[schema(example = "M. Brandl")]
    pub by: String,
}
