//! Events: what has changed, as a feed in order and as the envelope of CloudEvents 1.0.

mod cloud_event;
mod event_types;
mod feed;
mod type_patterns;

pub use cloud_event::{CloudEvent, EventData};
pub use event_types::{EventType, event_types};
pub use feed::{EventError, EventPiece, EventsWanted, LATEST, WAIT_MAX, read_events};
