//! Cases: all that an answer follows from, saved to be answered again elsewhere.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use operations::asked::Asked;
use operations::save_case::{case_of_quote, save_case};
use operations::shop::Shop;

use crate::json_body::JsonBody;
use crate::problem::Problem;
use crate::problem_responses::{QuoteProblems, RebuildProblems};
use crate::sent;

/// What the answer to a request would follow from now: request, catalogue rows, prices and stock, as JSON.
///
/// `crownwheel replay FILE` answers it again on another machine. The request is not answered here, so a case can be saved of
/// one that fails. Nothing is stored.
#[utoipa::path(
    post, path = "/v1/cases", operation_id = "export_case", tag = "rebuild",
    request_body(content = Asked, description = "What is to be rebuilt.", example = json!({
        "units": [{ "unit": "BN-228", "operation": "PINION-SEAL" }],
    })),
    responses((status = 200, description = "The case.", body = Object), RebuildProblems),
)]
pub(crate) async fn export_case(
    shop: web::Data<Shop>,
    asked: JsonBody<Asked>,
) -> Result<HttpResponse, Problem> {
    let case = save_case(&shop, &asked.0).await?;
    Ok(HttpResponse::Ok()
        .insert_header((header::CONTENT_TYPE, "application/json"))
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .body(case))
}

/// What a stored quote froze, byte for byte, as JSON; `crownwheel replay FILE` answers it again.
#[utoipa::path(
    get, path = "/v1/quotes/{number}/case", operation_id = "get_quote_case", tag = "rebuild",
    params(("number" = String, Path, example = "Q-000001", description = "The quote's number.")),
    responses((status = 200, description = "The case.", body = Object), QuoteProblems),
)]
pub(crate) async fn get_quote_case(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let (_, case) = case_of_quote(&shop, &number).await?;
    Ok(sent::bytes(&request, "application/json", case.into_bytes()))
}
