//! Order rounds: what all approved jobs and the shelf lack, bought in one go.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use operations::answer_once::KeptAnswer;
use operations::order_round::{AskedOrderRound, OrderRound};
use operations::shop::Shop;

use crate::failure::internal;
use crate::idempotency::once;
use crate::json_body::JsonBody;
use crate::orders::kept;
use crate::paging::percent_encoded;
use crate::problem::Problem;
use crate::problem_responses::OrderRoundProblems;

/// Drafts orders, one a supplier, for all that approved jobs and the shelf lack: covered at once, so that kits, packs, price
/// breaks and what an order costs are shared. Each line remembers for whom how many of its pieces are. What is issued,
/// reserved or on its way already is not ordered again, however many rounds are made at once. With `dry_run` nothing is
/// stored.
#[utoipa::path(
    post, path = "/v1/order-rounds", operation_id = "create_order_round", tag = "buying",
    params(("Idempotency-Key" = String, Header, example = "\"01941f29-7c00-7000-8000-000000000008\"", description =
        "A text of your own in quotes. A repeated request with the same key and body gets the first answer again; the \
         key is kept for 24 hours.")),
    request_body(content = AskedOrderRound, description = "What the purchase should be best at."),
    responses(
        (status = 200, description = "Nothing is stored: it was only asked for, or nothing is to be bought.",
            body = OrderRound),
        (status = 201, description = "The round, its orders drafted.", body = OrderRound, headers(
            ("Location" = String, description = "Path of the first order."),
            ("ETag" = String, description = "The entity tag of this answer."),
        )),
        OrderRoundProblems,
    ),
)]
pub(crate) async fn create_order_round(
    request: HttpRequest,
    shop: web::Data<Shop>,
    asked: JsonBody<AskedOrderRound>,
) -> Result<HttpResponse, Problem> {
    let (asked, payload) = (asked.0.clone(), asked.0);
    once(&shop, &request, &payload, |owned| async move {
        let round = operations::order_round::make_round(&owned, &asked).await?;
        match round.orders.first().and_then(|order| order.number.as_deref()) {
            Some(first) => kept(201, format!("/v1/orders/{}", percent_encoded(first)), &round),
            None => nothing_stored(&round),
        }
    })
    .await
}

/// An answer of which nothing was stored.
fn nothing_stored(round: &OrderRound) -> Result<KeptAnswer, Problem> {
    Ok(KeptAnswer {
        status: 200,
        headers: vec![(header::CONTENT_TYPE.to_string(), "application/json".to_owned())],
        body: serde_json::to_string(round).map_err(|error| internal(&error))?,
    })
}
