//! The reference that a person browses: all of it lies in the binary, so it needs no internet.

use std::sync::Arc;

use actix_web::http::header;
use actix_web::{HttpResponse, web};
use utoipa_swagger_ui::Config;

use crate::problem::Problem;
use crate::problem_kind::ProblemKind;

/// How the reference is set up.
pub(crate) fn config() -> Arc<Config<'static>> {
    // No badge of a validator elsewhere, and nothing to try out that would change the shop by accident.
    Arc::new(Config::from("/v1/openapi.json").validator_url("none").try_it_out_enabled(false))
}

/// One file of the reference; nothing or `index.html` is its page.
pub(crate) async fn get_reference(
    config: web::Data<Config<'static>>,
    file: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let absent =
        || Problem::new(ProblemKind::NotFound, "the reference has no such file; it begins at /reference/");
    match utoipa_swagger_ui::serve(&file, config.into_inner()) {
        Ok(Some(found)) => Ok(HttpResponse::Ok()
            .insert_header((header::CONTENT_TYPE, found.content_type))
            .body(found.bytes.into_owned())),
        Ok(None) => Err(absent()),
        Err(error) => {
            tracing::error!(%error, "the reference cannot be sent");
            Err(Problem::new(ProblemKind::Internal, ProblemKind::Internal.facts().meaning))
        }
    }
}

/// Leads to the page of the reference.
pub(crate) async fn redirect_to_reference() -> HttpResponse {
    HttpResponse::PermanentRedirect().insert_header((header::LOCATION, "/reference/")).finish()
}
