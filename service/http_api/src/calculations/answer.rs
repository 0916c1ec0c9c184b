//! Runs a calculation beside the requests and writes what comes of it.

use actix_web::http::header;
use actix_web::{HttpResponse, web};
use operations::calculations::CalculationFault;
use serde::Serialize;

use crate::calculations::SVG;
use crate::failure::internal;
use crate::problem::Problem;

/// The sheet of a calculation.
pub(super) async fn answered<T, F>(calculate: F) -> Result<HttpResponse, Problem>
where
    T: Serialize + Send + 'static,
    F: FnOnce() -> Result<T, CalculationFault> + Send + 'static,
{
    let sheet = beside(calculate).await?;
    let body = serde_json::to_vec(&sheet).map_err(|error| internal(&error))?;
    Ok(sent("application/json", body))
}

/// The picture of a calculation.
pub(super) async fn drawn<F>(draw: F) -> Result<HttpResponse, Problem>
where
    F: FnOnce() -> Result<String, CalculationFault> + Send + 'static,
{
    Ok(sent(SVG, beside(draw).await?.into_bytes()))
}

/// A search over many pairs would hold up the other requests of its thread.
async fn beside<T, F>(work: F) -> Result<T, Problem>
where
    T: Send + 'static,
    F: FnOnce() -> Result<T, CalculationFault> + Send + 'static,
{
    let done = web::block(work).await.map_err(|error| internal(&error))?;
    Ok(done?)
}

fn sent(media_type: &str, body: Vec<u8>) -> HttpResponse {
    HttpResponse::Ok()
        .insert_header((header::CONTENT_TYPE, media_type))
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .body(body)
}
