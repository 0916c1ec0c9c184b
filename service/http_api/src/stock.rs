//! What lies on the shelf, and the movements of the stock ledger.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use chrono::{DateTime, Utc};
use operations::answer_once::KeptAnswer;
use operations::book_movements::MovementsToBook;
use operations::list_movements::{MovementSheet, MovementsAsked};
use operations::list_stock::{LotSheet, StockAsked};
use operations::shop::Shop;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::failure::internal;
use crate::idempotency::once;
use crate::json_body::JsonBody;
use crate::paging::{Query, limit_of, piece_of};
use crate::problem::Problem;
use crate::problem_responses::{NewMovementsProblems, StockProblems};

/// A piece of the list of lots.
#[derive(Serialize, ToSchema)]
pub(crate) struct LotList {
    /// The lots, by part, bin and mark.
    items: Vec<LotSheet>,
}

/// A piece of the list of movements.
#[derive(Serialize, ToSchema)]
pub(crate) struct MovementList {
    /// The movements, the oldest first.
    items: Vec<MovementSheet>,
}

/// Which lots are wanted.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct LotQuery {
    /// Of this part: MAKER/NUMBER, or the number alone.
    part: Option<String>,
    /// In this bin.
    bin: Option<String>,
    /// As they were after this movement of the ledger.
    sequence: Option<i64>,
    /// As they were at this instant.
    at: Option<DateTime<Utc>>,
    /// Empty lots too.
    #[serde(default)]
    empty: bool,
    /// The list goes on behind the item of this key; the `Link` header of a piece has it filled in.
    after: Option<String>,
    /// How many items at most.
    #[param(minimum = 1, maximum = 500, default = 50)]
    limit: Option<u64>,
}

/// What lies on the shelf: balance, reserved and available by bin; or any past balance, made again from the movements.
#[utoipa::path(
    get, path = "/v1/stock", operation_id = "list_stock", tag = "shelf", params(LotQuery),
    responses(
        (status = 200, description = "A piece of the list; the header `Link` leads to the next.", body = LotList,
            headers(("Link" = String, description = "The next piece, as rel=\"next\"."))),
        StockProblems,
    ),
)]
pub(crate) async fn list_stock(
    request: HttpRequest,
    shop: web::Data<Shop>,
    query: Query<LotQuery>,
) -> Result<HttpResponse, Problem> {
    let LotQuery { part, bin, sequence, at, empty, after, limit } = query.0;
    let limit = limit_of(limit)?;
    let asked = StockAsked { part, bin, sequence, at, empty };
    let listed = operations::list_stock::list_stock(&shop, &asked, after.as_deref(), limit).await;
    let listed = listed.map_err(Problem::of_query)?;
    Ok(piece_of(&request, limit, &listed.items, listed.next_after.as_deref()))
}

/// Which movements are wanted.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct MovementQuery {
    /// Of this part: MAKER/NUMBER, or the number alone.
    part: Option<String>,
    /// In this bin.
    bin: Option<String>,
    /// Booked for this paper.
    paper: Option<String>,
    /// Of this batch.
    batch: Option<String>,
    /// The list goes on behind the item of this key; the `Link` header of a piece has it filled in.
    after: Option<String>,
    /// How many items at most.
    #[param(minimum = 1, maximum = 500, default = 50)]
    limit: Option<u64>,
}

/// The movements of the stock ledger, the oldest first.
#[utoipa::path(
    get, path = "/v1/stock/movements", operation_id = "list_movements", tag = "shelf", params(MovementQuery),
    responses(
        (status = 200, description = "A piece of the list; the header `Link` leads to the next.", body = MovementList,
            headers(("Link" = String, description = "The next piece, as rel=\"next\"."))),
        StockProblems,
    ),
)]
pub(crate) async fn list_movements(
    request: HttpRequest,
    shop: web::Data<Shop>,
    query: Query<MovementQuery>,
) -> Result<HttpResponse, Problem> {
    let MovementQuery { part, bin, paper, batch, after, limit } = query.0;
    let limit = limit_of(limit)?;
    let asked = MovementsAsked { part, bin, paper, batch };
    let listed = operations::list_movements::list_movements(&shop, &asked, after.as_deref(), limit).await;
    let listed = listed.map_err(Problem::of_query)?;
    Ok(piece_of(&request, limit, &listed.items, listed.next_after.as_deref()))
}

/// Books movements that have no paper of their own: all of them or none. The ledger is only added to.
#[utoipa::path(
    post, path = "/v1/stock/movements", operation_id = "create_movements", tag = "shelf",
    params(("Idempotency-Key" = String, Header, example = "\"01941f29-7c00-7000-8000-000000000003\"", description =
        "A text of your own in quotes. A repeated request with the same key and body gets the first answer again; the \
         key is kept for 24 hours.")),
    request_body(content = MovementsToBook, description = "What is booked.", example = json!({
        "by": "Ruth",
        "postings": [
            { "part": "BRANNOCH/410-5005", "bin": "A-BEARINGS", "kind": "adjust", "quantity": "-1",
              "reason": "One short at the count" },
        ],
    })),
    responses(
        (status = 201, description = "The movements.", body = MovementList,
            headers(("Location" = String, description = "Path of the list of movements from there on."))),
        NewMovementsProblems,
    ),
)]
pub(crate) async fn create_movements(
    request: HttpRequest,
    shop: web::Data<Shop>,
    asked: JsonBody<MovementsToBook>,
) -> Result<HttpResponse, Problem> {
    let asked = asked.0;
    let payload = asked.clone();
    once(&shop, &request, &payload, |kept| async move {
        let items = operations::book_movements::book_movements(&kept, &asked).await?;
        let before = items.first().map_or(0, |movement| movement.sequence - 1);
        let body = serde_json::to_string(&MovementList { items }).map_err(|error| internal(&error))?;
        Ok(KeptAnswer {
            status: 201,
            headers: vec![
                (header::LOCATION.to_string(), format!("/v1/stock/movements?after={before}")),
                (header::CONTENT_TYPE.to_string(), "application/json".to_owned()),
            ],
            body,
        })
    })
    .await
}
