//! What happens around every request: its span, its metrics, its deadline, and the last look at a failure.

use std::fmt;
use std::time::{Duration, Instant};

use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::StatusCode;
use actix_web::http::header::{self, HeaderMap, HeaderName, HeaderValue};
use actix_web::middleware::Next;
use actix_web::{HttpMessage, HttpResponse, ResponseError, web};
use operations::shop::Shop;
use tracing::Instrument;

use crate::etag;
use crate::metrics::Metrics;
use crate::problem::{PROBLEM_JSON, Problem};
use crate::problem_kind::ProblemKind;
use crate::trace_context::{TRACEPARENT, TraceContext};

/// How long a request may take before its client is told to come back.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Deadline(pub(crate) Duration);

/// How long a request may take where nothing else is set.
const DEADLINE_USUAL: Duration = Duration::from_secs(60);
/// How long the database may take to say that it is there.
const SIGN_OF_LIFE: Duration = Duration::from_secs(2);

/// What is known of a request once it has been handed on: nothing may hold on to the request itself until then.
struct Asked {
    context: TraceContext,
    method: String,
    route: String,
    path: String,
    metrics: Option<web::Data<Metrics>>,
    shop: Option<web::Data<Shop>>,
    limit: Duration,
    started: Instant,
}

/// A failure that is answered outside of all routes.
#[derive(Debug)]
struct Refusal {
    problem: Problem,
    path: String,
    context: TraceContext,
}

/// Watches one request from its arrival to its answer.
pub(crate) async fn watch<B: MessageBody + 'static>(
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, actix_web::Error> {
    let asked = Asked::of(&request);
    request.extensions_mut().insert(asked.context.clone());
    let span = tracing::info_span!(
        "http_request",
        method = asked.method,
        route = asked.route,
        path = asked.path,
        trace_id = asked.context.trace_id,
        span_id = asked.context.span_id,
        key = tracing::field::Empty,
    );
    asked.answer(request, next).instrument(span).await
}

impl Asked {
    fn of(request: &ServiceRequest) -> Self {
        Self {
            context: TraceContext::of(request.headers()),
            method: request.method().to_string(),
            route: request.match_pattern().unwrap_or_else(|| "unmatched".to_owned()),
            path: request.path().to_owned(),
            metrics: request.app_data::<web::Data<Metrics>>().cloned(),
            shop: request.app_data::<web::Data<Shop>>().cloned(),
            limit: request.app_data::<web::Data<Deadline>>().map_or(DEADLINE_USUAL, |deadline| deadline.0),
            started: Instant::now(),
        }
    }

    /// Answers within the deadline; whatever fails becomes a problem that names the request.
    async fn answer<B: MessageBody + 'static>(
        &self,
        request: ServiceRequest,
        next: Next<B>,
    ) -> Result<ServiceResponse<BoxBody>, actix_web::Error> {
        match tokio::time::timeout(self.limit, next.call(request)).await {
            Ok(Ok(response)) => {
                let mut response = self.finish(response.map_into_boxed_body()).await;
                echo(response.headers_mut(), &self.context);
                self.note(response.status());
                Ok(response)
            }
            Ok(Err(error)) => {
                let problem = match error.as_error::<Problem>() {
                    Some(problem) => self.looked_at(problem.clone()).await,
                    None => foreign(error.as_response_error().status_code(), Some(&error)),
                };
                Err(self.refusal(problem))
            }
            Err(_) => {
                let detail = format!("no answer was found within {} s", self.limit.as_secs());
                Err(self.refusal(Problem::new(ProblemKind::Busy, detail)))
            }
        }
    }

    async fn finish(&self, mut response: ServiceResponse<BoxBody>) -> ServiceResponse<BoxBody> {
        etag::mark_coding(response.headers_mut());
        let status = response.status();
        if !status.is_client_error() && !status.is_server_error() {
            return response;
        }
        let error = response.response().error();
        let problem = match error.and_then(|error| error.as_error::<Problem>()) {
            Some(problem) => self.looked_at(problem.clone()).await,
            None if is_problem(response.headers()) => return response,
            None => foreign(status, error),
        };
        let (request, _) = response.into_parts();
        let answer = problem.response(Some(self.path.clone()), Some(self.context.trace_id.clone()));
        ServiceResponse::new(request, answer)
    }

    /// A database that refused a query may be away altogether, which is another problem.
    async fn looked_at(&self, problem: Problem) -> Problem {
        if !problem.database_failed || self.database_answers().await {
            return problem;
        }
        let kind = ProblemKind::DatabaseUnavailable;
        Problem::new(kind, kind.facts().meaning)
    }

    async fn database_answers(&self) -> bool {
        let Some(shop) = &self.shop else { return false };
        matches!(tokio::time::timeout(SIGN_OF_LIFE, shop.is_ready()).await, Ok(Ok(())))
    }

    fn refusal(&self, problem: Problem) -> actix_web::Error {
        self.note(problem.kind.facts().status);
        Refusal { problem, path: self.path.clone(), context: self.context.clone() }.into()
    }

    /// Counts and logs the answer.
    fn note(&self, status: StatusCode) {
        let elapsed = self.started.elapsed();
        if let Some(metrics) = &self.metrics {
            metrics.answered(&self.method, &self.route, status.as_u16(), elapsed);
        }
        let elapsed_ms = u64::try_from(elapsed.as_millis()).unwrap_or(u64::MAX);
        if status.is_server_error() {
            tracing::error!(status = status.as_u16(), elapsed_ms, "answered {status}");
        } else {
            tracing::info!(status = status.as_u16(), elapsed_ms, "answered {status}");
        }
    }
}

fn echo(headers: &mut HeaderMap, context: &TraceContext) {
    if let Ok(value) = HeaderValue::from_str(&context.header()) {
        headers.insert(HeaderName::from_static(TRACEPARENT), value);
    }
}

fn is_problem(headers: &HeaderMap) -> bool {
    headers.get(header::CONTENT_TYPE).is_some_and(|value| value == PROBLEM_JSON)
}

/// A failure that a library below made: its status is kept, its words are not.
fn foreign(status: StatusCode, error: Option<&actix_web::Error>) -> Problem {
    let kind = ProblemKind::of_status(status);
    if let (ProblemKind::Internal, Some(error)) = (kind, error) {
        tracing::error!(%error, "a library failed");
    }
    Problem::new(kind, kind.facts().meaning)
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.problem.fmt(f)
    }
}

impl ResponseError for Refusal {
    fn status_code(&self) -> StatusCode {
        self.problem.kind.facts().status
    }

    fn error_response(&self) -> HttpResponse<BoxBody> {
        let mut response =
            self.problem.response(Some(self.path.clone()), Some(self.context.trace_id.clone()));
        echo(response.headers_mut(), &self.context);
        response
    }
}
