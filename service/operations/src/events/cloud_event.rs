//! The envelope of an event.

use catalogue::event::{
    CatalogueEvent, ClaimEvent, ImportEvent, JobEvent, MovementsEvent, OrderEvent, QuoteEvent, ReceiptEvent,
    ReceivedPaperEvent, ReservationEvent, SettingEvent, TYPE_PREFIX, WebhookEvent,
};
use chrono::{DateTime, SecondsFormat, Utc};
use serde::{Deserialize, Serialize};
use store::StoredEvent;
use utoipa::ToSchema;

use super::feed::cursor_of;

/// An event in the envelope of CloudEvents 1.0, with the extension `sequence`.
///
/// There is no `dataschema`: it would have to be an absolute address, which the service does not know of itself.
/// `/v1/event-types` names the schema of each type.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CloudEvent {
    /// The version of the envelope.
    #[schema(example = "1.0")]
    pub specversion: String,
    /// Its id, the same wherever and however often it is sent.
    pub id: String,
    /// Whose event it is: the same for all events of one database.
    #[schema(example = "urn:uuid:01941f29-7c00-4000-8000-000000000001")]
    pub source: String,
    /// What has happened.
    #[serde(rename = "type")]
    #[schema(example = "internal.crownwheel.order.placed")]
    pub kind: String,
    /// What it speaks of: the paper's path below `/v1/`.
    #[schema(example = "orders/PO-000001")]
    pub subject: String,
    /// When it happened.
    #[schema(value_type = DateTime<Utc>)]
    pub time: String,
    /// The media type of the data.
    #[schema(example = "application/json")]
    pub datacontenttype: String,
    /// Its place among all events, without holes, in digits that sort as text: the cursor behind which a reader goes on.
    #[schema(example = "0000000000000042")]
    pub sequence: String,
    /// What it says.
    #[schema(value_type = EventData)]
    pub data: serde_json::Value,
}

/// What events say, by their types.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(untagged)]
pub enum EventData {
    /// Of a quote.
    Quote(QuoteEvent),
    /// Of a job.
    Job(JobEvent),
    /// Of an order.
    Order(OrderEvent),
    /// Of a receipt.
    Receipt(ReceiptEvent),
    /// Of a paper that was taken in.
    ReceivedPaper(ReceivedPaperEvent),
    /// Of a claim.
    Claim(ClaimEvent),
    /// Of a reservation.
    Reservation(ReservationEvent),
    /// Of movements.
    Movements(MovementsEvent),
    /// Of the catalogue.
    Catalogue(CatalogueEvent),
    /// Of a setting.
    Setting(SettingEvent),
    /// Of an import.
    Import(ImportEvent),
    /// Of a webhook.
    Webhook(WebhookEvent),
}

/// An event in its envelope.
pub(crate) fn cloud_event(event: StoredEvent) -> CloudEvent {
    CloudEvent {
        specversion: "1.0".to_owned(),
        id: event.id,
        source: format!("urn:uuid:{}", event.source),
        kind: format!("{TYPE_PREFIX}{}", event.kind),
        subject: event.subject,
        time: time_text(event.at),
        datacontenttype: "application/json".to_owned(),
        sequence: cursor_of(event.sequence),
        // What was written as JSON is JSON; should a hand have changed it, the text itself is shown.
        data: serde_json::from_str(&event.data).unwrap_or(serde_json::Value::String(event.data)),
    }
}

/// An instant as RFC 3339 with the microseconds that both databases keep.
pub(crate) fn time_text(at: DateTime<Utc>) -> String {
    at.to_rfc3339_opts(SecondsFormat::AutoSi, true)
}
