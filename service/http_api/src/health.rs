//! Whether the service lives, and whether it can work.

use actix_web::http::header;
use actix_web::{HttpResponse, web};
use operations::shop::Shop;

use crate::problem::Problem;
use crate::problem_kind::ProblemKind;
use crate::problem_responses::PlainProblems;

/// Whether the process lives.
#[utoipa::path(
    get, path = "/healthz", operation_id = "get_health", tag = "service",
    responses((status = 200, description = "It lives.", body = String, content_type = "text/plain")),
)]
pub(crate) async fn get_health() -> HttpResponse {
    plain("alive\n")
}

/// Whether the service can work: its database answers.
#[utoipa::path(
    get, path = "/readyz", operation_id = "get_readiness", tag = "service",
    responses(
        (status = 200, description = "It can work.", body = String, content_type = "text/plain"),
        PlainProblems,
    ),
)]
pub(crate) async fn get_readiness(shop: web::Data<Shop>) -> Result<HttpResponse, Problem> {
    match shop.is_ready().await {
        Ok(()) => Ok(plain("ready\n")),
        Err(error) => {
            tracing::warn!(%error, "the database does not answer");
            let kind = ProblemKind::DatabaseUnavailable;
            Err(Problem::new(kind, kind.facts().meaning))
        }
    }
}

fn plain(text: &'static str) -> HttpResponse {
    HttpResponse::Ok()
        .insert_header((header::CONTENT_TYPE, "text/plain; charset=utf-8"))
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .body(text)
}
