//! Quotes: answers that are kept with all that they follow from.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use chrono::NaiveDate;
use operations::answer_once::KeptAnswer;
use operations::asked::Asked;
use operations::compare_quote::QuoteComparison;
use operations::recompute_quote::Recomputed;
use operations::shop::Shop;
use operations::show_quote::{QuoteHead, QuoteSheet};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::etag::EntityTag;
use crate::failure::internal;
use crate::idempotency::once;
use crate::json_body::JsonBody;
use crate::paging::{Page, Query, percent_encoded, piece};
use crate::problem::Problem;
use crate::problem_responses::{ComparisonProblems, ListProblems, NewQuoteProblems, QuoteProblems};
use crate::sent;

/// A piece of the list of quotes.
#[derive(Serialize, ToSchema)]
pub(crate) struct QuoteList {
    /// The quotes, the oldest first.
    items: Vec<QuoteHead>,
}

/// Stores a quote: the answer to a request with all that it follows from, under the next running number.
#[utoipa::path(
    post, path = "/v1/quotes", operation_id = "create_quote", tag = "rebuild",
    params(("Idempotency-Key" = String, Header, description =
        "A text of your own in quotes. A repeated request with the same key and body gets the first answer again; the \
         key is kept for 24 hours.")),
    request_body(content = Asked, description = "What is to be rebuilt."),
    responses(
        (status = 201, description = "The quote.", body = QuoteSheet, headers(
            ("Location" = String, description = "Path of the quote."),
            ("ETag" = String, description = "Its entity tag."),
        )),
        NewQuoteProblems,
    ),
)]
pub(crate) async fn create_quote(
    request: HttpRequest,
    shop: web::Data<Shop>,
    asked: JsonBody<Asked>,
) -> Result<HttpResponse, Problem> {
    let asked = asked.0;
    let payload = asked.clone();
    once(&shop, &request, &payload, |kept| async move {
        let quote = operations::store_quote::store_quote(&kept, &asked).await?;
        let body = serde_json::to_string(&quote).map_err(|error| internal(&error))?;
        let location = format!("/v1/quotes/{}", percent_encoded(&quote.number));
        Ok(KeptAnswer {
            status: 201,
            headers: vec![
                (header::LOCATION.to_string(), location),
                (header::ETAG.to_string(), EntityTag::of(body.as_bytes()).header()),
                (header::CONTENT_TYPE.to_string(), "application/json".to_owned()),
            ],
            body,
        })
    })
    .await
}

/// The stored quotes, the oldest first.
#[utoipa::path(
    get, path = "/v1/quotes", operation_id = "list_quotes", tag = "rebuild", params(Page),
    responses(
        (status = 200, description = "A piece of the list; the header `Link` leads to the next.", body = QuoteList,
            headers(("Link" = String, description = "The next piece, as rel=\"next\"."))),
        ListProblems,
    ),
)]
pub(crate) async fn list_quotes(shop: web::Data<Shop>, page: Query<Page>) -> Result<HttpResponse, Problem> {
    let limit = page.0.limit()?;
    let listed = operations::list_quotes::list_quotes(&shop, page.0.after(), limit).await?;
    Ok(piece("/v1/quotes", limit, &listed.items, listed.next_after.as_deref()))
}

/// One stored quote.
#[utoipa::path(
    get, path = "/v1/quotes/{number}", operation_id = "get_quote", tag = "rebuild",
    params(("number" = String, Path, description = "The quote's number.")),
    responses(
        (status = 200, description = "The quote.", body = QuoteSheet,
            headers(("ETag" = String, description = "Its entity tag; a quote never changes."))),
        QuoteProblems,
    ),
)]
pub(crate) async fn get_quote(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &operations::show_quote::show_quote(&shop, &number).await?)
}

/// A quote made again from what it froze, and whether it comes out the same, byte for byte.
#[utoipa::path(
    get, path = "/v1/quotes/{number}/recomputed", operation_id = "recompute_quote", tag = "rebuild",
    params(("number" = String, Path, description = "The quote's number.")),
    responses((status = 200, description = "The quote made again.", body = Recomputed), QuoteProblems),
)]
pub(crate) async fn recompute_quote(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &operations::recompute_quote::recompute_quote(&shop, &number).await?)
}

/// The day of a comparison.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ComparedOn {
    /// The day that the quote is held against; left out: today (UTC).
    #[serde(default)]
    as_of: Option<NaiveDate>,
}

/// A quote against today: what changed, line by line, and which notice, price or movement is behind it.
#[utoipa::path(
    get, path = "/v1/quotes/{number}/comparison", operation_id = "compare_quote", tag = "rebuild",
    params(("number" = String, Path, description = "The quote's number."), ComparedOn),
    responses((status = 200, description = "What changed.", body = QuoteComparison), ComparisonProblems),
)]
pub(crate) async fn compare_quote(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
    day: Query<ComparedOn>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &operations::compare_quote::compare_quote(&shop, &number, day.0.as_of).await?)
}
