//! Counts of the shelf: the sheet, and what was counted by it.

use actix_web::{HttpRequest, HttpResponse, web};
use operations::book_count::{CountResult, ShelfCount};
use operations::shelf_sheet::ShelfSheet;
use operations::shop::Shop;
use serde::Deserialize;
use utoipa::IntoParams;

use crate::idempotency::once;
use crate::json_body::JsonBody;
use crate::orders::kept;
use crate::paging::Query;
use crate::problem::Problem;
use crate::problem_responses::{NewCountProblems, StockProblems};
use crate::sent;

/// Which bin is counted.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct SheetQuery {
    /// Only this bin.
    bin: Option<String>,
}

/// The sheet by which the shelf is counted: every lot, by bin, as the ledger holds it at one movement.
#[utoipa::path(
    get, path = "/v1/stock/count-sheet", operation_id = "get_shelf_sheet", tag = "shelf", params(SheetQuery),
    responses((status = 200, description = "The sheet.", body = ShelfSheet), StockProblems),
)]
pub(crate) async fn get_shelf_sheet(
    request: HttpRequest,
    shop: web::Data<Shop>,
    query: Query<SheetQuery>,
) -> Result<HttpResponse, Problem> {
    let sheet = operations::shelf_sheet::shelf_sheet(&shop, query.0.bin.as_deref()).await;
    sent::json(&request, &sheet.map_err(Problem::of_query)?)
}

/// The same sheet as CSV (RFC 4180), with an empty column to be filled in and sent back with the sequence that the header
/// `Ledger-Sequence` names.
#[utoipa::path(
    get, path = "/v1/stock/count-sheet.csv", operation_id = "export_shelf_sheet", tag = "shelf", params(SheetQuery),
    responses(
        (status = 200, description = "The sheet.", body = String, content_type = "text/csv",
            headers(("Ledger-Sequence" = i64, description = "Goes back with the count as `ledger_sequence`."))),
        StockProblems,
    ),
)]
pub(crate) async fn export_shelf_sheet(
    shop: web::Data<Shop>,
    query: Query<SheetQuery>,
) -> Result<HttpResponse, Problem> {
    let sheet = operations::shelf_sheet::shelf_sheet(&shop, query.0.bin.as_deref()).await;
    let sheet = sheet.map_err(Problem::of_query)?;
    let text = operations::shelf_sheet::shelf_sheet_csv(&sheet).map_err(Problem::of_query)?;
    Ok(HttpResponse::Ok()
        .content_type("text/csv; charset=utf-8; header=present")
        .insert_header(("Ledger-Sequence", sheet.ledger_sequence.to_string()))
        .body(text))
}

/// Books a count of the shelf: the differences to its sheet, as adjustments, all of them or none. What moved since the
/// sheet was printed stays as it was booked, and is told.
#[utoipa::path(
    post, path = "/v1/stock/counts", operation_id = "create_shelf_count", tag = "shelf",
    params(("Idempotency-Key" = String, Header, example = "\"01941f29-7c00-7000-8000-000000000006\"", description =
        "A text of your own in quotes. A repeated request with the same key and body gets the first answer again; the \
         key is kept for 24 hours.")),
    request_body(content = ShelfCount, description = "What was counted."),
    responses(
        (status = 201, description = "What came of it.", body = CountResult, headers(
            ("Location" = String, description = "Path of the list of movements from there on."),
            ("ETag" = String, description = "Its entity tag."),
        )),
        NewCountProblems,
    ),
)]
pub(crate) async fn create_shelf_count(
    request: HttpRequest,
    shop: web::Data<Shop>,
    asked: JsonBody<ShelfCount>,
) -> Result<HttpResponse, Problem> {
    let (asked, payload) = (asked.0.clone(), asked.0);
    once(&shop, &request, &payload, |owned| async move {
        let result = operations::book_count::book_count(&owned, &asked).await?;
        let first = result.adjustments.first().map_or(asked.ledger_sequence, |one| one.sequence - 1);
        kept(201, format!("/v1/stock/movements?after={first}"), &result)
    })
    .await
}
