//! Sends a resource with its entity tag, or says that the client has it already.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse};
use serde::Serialize;

use crate::etag::{EntityTag, is_known};
use crate::failure::internal;
use crate::problem::Problem;

/// A resource as JSON.
pub(crate) fn json<T: Serialize>(request: &HttpRequest, resource: &T) -> Result<HttpResponse, Problem> {
    let body = serde_json::to_vec(resource).map_err(|error| internal(&error))?;
    Ok(bytes(request, "application/json", body))
}

/// A resource as it is after a change.
pub(crate) fn changed<T: Serialize>(resource: &T) -> Result<HttpResponse, Problem> {
    let body = serde_json::to_vec(resource).map_err(|error| internal(&error))?;
    Ok(HttpResponse::Ok()
        .insert_header((header::ETAG, EntityTag::of(&body).header()))
        .insert_header((header::CONTENT_TYPE, "application/json"))
        .body(body))
}

/// A response whose media type the client chose.
pub(crate) fn varying_by_accept(mut response: HttpResponse) -> HttpResponse {
    response.headers_mut().append(header::VARY, header::HeaderValue::from_static("Accept"));
    response
}

/// An answer that was worked out and is kept nowhere.
pub(crate) fn answer<T: Serialize>(answer: &T) -> Result<HttpResponse, Problem> {
    let body = serde_json::to_vec(answer).map_err(|error| internal(&error))?;
    Ok(HttpResponse::Ok()
        .insert_header((header::CONTENT_TYPE, "application/json"))
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .body(body))
}

/// A resource in another media type.
pub(crate) fn bytes(request: &HttpRequest, media_type: &str, body: Vec<u8>) -> HttpResponse {
    let tag = EntityTag::of(&body);
    if is_known(request, &tag) {
        return HttpResponse::NotModified().insert_header((header::ETAG, tag.header())).finish();
    }
    HttpResponse::Ok()
        .insert_header((header::ETAG, tag.header()))
        .insert_header((header::CACHE_CONTROL, "no-cache"))
        .insert_header((header::CONTENT_TYPE, media_type))
        .body(body)
}
