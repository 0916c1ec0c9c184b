//! The other answers to what a stored quote asked.

use actix_web::{HttpResponse, web};
use operations::Alternatives;
use operations::asked_alternatives::AskedOfQuote;
use operations::quote_alternatives::quote_alternatives;
use operations::shop::Shop;

use crate::json_body::JsonBody;
use crate::problem::Problem;
use crate::problem_responses::AlternativesProblems;
use crate::sent;

/// Answers the next best plans of a stored quote, and what it would cost to have it another way.
///
/// All follow from what the quote froze: catalogue, prices and stock of today play no part. A condition that cannot be met
/// says why. Nothing is stored.
#[utoipa::path(
    post, path = "/v1/quotes/{number}/alternatives", operation_id = "resolve_quote_alternatives", tag = "rebuild",
    params(("number" = String, Path, example = "Q-000001", description = "The quote's number.")),
    request_body(content = AskedOfQuote, description = "How many, and under which conditions.", example = json!({
        "next": 2,
        "conditions": [
            { "condition": "without_supplier", "supplier": "OSTREL" },
            { "condition": "only_original" },
        ],
    })),
    responses((status = 200, description = "The answers, held against the best.", body = Alternatives),
        AlternativesProblems),
)]
pub(crate) async fn resolve_quote_alternatives(
    shop: web::Data<Shop>,
    number: web::Path<String>,
    asked: JsonBody<AskedOfQuote>,
) -> Result<HttpResponse, Problem> {
    sent::answer(&quote_alternatives(&shop, &number, &asked.0).await?)
}
