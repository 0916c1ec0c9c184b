//! `Idempotency-Key`: what a client sends again is not done again.

use std::future::Future;

use actix_web::http::{StatusCode, header};
use actix_web::{HttpRequest, HttpResponse};
use operations::answer_once::{KeptAnswer, Once, answer_once};
use operations::shop::Shop;
use serde::Serialize;
use sha2::{Digest, Sha256};
use utoipa::ToSchema;

use crate::failure::internal;
use crate::problem::Problem;
use crate::problem_kind::ProblemKind;

/// Name of the header field.
const IDEMPOTENCY_KEY: &str = "idempotency-key";
/// Longest key, in characters.
const KEY_LENGTH_MAX: usize = 255;

/// What a request made whose answer was lost when the service broke down.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct MadeBefore {
    /// The paths of what it made; the header `Location` names the first.
    #[schema(example = json!(["/v1/quotes/Q-000001"]))]
    pub(crate) made: Vec<String>,
}

/// The key of a request: a quoted string, or the same without its quotes.
fn key(request: &HttpRequest) -> Result<String, Problem> {
    let mut sent = request.headers().get_all(IDEMPOTENCY_KEY);
    let Some(value) = sent.next() else {
        let detail = "send the header Idempotency-Key with a text of your own in quotes, such as \
                      \"01941f29-7c00-7000-8000-000000000001\", and the same one when you repeat the request";
        return Err(Problem::new(ProblemKind::IdempotencyKeyMissing, detail));
    };
    let malformed = |wrong: &str| {
        let detail = format!(
            "Idempotency-Key {wrong}; write one text of 1 to {KEY_LENGTH_MAX} visible ASCII characters in quotes"
        );
        Problem::new(ProblemKind::InvalidHeader, detail)
    };
    if sent.next().is_some() {
        return Err(malformed("is sent twice"));
    }
    let text = value.to_str().map_err(|_| malformed("holds other characters"))?.trim();
    let bare = match text.strip_prefix('"') {
        Some(rest) => rest.strip_suffix('"').ok_or_else(|| malformed("has no closing quote"))?,
        None => text,
    };
    if bare.is_empty() || bare.len() > KEY_LENGTH_MAX {
        return Err(malformed("is empty or too long"));
    }
    if !bare.bytes().all(|byte| (0x21..=0x7e).contains(&byte) && byte != b'"') {
        return Err(malformed("holds other characters"));
    }
    Ok(bare.to_owned())
}

/// Does something once for the request's key; a repeated request gets the first answer, byte for byte. Where a process died
/// between the work and its answer, the request is not done again: it is led to what was made. `act` must work with the
/// shop that it is given.
///
/// The work goes on where the client leaves, so that it finds the answer when it comes back.
pub(crate) async fn once<F>(
    shop: &Shop,
    request: &HttpRequest,
    payload: &impl Serialize,
    act: impl FnOnce(Shop) -> F,
) -> Result<HttpResponse, Problem>
where
    F: Future<Output = Result<KeptAnswer, Problem>> + Send + 'static,
{
    let key = key(request)?;
    let route = format!("{} {}", request.method(), request.path());
    let payload = serde_json::to_vec(payload).map_err(|error| internal(&error))?;
    let hash: String = Sha256::digest(&payload).iter().map(|byte| format!("{byte:02x}")).collect();
    match answer_once(shop, &key, &route, &hash, act).await? {
        Once::Answered(answer) => response(answer, false),
        Once::Replayed(answer) => response(answer, true),
        Once::Made(papers) => Ok(led_to(&papers)),
        Once::Failed(problem) => Err(problem),
        Once::Running => Err(Problem::new(
            ProblemKind::IdempotencyKeyRunning,
            format!("the request with the key `{key}` has not been answered yet; try again in a moment"),
        )),
        Once::OtherRequest => Err(Problem::new(
            ProblemKind::IdempotencyKeyReused,
            format!("the key `{key}` was used for another body; take a new key for a new request"),
        )),
        Once::Lost(error) => Err(internal(&error)),
    }
}

/// Leads to what was made by a request whose answer was lost.
fn led_to(papers: &[String]) -> HttpResponse {
    let paths: Vec<String> = papers.iter().map(|paper| format!("/v1/{paper}")).collect();
    let mut response = HttpResponse::SeeOther();
    if let Some(first) = paths.first() {
        response.insert_header((header::LOCATION, first.as_str()));
    }
    response.insert_header(("idempotency-replayed", "true"));
    response.json(MadeBefore { made: paths })
}

fn response(answer: KeptAnswer, replayed: bool) -> Result<HttpResponse, Problem> {
    let status = StatusCode::from_u16(answer.status).map_err(|error| internal(&error))?;
    let mut response = HttpResponse::build(status);
    for (name, value) in &answer.headers {
        response.insert_header((name.as_str(), value.as_str()));
    }
    if replayed {
        response.insert_header(("idempotency-replayed", "true"));
    }
    Ok(response.body(answer.body))
}

#[cfg(test)]
mod tests {
    use actix_web::test::TestRequest;

    use super::*;

    fn key_of(value: &str) -> Result<String, ProblemKind> {
        let request = TestRequest::default().insert_header((IDEMPOTENCY_KEY, value)).to_http_request();
        key(&request).map_err(|problem| problem.kind)
    }

    #[test]
    fn a_key_is_a_quoted_string() {
        assert_eq!(key_of("\"abc-1\""), Ok("abc-1".to_owned()));
        assert_eq!(key_of("abc-1"), Ok("abc-1".to_owned()));
        for wrong in ["", "\"\"", "\"abc", "a b", "a\"b", &"x".repeat(256)] {
            assert_eq!(key_of(wrong), Err(ProblemKind::InvalidHeader), "{wrong}");
        }
    }

    #[test]
    fn a_request_without_a_key_is_told_how_to_send_one() {
        let request = TestRequest::default().to_http_request();
        assert_eq!(key(&request).unwrap_err().kind, ProblemKind::IdempotencyKeyMissing);
    }
}
