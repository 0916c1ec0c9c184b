//! What happens around every request: its span, its metrics, its deadline, and the last look at a failure.

use std::time::{Duration, Instant};

use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::StatusCode;
use actix_web::http::header::{self, HeaderName, HeaderValue};
use actix_web::middleware::Next;
use actix_web::{HttpMessage, web};
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

/// Watches one request from its arrival to its answer.
pub(crate) async fn watch<B: MessageBody + 'static>(
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, actix_web::Error> {
    let started = Instant::now();
    let context = TraceContext::of(request.headers());
    request.extensions_mut().insert(context.clone());
    let route = request.match_pattern().unwrap_or_else(|| "unmatched".to_owned());
    let method = request.method().clone();
    let span = tracing::info_span!(
        "http_request",
        method = %method,
        route,
        path = request.path(),
        trace_id = context.trace_id,
        span_id = context.span_id,
    );
    let answered = answer(request, next).instrument(span.clone()).await;
    let mut response = answered;
    if let Ok(value) = HeaderValue::from_str(&context.header()) {
        response.headers_mut().insert(HeaderName::from_static(TRACEPARENT), value);
    }
    let elapsed = started.elapsed();
    let status = response.status();
    if let Some(metrics) = response.request().app_data::<web::Data<Metrics>>() {
        metrics.answered(method.as_str(), &route, status.as_u16(), elapsed);
    }
    let _entered = span.enter();
    let elapsed_ms = u64::try_from(elapsed.as_millis()).unwrap_or(u64::MAX);
    if status.is_server_error() {
        tracing::error!(status = status.as_u16(), elapsed_ms, "answered {status}");
    } else {
        tracing::info!(status = status.as_u16(), elapsed_ms, "answered {status}");
    }
    Ok(response)
}

/// Answers within the deadline; whatever fails becomes a problem that names the request.
async fn answer<B: MessageBody + 'static>(
    request: ServiceRequest,
    next: Next<B>,
) -> ServiceResponse<BoxBody> {
    let limit =
        request.app_data::<web::Data<Deadline>>().map_or(Duration::from_secs(60), |deadline| deadline.0);
    let kept = request.request().clone();
    let outcome = tokio::time::timeout(limit, next.call(request)).await;
    let response = match outcome {
        Ok(Ok(response)) => response.map_into_boxed_body(),
        Ok(Err(error)) => ServiceResponse::from_err(error, kept),
        Err(_) => {
            let detail = format!("no answer was found within {} s", limit.as_secs());
            ServiceResponse::from_err(Problem::new(ProblemKind::Busy, detail), kept)
        }
    };
    finish(response).await
}

async fn finish(mut response: ServiceResponse<BoxBody>) -> ServiceResponse<BoxBody> {
    etag::mark_coding(response.headers_mut());
    let status = response.status();
    if !status.is_client_error() && !status.is_server_error() {
        return response;
    }
    let found = response.response().error().and_then(|error| error.as_error::<Problem>()).cloned();
    let problem = match found {
        Some(problem) if problem.database_failed && !database_answers(&response).await => {
            Problem::new(ProblemKind::DatabaseUnavailable, ProblemKind::DatabaseUnavailable.facts().meaning)
        }
        Some(problem) => problem,
        None if is_problem(&response) => return response,
        None => foreign(&response, status),
    };
    let (request, _) = response.into_parts();
    let trace = crate::trace_context::trace_id(&request);
    let answer = problem.response(Some(request.path().to_owned()), trace);
    ServiceResponse::new(request, answer)
}

/// How long the database may take to say that it is there.
const SIGN_OF_LIFE: Duration = Duration::from_secs(2);

async fn database_answers(response: &ServiceResponse<BoxBody>) -> bool {
    let Some(shop) = response.request().app_data::<web::Data<Shop>>() else { return false };
    matches!(tokio::time::timeout(SIGN_OF_LIFE, shop.is_ready()).await, Ok(Ok(())))
}

fn is_problem(response: &ServiceResponse<BoxBody>) -> bool {
    response.headers().get(header::CONTENT_TYPE).is_some_and(|value| value == PROBLEM_JSON)
}

/// A failure that a library below made: its status is kept, its words are not.
fn foreign(response: &ServiceResponse<BoxBody>, status: StatusCode) -> Problem {
    let kind = ProblemKind::of_status(status);
    if kind == ProblemKind::Internal {
        if let Some(error) = response.response().error() {
            tracing::error!(%error, "a library failed");
        }
    }
    Problem::new(kind, kind.facts().meaning)
}
