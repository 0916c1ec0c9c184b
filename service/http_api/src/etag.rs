//! Entity tags: strong, one for each content coding.
//!
//! A gzip body is another representation than the plain one, so its strong tag must be another (RFC 9110, 8.8.3.3). The
//! tag of the coded body is the plain tag with [`GZIP_SUFFIX`]; [`EntityTag::is_in`] takes either for the same state.

use actix_web::HttpRequest;
use actix_web::http::header::{self, HeaderMap, HeaderName, HeaderValue};
use sha2::{Digest, Sha256};

use crate::problem::Problem;
use crate::problem_kind::ProblemKind;

/// What the tag of a gzip body has behind the plain tag.
const GZIP_SUFFIX: &str = ".gzip";

/// A strong entity tag.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct EntityTag(String);

impl EntityTag {
    /// The tag of these bytes.
    pub(crate) fn of(bytes: &[u8]) -> Self {
        let digest = Sha256::digest(bytes);
        Self(digest.iter().take(16).map(|byte| format!("{byte:02x}")).collect())
    }

    /// The tag as a header value.
    pub(crate) fn header(&self) -> String {
        format!("\"{}\"", self.0)
    }

    /// Whether one of the tags of a header names this state; `weakly` also takes weak tags.
    fn is_in(&self, list: &str, weakly: bool) -> bool {
        list.split(',').map(str::trim).any(|tag| {
            if tag == "*" {
                return true;
            }
            let strong = match tag.strip_prefix("W/") {
                Some(rest) if weakly => rest,
                Some(_) => return false,
                None => tag,
            };
            let opaque = strong.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')).unwrap_or("");
            opaque.strip_suffix(GZIP_SUFFIX).unwrap_or(opaque) == self.0
        })
    }
}

fn listed(request: &HttpRequest, name: HeaderName) -> Option<String> {
    let texts: Vec<&str> =
        request.headers().get_all(name).map(|value| value.to_str().unwrap_or("")).collect();
    (!texts.is_empty()).then(|| texts.join(","))
}

/// Whether the client has this state already, so that a 304 is enough.
pub(crate) fn is_known(request: &HttpRequest, tag: &EntityTag) -> bool {
    listed(request, header::IF_NONE_MATCH).is_some_and(|list| tag.is_in(&list, true))
}

/// The states that a change was decided on, as the header `If-Match` names them.
#[derive(Debug, Clone)]
pub(crate) struct IfMatch(Option<String>);

impl IfMatch {
    /// What a request says.
    pub(crate) fn of(request: &HttpRequest) -> Self {
        Self(listed(request, header::IF_MATCH))
    }

    /// Refuses a change that names no state, before anything is looked at: also a repeated one.
    pub(crate) fn require_any(&self) -> Result<&str, Problem> {
        self.0.as_deref().ok_or_else(|| {
            Problem::new(
                ProblemKind::PreconditionRequired,
                "read the resource, and send the change again with the header If-Match and the ETag you got",
            )
        })
    }

    /// Lets a change pass only if the client decided on the current state.
    pub(crate) fn require(&self, current: &EntityTag) -> Result<(), Problem> {
        if current.is_in(self.require_any()?, false) {
            return Ok(());
        }
        let detail = format!("the current state has the ETag {}", current.header());
        Err(Problem::new(ProblemKind::PreconditionFailed, detail))
    }
}

/// Lets a change pass only if the client decided on the current state.
pub(crate) fn require_match(request: &HttpRequest, current: &EntityTag) -> Result<(), Problem> {
    IfMatch::of(request).require(current)
}

/// Gives the tag of a coded body its own name.
pub(crate) fn mark_coding(headers: &mut HeaderMap) {
    let coded = headers.get(header::CONTENT_ENCODING).is_some_and(|coding| coding == "gzip");
    let tag = headers.get(header::ETAG).and_then(|tag| tag.to_str().ok());
    let Some(opaque) = tag.and_then(|tag| tag.strip_prefix('"')).and_then(|rest| rest.strip_suffix('"'))
    else {
        return;
    };
    if coded && !opaque.ends_with(GZIP_SUFFIX) {
        let marked = HeaderValue::from_str(&format!("\"{opaque}{GZIP_SUFFIX}\""));
        if let Ok(marked) = marked {
            headers.insert(header::ETAG, marked);
        }
    }
}

#[cfg(test)]
mod tests {
    use actix_web::test::TestRequest;

    use super::*;

    fn request(name: HeaderName, value: &str) -> HttpRequest {
        TestRequest::default().insert_header((name, value)).to_http_request()
    }

    #[test]
    fn a_change_needs_the_current_tag_compared_strongly() {
        let tag = EntityTag::of(b"state");
        let kind = |request: &HttpRequest| require_match(request, &tag).map_err(|problem| problem.kind);
        let ok = format!("\"old\", {}", tag.header());
        assert_eq!(kind(&request(header::IF_MATCH, &ok)), Ok(()));
        assert_eq!(kind(&request(header::IF_MATCH, "*")), Ok(()));
        let weak = format!("W/{}", tag.header());
        assert_eq!(kind(&request(header::IF_MATCH, &weak)), Err(ProblemKind::PreconditionFailed));
        let none = TestRequest::default().to_http_request();
        assert_eq!(kind(&none), Err(ProblemKind::PreconditionRequired));
    }

    #[test]
    fn a_known_state_is_recognised_weakly_and_in_either_coding() {
        let tag = EntityTag::of(b"state");
        let gzip = format!("\"{}.gzip\"", tag.0);
        for list in [tag.header(), format!("W/{}", tag.header()), gzip] {
            assert!(is_known(&request(header::IF_NONE_MATCH, &list), &tag), "{list}");
        }
        assert!(!is_known(&request(header::IF_NONE_MATCH, "\"other\""), &tag));
    }

    #[test]
    fn a_gzip_body_has_its_own_strong_tag() {
        let mut headers = HeaderMap::new();
        headers.insert(header::ETAG, HeaderValue::from_static("\"abc\""));
        mark_coding(&mut headers);
        assert_eq!(headers.get(header::ETAG).unwrap(), "\"abc\"");
        headers.insert(header::CONTENT_ENCODING, HeaderValue::from_static("gzip"));
        mark_coding(&mut headers);
        assert_eq!(headers.get(header::ETAG).unwrap(), "\"abc.gzip\"");
    }
}
