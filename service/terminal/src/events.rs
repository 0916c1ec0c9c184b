//! `crownwheel events`: what has changed, one line an event; followed until Ctrl-C.

use std::fmt::Write;

use clap::Args;
use operations::events::{CloudEvent, EventError, EventPiece, EventsWanted, WAIT_MAX, read_events};

use crate::arguments::WhereArguments;
use crate::failure::{Failure, with_suggestions};
use crate::output::say;
use crate::quote::read;
use crate::source::Source;

/// Events that are asked for at once.
const PIECE: u64 = 500;

/// Which events are shown.
#[derive(Debug, Clone, Args)]
pub struct EventsArguments {
    /// The cursor behind which they stand, as printed in the first column, or `latest`. Left out: from the first.
    #[arg(long, value_name = "CURSOR")]
    pub after: Option<String>,
    /// Only those of a paper, such as orders/PO-000001.
    #[arg(long, value_name = "PAPER")]
    pub subject: Option<String>,
    /// Only those of a type, such as order.placed or order.*.
    #[arg(long = "type", value_name = "TYPE")]
    pub types: Vec<String>,
    /// Go on until Ctrl-C, and print each event as it comes.
    #[arg(long)]
    pub follow: bool,
    /// Where they are; --json prints one event a line, as CloudEvents.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Prints events.
pub(crate) async fn events(arguments: &EventsArguments) -> Result<(), Failure> {
    let source = Source::open(&arguments.place).await?;
    let mut wanted = EventsWanted {
        after: arguments.after.clone(),
        subject: arguments.subject.clone(),
        types: arguments.types.clone(),
        ..EventsWanted::default()
    };
    loop {
        let piece = source.events(&wanted).await?;
        say(&lines(&piece.items, arguments.place.json)?)?;
        wanted.after = Some(piece.after);
        if !piece.more && !arguments.follow {
            return Ok(());
        }
        if arguments.follow {
            wanted.wait = WAIT_MAX;
        }
    }
}

fn lines(events: &[CloudEvent], json: bool) -> Result<String, Failure> {
    let mut text = String::new();
    for event in events {
        if json {
            let line = serde_json::to_string(event)
                .map_err(|error| Failure::service(format!("an event cannot be written: {error}")))?;
            text.push_str(&line);
            text.push('\n');
        } else {
            text.push_str(&line(event));
        }
    }
    Ok(text)
}

/// An event as a line: cursor, time, type without its prefix, paper, and what else the data say.
fn line(event: &CloudEvent) -> String {
    let word = event.kind.strip_prefix(catalogue::event::TYPE_PREFIX).unwrap_or(&event.kind);
    let mut text = format!("{}  {}  {word:<20}  {}", event.sequence, event.time, event.subject);
    for (name, value) in event.data.as_object().into_iter().flatten() {
        let said = match value {
            serde_json::Value::String(text) if text.is_empty() || event.subject.ends_with(text.as_str()) => {
                continue;
            }
            serde_json::Value::String(text) => text.clone(),
            serde_json::Value::Null => continue,
            serde_json::Value::Array(items) => format!("{} of them", items.len()),
            other => other.to_string(),
        };
        // Writing to a text does not fail.
        let _ = write!(text, "  {name}: {said}");
    }
    text.push('\n');
    text
}

impl Source {
    /// Events behind a cursor.
    async fn events(&self, wanted: &EventsWanted) -> Result<EventPiece, Failure> {
        match self {
            Self::Database(shop) => Ok(read_events(shop, wanted, PIECE).await?),
            Self::Service(service) => {
                let (limit, wait) = (PIECE.to_string(), wanted.wait.as_secs().to_string());
                let types = wanted.types.join(",");
                let mut query = vec![("limit", limit.as_str()), ("wait", wait.as_str())];
                query.extend(wanted.after.as_deref().map(|cursor| ("after", cursor)));
                query.extend(wanted.subject.as_deref().map(|subject| ("subject", subject)));
                query.extend((!types.is_empty()).then_some(("type", types.as_str())));
                read(&service.get("/v1/events", &query).await?)
            }
        }
    }
}

impl From<EventError> for Failure {
    fn from(error: EventError) -> Self {
        let message = error.to_string();
        match error {
            EventError::BadCursor(_) => Self::command_line(format!("--after: {message}")),
            EventError::BadType { known, .. } => {
                Self::command_line(with_suggestions(format!("--type: {message}"), &known))
            }
            EventError::Store(error) => error.into(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_event_is_one_line_without_what_is_empty_or_said_twice() {
        let event: CloudEvent = serde_json::from_value(serde_json::json!({
            "specversion": "1.0", "id": "i", "source": "urn:uuid:s", "type": "internal.crownwheel.order.placed",
            "subject": "orders/PO-000001", "time": "2026-11-25T09:00:00Z", "datacontenttype": "application/json",
            "sequence": "0000000000000042",
            "data": { "order": "PO-000001", "step": "place", "state": "placed", "by": "M. Brandl", "detail": "" },
        }))
        .unwrap();
        assert_eq!(
            line(&event),
            "0000000000000042  2026-11-25T09:00:00Z  order.placed          orders/PO-000001  by: M. Brandl  \
             state: placed  step: place\n"
        );
    }
}
