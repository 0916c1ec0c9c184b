//! Reorders: what is below its shelf minimum, and the orders that fill it up again.

use actix_web::{HttpRequest, HttpResponse, web};
use operations::below_minimum::{BelowMinimum, ReordersToDraft};
use operations::draft_orders::DraftedOrders;
use operations::shop::Shop;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::idempotency::once;
use crate::json_body::JsonBody;
use crate::orders::kept;
use crate::paging::{Query, limit_of, percent_encoded, piece_of};
use crate::problem::Problem;
use crate::problem_responses::{NewOrderProblems, ReorderProblems};

/// A piece of the list of parts below their minimums.
#[derive(Serialize, ToSchema)]
pub(crate) struct ReorderList {
    /// The parts, by their keys.
    items: Vec<BelowMinimum>,
}

/// Which piece of the list is wanted.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ReorderPage {
    /// The list goes on behind the item of this key; the `Link` header of a piece has it filled in.
    after: Option<String>,
    /// How many items at most.
    #[param(minimum = 1, maximum = 500, default = 50)]
    limit: Option<u64>,
}

/// What is below its shelf minimum: what is available and what is on order for the shelf, together, are less. Each with
/// the offer that brings what lacks for least money.
#[utoipa::path(
    get, path = "/v1/reorders", operation_id = "list_reorders", tag = "shelf", params(ReorderPage),
    responses(
        (status = 200, description = "A piece of the list; the header `Link` leads to the next.", body = ReorderList,
            headers(("Link" = String, description = "The next piece, as rel=\"next\"."))),
        ReorderProblems,
    ),
)]
pub(crate) async fn list_reorders(
    request: HttpRequest,
    shop: web::Data<Shop>,
    page: Query<ReorderPage>,
) -> Result<HttpResponse, Problem> {
    let limit = limit_of(page.0.limit)?;
    let listed = operations::below_minimum::list_reorders(&shop, page.0.after.as_deref(), limit).await?;
    Ok(piece_of(&request, limit, &listed.items, listed.next_after.as_deref()))
}

/// Drafts the orders that fill the shelf up again, one a supplier. However many ask at once, nothing is ordered twice:
/// what was drafted counts as on order.
#[utoipa::path(
    post, path = "/v1/reorders", operation_id = "create_reorders", tag = "shelf",
    params(("Idempotency-Key" = String, Header, example = "\"01941f29-7c00-7000-8000-000000000007\"", description =
        "A text of your own in quotes. A repeated request with the same key and body gets the first answer again; the \
         key is kept for 24 hours.")),
    request_body(content = ReordersToDraft, description = "Which of them."),
    responses(
        (status = 201, description = "The orders, drafted.", body = DraftedOrders, headers(
            ("Location" = String, description = "Path of the first order."),
            ("ETag" = String, description = "The entity tag of this answer."),
        )),
        NewOrderProblems,
    ),
)]
pub(crate) async fn create_reorders(
    request: HttpRequest,
    shop: web::Data<Shop>,
    asked: JsonBody<ReordersToDraft>,
) -> Result<HttpResponse, Problem> {
    let (asked, payload) = (asked.0.clone(), asked.0);
    once(&shop, &request, &payload, |owned| async move {
        let drafted = operations::below_minimum::draft_reorders(&owned, &asked).await?;
        let first = drafted.items.first().map_or("", |order| &order.number);
        kept(201, format!("/v1/orders/{}", percent_encoded(first)), &drafted)
    })
    .await
}
