//! When what was ordered for a quote or a job is here.

use actix_web::{HttpRequest, HttpResponse, web};
use operations::deliveries::{Deliveries, job_deliveries, quote_deliveries};
use operations::shop::Shop;

use crate::problem::Problem;
use crate::problem_responses::{JobProblems, QuoteProblems};
use crate::sent;

/// What is on its way for a quote: as it was planned when it was ordered, and as the suppliers have answered since.
#[utoipa::path(
    get, path = "/v1/quotes/{number}/deliveries", operation_id = "get_quote_deliveries", tag = "buying",
    params(("number" = String, Path, example = "Q-000001", description = "The quote's number.")),
    responses((status = 200, description = "What is on its way.", body = Deliveries), QuoteProblems),
)]
pub(crate) async fn get_quote_deliveries(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &quote_deliveries(&shop, &number).await?)
}

/// What is on its way for a job, by its own number and by the quotes of its estimate and decision.
#[utoipa::path(
    get, path = "/v1/jobs/{number}/deliveries", operation_id = "get_job_deliveries", tag = "buying",
    params(("number" = String, Path, example = "J-000001", description = "The job's number.")),
    responses((status = 200, description = "What is on its way.", body = Deliveries), JobProblems),
)]
pub(crate) async fn get_job_deliveries(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &job_deliveries(&shop, &number).await?)
}
