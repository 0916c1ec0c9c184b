//! What a rebuild needs, answered without being stored.

use actix_web::http::header;
use actix_web::{HttpResponse, web};
use operations::Answer;
use operations::asked::Asked;
use operations::quote_rebuild::quote_rebuild;
use operations::shop::Shop;

use crate::json_body::JsonBody;
use crate::problem::Problem;
use crate::problem_responses::RebuildProblems;

/// Answers what a rebuild needs, what of it is on the shelf, what brings the rest, and the price. Nothing is stored.
#[utoipa::path(
    post, path = "/v1/requirements", operation_id = "resolve_requirement", tag = "rebuild",
    request_body(content = Asked, description = "What is to be rebuilt.", examples(
        ("overhaul" = (summary = "The overhaul of a gearbox", value = json!({
            "units": [{ "unit": "BN-640" }],
        }))),
        ("both" = (summary = "A gearbox with its drop box, fewest suppliers", value = json!({
            "units": [{ "unit": "BN-640" }, { "unit": "bn 143" }],
            "aim": "fewest_suppliers",
        }))),
        ("alternatives" = (summary = "With the next best answers, and what it costs to have it another way", value = json!({
            "units": [{ "unit": "BN-228", "variants": ["FLANGE-50"] }],
            "alternatives": { "next": 3, "conditions": [
                { "condition": "without_supplier", "supplier": "SKARNE" },
                { "condition": "only_original" },
                { "condition": "no_unverified_joints" },
            ] },
        }))),
    )),
    responses((status = 200, description = "The answer, each line with its reasons.", body = Answer), RebuildProblems),
)]
pub(crate) async fn resolve_requirement(
    shop: web::Data<Shop>,
    asked: JsonBody<Asked>,
) -> Result<HttpResponse, Problem> {
    let rebuild = quote_rebuild(&shop, &asked.0).await?;
    Ok(HttpResponse::Ok()
        .insert_header((header::CONTENT_TYPE, "application/json"))
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .body(rebuild.body.to_string()))
}
