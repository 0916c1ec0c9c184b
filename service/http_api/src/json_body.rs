//! Reads a JSON body, and says exactly where it is wrong.

use std::future::Future;
use std::pin::Pin;
use std::time::Duration;

use actix_web::dev::Payload;
use actix_web::http::header;
use actix_web::{FromRequest, HttpRequest};
use futures::StreamExt;
use serde::de::DeserializeOwned;

use crate::problem::Problem;
use crate::problem_kind::ProblemKind;

/// Most bytes of an ordinary body.
pub(crate) const BODY_BYTES_MAX: usize = 1 << 20;
/// Most bytes of a bundle of CSV files: a catalogue of a hundred thousand parts has about twenty million.
pub(crate) const BUNDLE_BYTES_MAX: usize = 128 << 20;
/// How long a body may take to arrive.
const ARRIVAL: Duration = Duration::from_secs(60);

/// A body of JSON with at most so many bytes.
pub(crate) struct JsonBody<T, const BYTES_MAX: usize = BODY_BYTES_MAX>(pub(crate) T);

impl<T: DeserializeOwned + 'static, const BYTES_MAX: usize> FromRequest for JsonBody<T, BYTES_MAX> {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let checked = check_media_type(request).and_then(|()| check_length(request, BYTES_MAX));
        let payload = payload.take();
        Box::pin(async move {
            checked?;
            parse(&arrived(payload, BYTES_MAX).await?).map(Self)
        })
    }
}

fn check_media_type(request: &HttpRequest) -> Result<(), Problem> {
    let sent = request.headers().get(header::CONTENT_TYPE).map(|value| value.to_str().unwrap_or(""));
    let essence = sent.unwrap_or("").split(';').next().unwrap_or("").trim();
    if essence.eq_ignore_ascii_case("application/json") {
        return Ok(());
    }
    let found = match sent {
        None => "there is no header Content-Type".to_owned(),
        Some(_) => format!("the body is sent as `{essence}`"),
    };
    Err(Problem::new(
        ProblemKind::UnsupportedMediaType,
        format!("{found}; this resource reads `application/json`"),
    ))
}

fn too_large(bytes_max: usize) -> Problem {
    Problem::new(
        ProblemKind::BodyTooLarge,
        format!("the body has more than {bytes_max} bytes, the most that this resource takes"),
    )
}

pub(crate) fn check_length(request: &HttpRequest, bytes_max: usize) -> Result<(), Problem> {
    let length = request.headers().get(header::CONTENT_LENGTH).and_then(|value| value.to_str().ok());
    match length.and_then(|text| text.parse::<u64>().ok()) {
        Some(length) if length > u64::try_from(bytes_max).unwrap_or(u64::MAX) => Err(too_large(bytes_max)),
        _ => Ok(()),
    }
}

/// The bytes of a body, when all of them are here.
pub(crate) async fn arrived(payload: Payload, bytes_max: usize) -> Result<Vec<u8>, Problem> {
    tokio::time::timeout(ARRIVAL, collect(payload, bytes_max)).await.map_err(|_| {
        let limit = ARRIVAL.as_secs();
        Problem::new(ProblemKind::RequestTimeout, format!("the body did not arrive within {limit} s"))
    })?
}

async fn collect(mut payload: Payload, bytes_max: usize) -> Result<Vec<u8>, Problem> {
    let mut bytes = Vec::new();
    while let Some(chunk) = payload.next().await {
        let chunk = chunk.map_err(|_| {
            Problem::new(
                ProblemKind::MalformedJson,
                "the body broke off before its end or is encoded wrongly",
            )
        })?;
        if bytes.len() + chunk.len() > bytes_max {
            return Err(too_large(bytes_max));
        }
        bytes.extend_from_slice(&chunk);
    }
    Ok(bytes)
}

/// Reads a body; a fault names line and column (no JSON) or the place as a JSON pointer (other JSON than asked for).
pub(crate) fn parse<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, Problem> {
    let mut reader = serde_json::Deserializer::from_slice(bytes);
    let value = serde_path_to_error::deserialize(&mut reader).map_err(|error| {
        let pointer = pointer(error.path());
        fault(error.inner(), pointer)
    })?;
    reader.end().map_err(|error| fault(&error, String::new()))?;
    Ok(value)
}

fn fault(error: &serde_json::Error, pointer: String) -> Problem {
    let place = format!("at line {}, column {}", error.line(), error.column());
    let text = error.to_string();
    let words = text.split(" at line ").next().unwrap_or("").to_owned();
    if !error.is_data() {
        return Problem::new(ProblemKind::MalformedJson, format!("{words} {place}"));
    }
    // serde names a missing field only in its words; the pointer then leads to the field that should be there.
    let pointer = match words.strip_prefix("missing field `").and_then(|rest| rest.strip_suffix('`')) {
        Some(field) => format!("{pointer}/{field}"),
        None => pointer,
    };
    Problem::at(ProblemKind::InvalidBody, pointer, format!("{words} ({place})"), vec![])
}

fn pointer(path: &serde_path_to_error::Path) -> String {
    use serde_path_to_error::Segment;
    let mut pointer = String::new();
    for segment in path.iter() {
        let text = match segment {
            Segment::Seq { index } => index.to_string(),
            Segment::Map { key } => key.replace('~', "~0").replace('/', "~1"),
            Segment::Enum { variant } => variant.clone(),
            Segment::Unknown => continue,
        };
        pointer.push('/');
        pointer.push_str(&text);
    }
    pointer
}

#[cfg(test)]
mod tests {
    use serde::Deserialize;

    use super::*;

    #[derive(Debug, Deserialize)]
    #[serde(deny_unknown_fields)]
    #[expect(dead_code, reason = "only read from JSON")]
    struct Order {
        lines: Vec<Line>,
    }

    #[derive(Debug, Deserialize)]
    #[serde(deny_unknown_fields)]
    #[expect(dead_code, reason = "only read from JSON")]
    struct Line {
        part: String,
    }

    fn fault_of(body: &str) -> (ProblemKind, String, String) {
        let problem = parse::<Order>(body.as_bytes()).unwrap_err();
        let pointer = problem.errors.first().map_or(String::new(), |error| error.pointer.clone());
        (problem.kind, pointer, problem.detail)
    }

    #[test]
    fn malformed_json_is_named_by_line_and_column() {
        let (kind, _, detail) = fault_of("{\"lines\": [\n  {\"part\": }]}");
        assert_eq!(
            (kind, detail.as_str()),
            (ProblemKind::MalformedJson, "expected value at line 2, column 12")
        );
        let (kind, _, detail) = fault_of("");
        assert_eq!(kind, ProblemKind::MalformedJson);
        assert!(detail.starts_with("EOF while parsing"), "{detail}");
        assert_eq!(fault_of("{\"lines\": []} x").0, ProblemKind::MalformedJson);
    }

    #[test]
    fn other_json_is_named_by_its_pointer() {
        let cases = [
            (r#"{"lines": [{"part": "A"}, {"part": 7}]}"#, "/lines/1/part"),
            (r#"{"lines": [{"part": "A", "colour": "red"}]}"#, "/lines/0/colour"),
            (r#"{"lines": [{}]}"#, "/lines/0/part"),
            (r#"{}"#, "/lines"),
            (r#"{"lines": [], "li/nes": 1}"#, "/li~1nes"),
            // A list where an object is wanted is wrong as a whole.
            (r#"[]"#, ""),
        ];
        for (body, pointer) in cases {
            let (kind, found, detail) = fault_of(body);
            assert_eq!((kind, found.as_str()), (ProblemKind::InvalidBody, pointer), "{body}: {detail}");
        }
    }
}
