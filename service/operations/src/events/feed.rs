//! Reading events in order behind a cursor.

use std::time::Duration;

use serde::{Deserialize, Serialize};
use store::{EventFilter, StoreError};
use tokio::time::Instant;
use utoipa::ToSchema;

use super::cloud_event::{CloudEvent, cloud_event};
use super::type_patterns::{kinds_of, parse_patterns};
use crate::shop::Shop;

/// The cursor behind all events that there are.
pub const LATEST: &str = "latest";
/// Longest time for which a reader waits for an event.
pub const WAIT_MAX: Duration = Duration::from_secs(30);
/// How often a waiting reader looks whether there is one. Another instance may write it, so it is the database that is asked,
/// for one row by its key.
const LOOK_EVERY: Duration = Duration::from_millis(200);
/// Digits of a cursor: 16 are enough for a thousand events a second for three hundred thousand years.
const CURSOR_DIGITS: usize = 16;

/// Why events were not read.
#[derive(Debug, thiserror::Error)]
pub enum EventError {
    /// The cursor is none.
    #[error(
        "the cursor `{0}` is none; take the `sequence` of the last event that was read, or write `latest`"
    )]
    BadCursor(String),
    /// No type of events is called so.
    #[error("no type of events is called `{written}`; write a type, or the beginning of types with a star")]
    BadType {
        /// As written.
        written: String,
        /// What it could have been.
        known: Vec<String>,
    },
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// Which events are wanted.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct EventsWanted {
    /// The cursor behind which they stand; `None`: from the first.
    pub after: Option<String>,
    /// Of this subject.
    pub subject: Option<String>,
    /// Of these types, as names or beginnings with a star; none: all types.
    pub types: Vec<String>,
    /// How long to wait where there is none yet.
    pub wait: Duration,
}

/// A piece of the feed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct EventPiece {
    /// The events, in order.
    pub items: Vec<CloudEvent>,
    /// The cursor behind which the feed goes on, also where there is nothing behind it yet.
    #[schema(example = "0000000000000042")]
    pub after: String,
    /// Whether more events are there behind it.
    pub more: bool,
}

/// The events behind a cursor, at most so many. Where there are none, waits for one as long as is asked.
pub async fn read_events(shop: &Shop, wanted: &EventsWanted, limit: u64) -> Result<EventPiece, EventError> {
    let store = shop.store();
    let mut after = match wanted.after.as_deref() {
        None => 0,
        Some(LATEST) => store.last_event().await?,
        Some(cursor) => sequence_of(cursor)?,
    };
    let patterns = parse_patterns(wanted.types.iter().map(String::as_str))?;
    let kinds = (!patterns.is_empty()).then(|| kinds_of(&patterns));
    let filter = EventFilter { subject: wanted.subject.clone(), kinds };
    let until = Instant::now() + wanted.wait.min(WAIT_MAX);
    loop {
        let last = store.last_event().await?;
        let mut events = if last > after {
            store.events(after, &filter, limit.saturating_add(1)).await?
        } else {
            Vec::new()
        };
        let length = usize::try_from(limit).unwrap_or(usize::MAX);
        let more = events.len() > length;
        events.truncate(length);
        match events.last() {
            // What is not wanted up to here need not be looked through again.
            None => after = after.max(last),
            Some(event) => after = event.sequence,
        }
        if !events.is_empty() || Instant::now() >= until {
            let items = events.into_iter().map(cloud_event).collect();
            return Ok(EventPiece { items, after: cursor_of(after), more });
        }
        tokio::time::sleep(LOOK_EVERY).await;
    }
}

/// The cursor of a running number.
pub(crate) fn cursor_of(sequence: i64) -> String {
    format!("{sequence:0width$}", width = CURSOR_DIGITS)
}

/// The running number of a cursor; noughts in front do not matter.
pub(crate) fn sequence_of(cursor: &str) -> Result<i64, EventError> {
    let bad = || EventError::BadCursor(cursor.to_owned());
    if cursor.is_empty() || cursor.len() > CURSOR_DIGITS || !cursor.bytes().all(|byte| byte.is_ascii_digit())
    {
        return Err(bad());
    }
    cursor.parse().map_err(|_| bad())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cursor_leads_back_to_its_number_and_sorts_as_it() {
        for sequence in [0, 1, 42, 9_999_999_999_999_999] {
            assert_eq!(sequence_of(&cursor_of(sequence)).unwrap(), sequence);
        }
        assert!(cursor_of(9) < cursor_of(10));
        assert_eq!(sequence_of("42").unwrap(), 42);
        for wrong in ["", "-1", "+1", "x", "1.0", "99999999999999999", " 1", "١"] {
            assert!(matches!(sequence_of(wrong), Err(EventError::BadCursor(_))), "{wrong}");
        }
    }
}
