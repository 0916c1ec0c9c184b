//! Figures for a monitor, in the Prometheus text format.

use std::time::Duration;

use actix_web::http::header;
use actix_web::{HttpResponse, web};
use operations::shop::Shop;
use prometheus::{
    Encoder, HistogramOpts, HistogramVec, IntCounter, IntCounterVec, IntGauge, Opts, Registry, TextEncoder,
};

use crate::problem::Problem;
use crate::problem_kind::ProblemKind;

/// Upper ends of the classes of answer time, in seconds.
const TIME_CLASSES_S: &[f64] =
    &[0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 10.0, 60.0];

/// The figures of this process.
pub(crate) struct Metrics {
    registry: Registry,
    requests: IntCounterVec,
    seconds: HistogramVec,
    cached_snapshots: IntGauge,
    cache_hits: IntCounter,
    cache_misses: IntCounter,
    webhooks_delivered: IntCounter,
    webhooks_failed: IntCounter,
    webhooks_paused: IntCounter,
    webhooks_under_way: IntGauge,
}

impl Metrics {
    /// Figures that start at zero.
    pub(crate) fn new() -> Result<Self, prometheus::Error> {
        let registry = Registry::new();
        let requests = IntCounterVec::new(
            Opts::new("http_requests_total", "Requests answered, by method, route and status."),
            &["method", "route", "status"],
        )?;
        let seconds = HistogramVec::new(
            HistogramOpts::new("http_request_duration_seconds", "Time to answer, by method and route.")
                .buckets(TIME_CLASSES_S.to_vec()),
            &["method", "route"],
        )?;
        let cached_snapshots =
            IntGauge::new("snapshot_cache_entries", "Structures of units kept in memory.")?;
        let cache_hits = IntCounter::new("snapshot_cache_hits_total", "Structures found in memory.")?;
        let cache_misses =
            IntCounter::new("snapshot_cache_misses_total", "Structures read from the database.")?;
        let webhooks_delivered = IntCounter::new("webhook_deliveries_total", "Events that targets took.")?;
        let webhooks_failed =
            IntCounter::new("webhook_failures_total", "Attempts to deliver an event that failed.")?;
        let webhooks_paused = IntCounter::new(
            "webhook_pauses_total",
            "Targets that were paused because they failed or are gone.",
        )?;
        let webhooks_under_way =
            IntGauge::new("webhook_attempts_under_way", "Attempts to deliver that are under way.")?;
        for counter in [&webhooks_delivered, &webhooks_failed, &webhooks_paused] {
            registry.register(Box::new(counter.clone()))?;
        }
        registry.register(Box::new(webhooks_under_way.clone()))?;
        registry.register(Box::new(requests.clone()))?;
        registry.register(Box::new(seconds.clone()))?;
        registry.register(Box::new(cached_snapshots.clone()))?;
        registry.register(Box::new(cache_hits.clone()))?;
        registry.register(Box::new(cache_misses.clone()))?;
        Ok(Self {
            registry,
            requests,
            seconds,
            cached_snapshots,
            cache_hits,
            cache_misses,
            webhooks_delivered,
            webhooks_failed,
            webhooks_paused,
            webhooks_under_way,
        })
    }

    /// Counts an answer.
    pub(crate) fn answered(&self, method: &str, route: &str, status: u16, elapsed: Duration) {
        let status = status.to_string();
        self.requests.with_label_values(&[method, route, status.as_str()]).inc();
        self.seconds.with_label_values(&[method, route]).observe(elapsed.as_secs_f64());
    }

    fn text(&self, shop: &Shop) -> Result<Vec<u8>, prometheus::Error> {
        let cache = shop.snapshot_cache_figures();
        self.cached_snapshots.set(i64::try_from(cache.entries).unwrap_or(i64::MAX));
        self.cache_hits.inc_by(cache.hits.saturating_sub(self.cache_hits.get()));
        self.cache_misses.inc_by(cache.misses.saturating_sub(self.cache_misses.get()));
        let deliveries = shop.delivery_figures();
        for (counter, figure) in [
            (&self.webhooks_delivered, deliveries.delivered),
            (&self.webhooks_failed, deliveries.failed),
            (&self.webhooks_paused, deliveries.paused),
        ] {
            counter.inc_by(figure.saturating_sub(counter.get()));
        }
        self.webhooks_under_way.set(i64::try_from(deliveries.under_way).unwrap_or(i64::MAX));
        let mut text = Vec::new();
        TextEncoder::new().encode(&self.registry.gather(), &mut text)?;
        Ok(text)
    }
}

/// Figures of this process for a monitor.
#[utoipa::path(
    get, path = "/metrics", operation_id = "get_metrics", tag = "service",
    responses((status = 200, description = "The figures.", body = String, content_type = "text/plain")),
)]
pub(crate) async fn get_metrics(
    metrics: web::Data<Metrics>,
    shop: web::Data<Shop>,
) -> Result<HttpResponse, Problem> {
    let text = metrics.text(&shop).map_err(|error| {
        tracing::error!(%error, "the figures cannot be written");
        Problem::new(ProblemKind::Internal, ProblemKind::Internal.facts().meaning)
    })?;
    Ok(HttpResponse::Ok()
        .insert_header((header::CONTENT_TYPE, "text/plain; version=0.0.4; charset=utf-8"))
        .body(text))
}
