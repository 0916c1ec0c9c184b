//! The key of a request, as RFC 6750 carries it.

use actix_web::http::header::{self, HeaderMap};

use crate::problem::Problem;
use crate::problem_kind::ProblemKind;

/// The challenge of RFC 6750, 3, without an error: no key was sent.
const CHALLENGE: &str = "Bearer realm=\"crownwheel\"";

/// The key that the header `Authorization: Bearer KEY` carries; `None` where there is no such header.
pub(crate) fn sent_key(headers: &HeaderMap) -> Result<Option<&str>, Problem> {
    let mut sent = headers.get_all(header::AUTHORIZATION);
    let Some(value) = sent.next() else { return Ok(None) };
    let malformed = |wrong: &str| {
        let detail = format!("the header Authorization {wrong}; write `Authorization: Bearer KEY` once");
        challenged(ProblemKind::InvalidHeader, detail, "invalid_request")
    };
    if sent.next().is_some() {
        return Err(malformed("is sent twice"));
    }
    let text = value.to_str().map_err(|_| malformed("holds other characters than a key has"))?;
    let (scheme, key) = text.trim().split_once(' ').unwrap_or((text.trim(), ""));
    if !scheme.eq_ignore_ascii_case("Bearer") {
        // The scheme's own failure is not malformed: whoever knows another one is told which is known here.
        return Err(key_missing(format!(
            "the scheme of Authorization is `{}`, and only Bearer is known here; write `Authorization: Bearer KEY`",
            scheme.escape_default()
        )));
    }
    let key = key.trim();
    let is_token = |byte: u8| byte.is_ascii_alphanumeric() || b"-._~+/=".contains(&byte);
    if key.is_empty() || !key.bytes().all(is_token) {
        return Err(malformed("has no key behind `Bearer`, or one with other characters than a key has"));
    }
    Ok(Some(key))
}

/// No key was sent where one is needed.
pub(crate) fn key_missing(detail: String) -> Problem {
    let mut problem = Problem::new(ProblemKind::KeyMissing, detail);
    problem.more_headers = vec![("www-authenticate", CHALLENGE.to_owned())];
    problem
}

/// A key was sent, and `error` of RFC 6750, 3.1 says what is wrong with it.
pub(crate) fn challenged(kind: ProblemKind, detail: impl Into<String>, error: &str) -> Problem {
    let mut problem = Problem::new(kind, detail);
    let title = kind.facts().title;
    let challenge = format!("{CHALLENGE}, error=\"{error}\", error_description=\"{title}\"");
    problem.more_headers = vec![("www-authenticate", challenge)];
    problem
}

#[cfg(test)]
mod tests {
    use actix_web::http::header::HeaderValue;

    use super::*;

    fn key_of(values: &[&'static str]) -> Result<Option<String>, ProblemKind> {
        let mut headers = HeaderMap::new();
        for value in values {
            headers.append(header::AUTHORIZATION, HeaderValue::from_static(value));
        }
        match sent_key(&headers) {
            Ok(key) => Ok(key.map(str::to_owned)),
            Err(problem) => {
                let (name, challenge) = &problem.more_headers[0];
                assert!(*name == "www-authenticate" && challenge.starts_with("Bearer realm="), "{challenge}");
                Err(problem.kind)
            }
        }
    }

    #[test]
    fn a_key_stands_behind_the_scheme_whatever_its_case() {
        assert_eq!(key_of(&[]), Ok(None));
        for sent in ["Bearer cw_1", "bearer cw_1", "BEARER  cw_1 "] {
            assert_eq!(key_of(&[sent]), Ok(Some("cw_1".to_owned())), "{sent}");
        }
    }

    #[test]
    fn what_is_no_key_is_refused_with_the_challenge() {
        for sent in ["Bearer", "Bearer ", "Bearer a b", "Bearer \"x\""] {
            assert_eq!(key_of(&[sent]), Err(ProblemKind::InvalidHeader), "{sent}");
        }
        assert_eq!(key_of(&["Bearer a", "Bearer b"]), Err(ProblemKind::InvalidHeader));
        assert_eq!(key_of(&["Basic dXNlcg=="]), Err(ProblemKind::KeyMissing));
    }
}
