//! The feed of events.

use std::time::Duration;

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use operations::events::{CloudEvent, EventPiece, EventType, EventsWanted, WAIT_MAX};
use operations::shop::Shop;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::endpoint::preferred;
use crate::failure::internal;
use crate::paging::{Query, limit_of, next_link};
use crate::problem::Problem;
use crate::problem_kind::ProblemKind;
use crate::problem_responses::{EventFeedProblems, PlainProblems};
use crate::sent;
use crate::watch::Deadline;

/// The media types in which the feed is sent, the usual one first.
pub(crate) const FEED: &[&str] = &["application/json", BATCH];
/// A list of events as CloudEvents 1.0 has it.
const BATCH: &str = "application/cloudevents-batch+json";

/// Which events.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct EventPage {
    /// The cursor behind which the events stand: the `sequence` of the last one that was read, or `latest`. Left out: from
    /// the first.
    #[serde(default)]
    after: Option<String>,
    /// Only those of this subject.
    #[serde(default)]
    subject: Option<String>,
    /// Only those of this type, or of these with commas between; a star stands for the rest, as in `order.*`.
    #[serde(default, rename = "type")]
    kind: Option<String>,
    /// Seconds to wait for an event where there is none yet.
    #[serde(default)]
    #[param(minimum = 0, maximum = 30, default = 0)]
    wait: Option<u64>,
    /// How many at most.
    #[serde(default)]
    #[param(minimum = 1, maximum = 500, default = 50)]
    limit: Option<u64>,
}

/// The events behind a cursor, in the order in which they became visible: none comes later with a lower `sequence`. A reader
/// keeps the `after` of the answer (or the `sequence` of the last event) and asks again with it.
#[utoipa::path(
    get, path = "/v1/events", operation_id = "list_events", tag = "events", params(EventPage),
    responses(
        (status = 200, description = "The events. Where more are there, the header `Link` leads to them.",
            content((EventPiece = "application/json"), (Vec<CloudEvent> = "application/cloudevents-batch+json")),
            headers(("Link" = String, description = "The next piece, as rel=\"next\"."))),
        EventFeedProblems,
    ),
)]
pub(crate) async fn list_events(
    request: HttpRequest,
    shop: web::Data<Shop>,
    deadline: web::Data<Deadline>,
    page: Query<EventPage>,
) -> Result<HttpResponse, Problem> {
    let page = page.0;
    let limit = limit_of(page.limit)?;
    let wanted = EventsWanted {
        after: page.after,
        subject: page.subject,
        types: page.kind.iter().flat_map(|list| list.split(',')).map(str::to_owned).collect(),
        wait: wait_of(page.wait, deadline.0)?,
    };
    let piece = operations::events::read_events(&shop, &wanted, limit).await?;
    let media_type = preferred(&request, FEED);
    let body = match media_type {
        BATCH => serde_json::to_vec(&piece.items),
        _ => serde_json::to_vec(&piece),
    };
    let mut response = HttpResponse::Ok();
    if piece.more {
        response.insert_header((header::LINK, next_link(&request, limit, &piece.after)));
    }
    response
        .insert_header((header::CACHE_CONTROL, "no-cache"))
        .insert_header((header::CONTENT_TYPE, media_type));
    Ok(sent::varying_by_accept(response.body(body.map_err(|error| internal(&error))?)))
}

/// How long to wait: never so long that the request runs into its deadline.
fn wait_of(seconds: Option<u64>, deadline: Duration) -> Result<Duration, Problem> {
    let asked = Duration::from_secs(seconds.unwrap_or(0));
    if asked > WAIT_MAX {
        let detail = format!("`wait` is {}; it must be from 0 to {} s", asked.as_secs(), WAIT_MAX.as_secs());
        return Err(Problem::new(ProblemKind::InvalidQuery, detail));
    }
    Ok(asked.min(deadline / 2))
}

/// The types of events.
#[derive(Serialize, ToSchema)]
pub(crate) struct EventTypeList {
    /// The types, by what they speak of.
    items: Vec<EventType>,
}

/// The types of events, with the meaning, the schema of the data and an example of each.
#[utoipa::path(
    get, path = "/v1/event-types", operation_id = "list_event_types", tag = "events",
    responses((status = 200, description = "All types.", body = EventTypeList), PlainProblems),
)]
pub(crate) async fn list_event_types(request: HttpRequest) -> Result<HttpResponse, Problem> {
    sent::json(&request, &EventTypeList { items: operations::events::event_types() })
}
