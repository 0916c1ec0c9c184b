//! What else must change if a part or set is fitted.

use actix_web::{HttpResponse, web};
use operations::FitCheck;
use operations::asked_fit_check::AskedFitCheck;
use operations::shop::Shop;

use crate::json_body::JsonBody;
use crate::problem::Problem;
use crate::problem_responses::RebuildProblems;
use crate::sent;

/// Checks whether parts or sets fit what is inside a unit: as it is, with further changes, or not at all.
///
/// Each alternative is answered for itself: with the smallest sets of further changes, the joint figures that force them
/// and what they cost, or with a smallest group of facts that cannot hold together. Nothing is stored.
#[utoipa::path(
    post, path = "/v1/fit-checks", operation_id = "resolve_fit_check", tag = "rebuild",
    request_body(content = AskedFitCheck, description = "What is inside, and what is wanted.", examples(
        ("overdrive" = (summary = "Two makers' overdrive sets side by side", value = json!({
            "units": [{ "unit": "BN-552", "operation": "TOP-GEAR" }],
            "alternatives": [
                { "parts": [{ "part": "VESSICK/VK 552-5 S" }] },
                { "parts": [{ "part": "NORRWALD/N55.OD" }] },
            ],
        }))),
        ("inside" = (summary = "With the matching gear inside already", value = json!({
            "units": [{ "unit": "BN-552", "operation": "TOP-GEAR", "inside": [
                { "position": "GEAR-3", "part": "VESSICK/VK 552-330" },
            ] }],
            "alternatives": [{ "parts": [{ "part": "VESSICK/VK 552-5 S" }] }],
        }))),
    )),
    responses((status = 200, description = "Each alternative, and the best of each side by side.", body = FitCheck),
        RebuildProblems),
)]
pub(crate) async fn resolve_fit_check(
    shop: web::Data<Shop>,
    asked: JsonBody<AskedFitCheck>,
) -> Result<HttpResponse, Problem> {
    sent::answer(&operations::check_fit::check_fit(&shop, &asked.0).await?)
}
