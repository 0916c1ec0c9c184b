//! Wear.

use actix_web::HttpResponse;
use operations::calculations::CalculationSheet;
use operations::calculations::wear::{WearAsked, WearResult};

use crate::calculations::answer::answered;
use crate::json_body::JsonBody;
use crate::problem::Problem;
use crate::problem_responses::CalculationProblems;

/// A measured value against the limits that the maker gives, and the share of the wear that is left.
#[utoipa::path(
    post, path = "/v1/calculations/wear", operation_id = "calculate_wear", tag = "calculations",
    request_body(content = WearAsked, description = "The value and its limits."),
    responses(
        (status = 200, description = "The verdict.", body = CalculationSheet<WearAsked, WearResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_wear(asked: JsonBody<WearAsked>) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::wear::calculate_wear(&asked.0)).await
}
