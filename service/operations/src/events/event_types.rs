//! The types of events, with their meaning, the schema of their data and an example.

use catalogue::event::{EventKind, Happened};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use store::StoredEvent;
use utoipa::ToSchema;

use super::cloud_event::{CloudEvent, cloud_event};

/// A type of events.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct EventType {
    /// The type as it stands in the envelope.
    #[serde(rename = "type")]
    #[schema(example = "internal.crownwheel.order.placed")]
    pub kind: String,
    /// What has happened.
    pub meaning: String,
    /// The schema of the data, as a pointer into the OpenAPI document.
    #[schema(example = "#/components/schemas/OrderEvent")]
    pub data_schema: String,
    /// An event of this type.
    pub example: CloudEvent,
}

/// When the examples happen.
const EXAMPLE_TIME: &str = "2026-11-25T09:00:00Z";

/// All types of events.
pub fn event_types() -> Vec<EventType> {
    (1_i64..).zip(EventKind::ALL).map(|(place, kind)| event_type(place, *kind)).collect()
}

fn event_type(place: i64, kind: EventKind) -> EventType {
    let happened = Happened::example(kind);
    let example = StoredEvent {
        sequence: place,
        id: format!("01941f29-7c00-8000-8000-{place:012}"),
        source: "01941f29-7c00-4000-8000-000000000001".to_owned(),
        kind: kind.word().to_owned(),
        subject: happened.subject(),
        at: EXAMPLE_TIME.parse::<DateTime<Utc>>().unwrap_or_default(),
        data: serde_json::to_string(&happened).unwrap_or_default(),
    };
    EventType {
        kind: kind.type_name(),
        meaning: kind.meaning().to_owned(),
        data_schema: format!("#/components/schemas/{}", kind.data_schema()),
        example: cloud_event(example),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::events::EventData;

    #[test]
    fn the_example_of_each_type_holds_data_of_the_events() {
        let types = event_types();
        assert_eq!(types.len(), EventKind::ALL.len());
        for described in types {
            let data: EventData = serde_json::from_value(described.example.data.clone()).unwrap();
            assert_eq!(serde_json::to_value(&data).unwrap(), described.example.data, "{}", described.kind);
            assert_eq!(described.example.time, EXAMPLE_TIME);
        }
    }
}
