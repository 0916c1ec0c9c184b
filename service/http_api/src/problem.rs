//! Problems as RFC 9457 writes them.

use std::fmt;

use actix_web::body::BoxBody;
use actix_web::http::{StatusCode, header};
use actix_web::{HttpResponse, ResponseError};
use serde::Serialize;
use utoipa::ToSchema;

use crate::problem_kind::ProblemKind;

/// The media type of problems.
pub(crate) const PROBLEM_JSON: &str = "application/problem+json";

/// Why a request was not answered as asked.
#[derive(Debug, Clone)]
pub(crate) struct Problem {
    /// What kind of problem it is.
    pub(crate) kind: ProblemKind,
    /// What is wrong here, and what would be right.
    pub(crate) detail: String,
    /// The places in the body that are wrong.
    pub(crate) errors: Vec<FieldError>,
    /// What may have been meant.
    pub(crate) suggestions: Vec<String>,
    /// Seconds for the header `Retry-After`.
    pub(crate) retry_after_s: Option<u32>,
    /// Further header fields of the answer.
    pub(crate) more_headers: Vec<(&'static str, String)>,
    /// Whether the database refused a query: whether it is there at all is asked before the problem is sent.
    pub(crate) database_failed: bool,
    /// What of a part is there, where more was wanted.
    pub(crate) shortage: Option<Box<StockShortage>>,
}

/// More of a part was wanted than is free.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub(crate) struct StockShortage {
    /// The part.
    #[schema(example = "VESSICK/VK64021")]
    pub(crate) part: String,
    /// The bin; left out: all bins together.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub(crate) bin: Option<String>,
    /// The mark etched on a matched set; left out: none, or any.
    #[serde(skip_serializing_if = "String::is_empty")]
    #[schema(required = false)]
    pub(crate) mark: String,
    /// How many were wanted.
    pub(crate) wanted: String,
    /// How many lie there.
    pub(crate) balance: String,
    /// How many of them are reserved for other jobs.
    pub(crate) reserved: String,
    /// How many could be had.
    pub(crate) available: String,
}

/// One place in the body that is wrong.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub(crate) struct FieldError {
    /// What is wrong there, and what would be right.
    pub(crate) detail: String,
    /// The place, as a JSON pointer (RFC 6901); in a paper the path of the element, or row and column.
    #[schema(example = "/units/0/operation")]
    pub(crate) pointer: String,
    /// What may have been meant there, nearest first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub(crate) suggestions: Vec<String>,
}

/// A problem as it is sent (RFC 9457).
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Problem)]
pub(crate) struct ProblemBody {
    /// The kind of problem: a path that stays the same, with a page behind it.
    #[serde(rename = "type")]
    #[schema(example = "/problems/unit-not-found", format = "uri-reference")]
    type_path: String,
    /// What the kind is called.
    title: &'static str,
    /// The status of the answer.
    status: u16,
    /// What is wrong here, and what would be right.
    detail: String,
    /// Path of the request.
    #[serde(skip_serializing_if = "Option::is_none")]
    instance: Option<String>,
    /// Under which the request stands in the log (W3C trace context).
    #[serde(skip_serializing_if = "Option::is_none")]
    trace_id: Option<String>,
    /// What may have been meant, nearest first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    suggestions: Vec<String>,
    /// The places in the body that are wrong.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    errors: Vec<FieldError>,
    /// What of a part is there, where more was wanted.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    shortage: Option<Box<StockShortage>>,
}

impl Problem {
    /// A problem of a kind.
    pub(crate) fn new(kind: ProblemKind, detail: impl Into<String>) -> Self {
        let retry_after_s = matches!(
            kind,
            ProblemKind::Busy | ProblemKind::DatabaseUnavailable | ProblemKind::IdempotencyKeyRunning
        )
        .then_some(RETRY_AFTER_S);
        Self {
            kind,
            detail: detail.into(),
            errors: vec![],
            suggestions: vec![],
            more_headers: vec![],
            retry_after_s,
            database_failed: false,
            shortage: None,
        }
    }

    /// The problem of one place in the body.
    pub(crate) fn at(
        kind: ProblemKind,
        pointer: impl Into<String>,
        detail: impl Into<String>,
        suggestions: Vec<String>,
    ) -> Self {
        let detail = detail.into();
        let error = FieldError { detail: detail.clone(), pointer: pointer.into(), suggestions };
        Self { errors: vec![error], ..Self::new(kind, detail) }
    }

    /// The same problem with what may have been meant.
    pub(crate) fn suggesting(self, suggestions: Vec<String>) -> Self {
        Self { suggestions, ..self }
    }

    /// The answer, with the path of the request and its trace id where they are known.
    pub(crate) fn response(&self, instance: Option<String>, trace_id: Option<String>) -> HttpResponse {
        let facts = self.kind.facts();
        let mut response = HttpResponse::build(facts.status);
        response.insert_header((header::CONTENT_TYPE, PROBLEM_JSON));
        response.insert_header((header::CACHE_CONTROL, "no-store"));
        if let Some(seconds) = self.retry_after_s {
            response.insert_header((header::RETRY_AFTER, seconds));
        }
        for (name, value) in &self.more_headers {
            response.insert_header((*name, value.as_str()));
        }
        let body = ProblemBody {
            type_path: self.kind.type_path(),
            title: facts.title,
            status: facts.status.as_u16(),
            detail: self.detail.clone(),
            instance,
            trace_id,
            suggestions: self.suggestions.clone(),
            errors: self.errors.clone(),
            shortage: self.shortage.clone(),
        };
        // A struct of texts and numbers always becomes JSON.
        response.body(serde_json::to_vec(&body).unwrap_or_default())
    }
}

/// How long a client should wait before it asks a busy service again, in seconds.
const RETRY_AFTER_S: u32 = 2;

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.kind.facts().code, self.detail)
    }
}

impl ResponseError for Problem {
    fn status_code(&self) -> StatusCode {
        self.kind.facts().status
    }

    fn error_response(&self) -> HttpResponse<BoxBody> {
        self.response(None, None)
    }
}
