//! The W3C trace context of a request: honoured when it comes, made when it does not, echoed in the answer.

use actix_web::http::header::HeaderMap;
use uuid::Uuid;

/// Name of the header field.
pub(crate) const TRACEPARENT: &str = "traceparent";

/// Under which a request stands in the log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct TraceContext {
    /// The whole journey of the request: 32 hexadecimal digits.
    pub(crate) trace_id: String,
    /// This service's part of it: 16 hexadecimal digits.
    pub(crate) span_id: String,
    /// Flags, as they came.
    flags: String,
}

impl TraceContext {
    /// The context of a request: its own where it came with a well-formed one, a new one otherwise.
    pub(crate) fn of(headers: &HeaderMap) -> Self {
        let sent = headers.get(TRACEPARENT).and_then(|value| value.to_str().ok());
        let (trace_id, flags) =
            sent.and_then(read).unwrap_or_else(|| (Uuid::now_v7().simple().to_string(), "00".to_owned()));
        let span_id = Uuid::now_v7().simple().to_string()[16..].to_owned();
        Self { trace_id, span_id, flags }
    }

    /// The context as a header value.
    pub(crate) fn header(&self) -> String {
        format!("00-{}-{}-{}", self.trace_id, self.span_id, self.flags)
    }
}

/// Trace id and flags of a `traceparent` (version 00, or a later version whose head looks the same).
fn read(text: &str) -> Option<(String, String)> {
    let mut pieces = text.trim().split('-');
    let (version, trace_id, parent, flags) = (pieces.next()?, pieces.next()?, pieces.next()?, pieces.next()?);
    let hex = |piece: &str, length: usize| {
        piece.len() == length && piece.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'))
    };
    let zero = |piece: &str| piece.bytes().all(|byte| byte == b'0');
    let well_formed = hex(version, 2)
        && version != "ff"
        && hex(trace_id, 32)
        && !zero(trace_id)
        && hex(parent, 16)
        && !zero(parent)
        && hex(flags, 2)
        && (version != "00" || pieces.next().is_none());
    well_formed.then(|| (trace_id.to_owned(), flags.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_well_formed_context_is_kept() {
        let sent = "00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01";
        let mut headers = HeaderMap::new();
        headers.insert(
            actix_web::http::header::HeaderName::from_static(TRACEPARENT),
            actix_web::http::header::HeaderValue::from_static(sent),
        );
        let context = TraceContext::of(&headers);
        assert_eq!(context.trace_id, "0af7651916cd43dd8448eb211c80319c");
        assert!(context.header().ends_with("-01"));
        assert_ne!(context.span_id, "b7ad6b7169203331");
    }

    #[test]
    fn a_malformed_one_is_replaced() {
        for wrong in [
            "",
            "00-00000000000000000000000000000000-b7ad6b7169203331-01",
            "00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331",
            "00-0AF7651916CD43DD8448EB211C80319C-b7ad6b7169203331-01",
            "ff-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01",
        ] {
            assert_eq!(read(wrong), None, "{wrong}");
        }
        let made = TraceContext::of(&HeaderMap::new());
        assert_eq!((made.trace_id.len(), made.span_id.len()), (32, 16));
    }
}
