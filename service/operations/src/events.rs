//! Events: what has changed, as a feed in order and as the envelope of CloudEvents 1.0.

mod cloud_event;
mod event_types;
mod feed;
mod type_patterns;

pub use cloud_event::{CloudEvent, EventData};
pub(crate) use cloud_event::{cloud_event, time_text};
pub use event_types::{EventType, event_types};
pub use feed::{EventError, EventPiece, EventsWanted, LATEST, WAIT_MAX, read_events};
pub(crate) use feed::{cursor_of, sequence_of};
pub(crate) use type_patterns::{kinds_of, parse_patterns};
