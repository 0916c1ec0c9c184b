//! Reservations: pieces on the shelf that are spoken for by a job.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use operations::answer_once::KeptAnswer;
use operations::reservations::{PartsToReserve, ReservationSheet, ReservationsAsked};
use operations::shop::Shop;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::failure::internal;
use crate::idempotency::once;
use crate::json_body::JsonBody;
use crate::paging::{Query, limit_of, percent_encoded, piece_of};
use crate::problem::Problem;
use crate::problem_responses::{
    NewReservationsProblems, ReleaseProblems, ReservationProblems, StockProblems,
};
use crate::sent;

/// Reservations.
#[derive(Serialize, ToSchema)]
pub(crate) struct ReservationList {
    /// The reservations, the oldest first.
    items: Vec<ReservationSheet>,
}

/// Which reservations are wanted.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ReservationQuery {
    /// Of this job.
    job: Option<String>,
    /// Of this part: MAKER/NUMBER, or the number alone.
    part: Option<String>,
    /// Those that have ended, too.
    #[serde(default)]
    ended: bool,
    /// The list goes on behind the item of this key; the `Link` header of a piece has it filled in.
    after: Option<String>,
    /// How many items at most.
    #[param(minimum = 1, maximum = 500, default = 50)]
    limit: Option<u64>,
}

/// The reservations that hold, or all.
#[utoipa::path(
    get, path = "/v1/reservations", operation_id = "list_reservations", tag = "shelf", params(ReservationQuery),
    responses(
        (status = 200, description = "A piece of the list; the header `Link` leads to the next.",
            body = ReservationList, headers(("Link" = String, description = "The next piece, as rel=\"next\"."))),
        StockProblems,
    ),
)]
pub(crate) async fn list_reservations(
    request: HttpRequest,
    shop: web::Data<Shop>,
    query: Query<ReservationQuery>,
) -> Result<HttpResponse, Problem> {
    let ReservationQuery { job, part, ended, after, limit } = query.0;
    let limit = limit_of(limit)?;
    let asked = ReservationsAsked { job, part, ended };
    let listed = operations::reservations::list_reservations(&shop, &asked, after.as_deref(), limit).await;
    let listed = listed.map_err(Problem::of_query)?;
    Ok(piece_of(&request, limit, &listed.items, listed.next_after.as_deref()))
}

/// A reservation.
#[utoipa::path(
    get, path = "/v1/reservations/{number}", operation_id = "get_reservation", tag = "shelf",
    params(("number" = String, Path, example = "RS-000001", description = "The reservation's number.")),
    responses(
        (status = 200, description = "The reservation.", body = ReservationSheet,
            headers(("ETag" = String, description = "Its entity tag."))),
        ReservationProblems,
    ),
)]
pub(crate) async fn get_reservation(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &operations::reservations::show_reservation(&shop, &number).await?)
}

/// Reserves what lies free on the shelf for a job: all lines or none. However many ask at once, no more is reserved than
/// there is.
#[utoipa::path(
    post, path = "/v1/reservations", operation_id = "create_reservations", tag = "shelf",
    params(("Idempotency-Key" = String, Header, example = "\"01941f29-7c00-7000-8000-000000000004\"", description =
        "A text of your own in quotes. A repeated request with the same key and body gets the first answer again; the \
         key is kept for 24 hours.")),
    request_body(content = PartsToReserve, description = "What is reserved.", example = json!({
        "job": "J-000001", "by": "Ruth", "hold_hours": 72,
        "lines": [{ "part": "BRANNOCH/410-5005", "quantity": "1" }],
    })),
    responses(
        (status = 201, description = "The reservations; a line that several bins serve makes several.",
            body = ReservationList,
            headers(("Location" = String, description = "Path of the job's reservations."))),
        NewReservationsProblems,
    ),
)]
pub(crate) async fn create_reservations(
    request: HttpRequest,
    shop: web::Data<Shop>,
    asked: JsonBody<PartsToReserve>,
) -> Result<HttpResponse, Problem> {
    let asked = asked.0;
    let payload = asked.clone();
    once(&shop, &request, &payload, |kept| async move {
        let items = operations::reservations::reserve_parts(&kept, &asked).await?;
        let job = items.first().map_or(String::new(), |one| percent_encoded(&one.job));
        let body = serde_json::to_string(&ReservationList { items }).map_err(|error| internal(&error))?;
        Ok(KeptAnswer {
            status: 201,
            headers: vec![
                (header::LOCATION.to_string(), format!("/v1/reservations?job={job}")),
                (header::CONTENT_TYPE.to_string(), "application/json".to_owned()),
            ],
            body,
        })
    })
    .await
}

/// Who gives a reservation back.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Release {
    /// Who.
    #[schema(min_length = 1, max_length = 400, example = "Ruth")]
    by: String,
}

/// Gives reserved pieces back to the shelf. One that has ended is not ended again.
#[utoipa::path(
    post, path = "/v1/reservations/{number}/release", operation_id = "release_reservation", tag = "shelf",
    params(("number" = String, Path, example = "RS-000001", description = "The reservation's number.")),
    request_body(content = Release, description = "Who gives it back."),
    responses((status = 200, description = "The reservation as it ended.", body = ReservationSheet), ReleaseProblems),
)]
pub(crate) async fn release_reservation(
    shop: web::Data<Shop>,
    number: web::Path<String>,
    release: JsonBody<Release>,
) -> Result<HttpResponse, Problem> {
    let freed = operations::reservations::release_reservation(&shop, &number, &release.0.by).await?;
    Ok(HttpResponse::Ok().json(freed))
}
