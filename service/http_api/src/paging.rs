//! Lists in pieces: a cursor in the query, the next piece in a `Link` header (RFC 8288).

use actix_web::http::header;
use actix_web::{FromRequest, HttpRequest, HttpResponse, dev::Payload, web};
use operations::lookup_error::LookupError;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use std::future::{Ready, ready};
use utoipa::IntoParams;

use crate::problem::Problem;
use crate::problem_kind::ProblemKind;

/// Items of a piece when nothing else is asked for.
const LIMIT_USUAL: u64 = 50;
/// Most items of a piece.
const LIMIT_MAX: u64 = 500;

/// Which piece of a list.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct Page {
    /// The list goes on behind the item of this key; the `Link` header of a piece has it filled in.
    #[serde(default)]
    after: Option<String>,
    /// How many items at most.
    #[serde(default)]
    #[param(minimum = 1, maximum = 500, default = 50)]
    limit: Option<u64>,
}

impl Page {
    /// The key behind which the piece starts.
    pub(crate) fn after(&self) -> Option<&str> {
        self.after.as_deref()
    }

    /// How many items at most.
    pub(crate) fn limit(&self) -> Result<u64, Problem> {
        limit_of(self.limit)
    }
}

/// How many items at most, of what a query says.
pub(crate) fn limit_of(limit: Option<u64>) -> Result<u64, Problem> {
    match limit {
        None => Ok(LIMIT_USUAL),
        Some(limit) if (1..=LIMIT_MAX).contains(&limit) => Ok(limit),
        Some(limit) => Err(Problem::new(
            ProblemKind::InvalidQuery,
            format!("`limit` is {limit}; it must be from 1 to {LIMIT_MAX}"),
        )),
    }
}

/// The query of a request; a fault is a problem of its own kind.
pub(crate) struct Query<T>(pub(crate) T);

impl<T: DeserializeOwned> FromRequest for Query<T> {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(
            web::Query::<T>::from_query(request.query_string())
                .map(|query| Self(query.into_inner()))
                .map_err(|error| Problem::new(ProblemKind::InvalidQuery, query_words(&error))),
        )
    }
}

fn query_words(error: &actix_web::error::QueryPayloadError) -> String {
    match error {
        actix_web::error::QueryPayloadError::Deserialize(inner) => inner.to_string(),
        _ => "the query cannot be read".to_owned(),
    }
}

/// A piece of a list as it is sent.
#[derive(Serialize)]
struct Items<'a, T> {
    items: &'a T,
}

/// Sends a piece; a full one says where the next is.
pub(crate) fn piece<T: Serialize>(
    path: &str,
    limit: u64,
    items: &T,
    next_after: Option<&str>,
) -> HttpResponse {
    let mut response = HttpResponse::Ok();
    if let Some(after) = next_after {
        let after = percent_encoded(after);
        response.insert_header((header::LINK, format!("<{path}?after={after}&limit={limit}>; rel=\"next\"")));
    }
    response.json(Items { items })
}

/// Sends a piece of a list that the rest of the query narrows: the next one is narrowed alike.
pub(crate) fn piece_of<T: Serialize>(
    request: &HttpRequest,
    limit: u64,
    items: &T,
    next_after: Option<&str>,
) -> HttpResponse {
    let mut response = HttpResponse::Ok();
    if let Some(after) = next_after {
        response.insert_header((header::LINK, next_link(request, limit, after)));
    }
    response.json(Items { items })
}

/// The value of the header `Link` that leads behind a key, narrowed by the rest of this request's query.
pub(crate) fn next_link(request: &HttpRequest, limit: u64, after: &str) -> String {
    let narrowed = request.query_string().split('&').filter(|pair| {
        let name = pair.split('=').next().unwrap_or("");
        !matches!(name, "" | "after" | "limit")
    });
    let query: String = narrowed.map(|pair| format!("{pair}&")).collect();
    let after = percent_encoded(after);
    let path = request.path();
    format!("<{path}?{query}after={after}&limit={limit}>; rel=\"next\"")
}

/// A cursor that is no key is a fault of the query, not of the address.
pub(crate) fn bad_cursor(error: LookupError) -> Problem {
    match error {
        LookupError::Malformed { written, fault, .. } => Problem::new(
            ProblemKind::InvalidQuery,
            format!(
                "`after` is `{written}`, which {fault}; take it from the `Link` header of the piece before"
            ),
        ),
        error => error.into(),
    }
}

/// A text as it stands in a query or as one segment of a path (RFC 3986: unreserved characters stay).
pub(crate) fn percent_encoded(text: &str) -> String {
    let mut encoded = String::with_capacity(text.len());
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'.' | b'_' | b'~') {
            encoded.push(char::from(byte));
        } else {
            encoded.push_str(&format!("%{byte:02X}"));
        }
    }
    encoded
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cursor_survives_the_address() {
        assert_eq!(percent_encoded("VESSICK/VK 1é"), "VESSICK%2FVK%201%C3%A9");
    }

    #[test]
    fn the_next_piece_is_narrowed_as_this_one() {
        let uri = "/v1/stock?part=VK%201&after=x&limit=2&bin=A1";
        let request = actix_web::test::TestRequest::with_uri(uri).to_http_request();
        let response = piece_of(&request, 2, &[1, 2], Some("V/1|A1|"));
        let link = response.headers().get(header::LINK).unwrap();
        assert_eq!(link, "</v1/stock?part=VK%201&bin=A1&after=V%2F1%7CA1%7C&limit=2>; rel=\"next\"");
    }

    #[test]
    fn a_limit_out_of_range_is_refused() {
        let limit = |limit| Page { after: None, limit }.limit().map_err(|problem| problem.kind);
        assert_eq!(limit(None), Ok(50));
        assert_eq!(limit(Some(500)), Ok(500));
        assert_eq!(limit(Some(0)), Err(ProblemKind::InvalidQuery));
        assert_eq!(limit(Some(501)), Err(ProblemKind::InvalidQuery));
    }
}
