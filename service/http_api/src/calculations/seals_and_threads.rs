//! Shaft seals and metric threads.

use actix_web::HttpResponse;
use operations::calculations::CalculationSheet;
use operations::calculations::shaft_seal::{ShaftSealAsked, ShaftSealResult};
use operations::calculations::thread::{ThreadAsked, ThreadResult};

use crate::calculations::answer::answered;
use crate::json_body::JsonBody;
use crate::problem::Problem;
use crate::problem_responses::CalculationProblems;

/// A rotary shaft seal by its designation, its interference in the bore, and whether it suits a seat.
#[utoipa::path(
    post, path = "/v1/calculations/shaft-seal", operation_id = "calculate_shaft_seal", tag = "calculations",
    request_body(content = ShaftSealAsked, description = "The seal, perhaps with its seat."),
    responses(
        (status = 200, description = "What the designation says, and the verdict.", body = CalculationSheet<ShaftSealAsked, ShaftSealResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_shaft_seal(asked: JsonBody<ShaftSealAsked>) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::shaft_seal::calculate_shaft_seal(&asked.0)).await
}

/// A metric thread by its designation, its profile and limits, and whether a nut goes on.
#[utoipa::path(
    post, path = "/v1/calculations/thread", operation_id = "calculate_thread", tag = "calculations",
    request_body(content = ThreadAsked, description = "The screw, perhaps with its nut."),
    responses(
        (status = 200, description = "What the designation says, and the verdict.", body = CalculationSheet<ThreadAsked, ThreadResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_thread(asked: JsonBody<ThreadAsked>) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::thread::calculate_thread(&asked.0)).await
}
