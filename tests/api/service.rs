//! The service itself: health, metrics, trace context, deadline, reference, the end.

use std::sync::Arc;
use std::time::Duration;

use http_api::ServerOptions;
use serde_json::json;

use crate::harness::{Reply, Service};

tests![
    it_lives_and_is_ready,
    metrics_count_requests_and_the_cache,
    a_trace_context_is_echoed,
    a_late_answer_is_given_up,
    the_reference_needs_no_internet,
    the_openapi_document_is_served,
    open_requests_are_finished_at_the_end,
];

async fn it_lives_and_is_ready(service: Arc<Service>) {
    assert_eq!(service.get("/healthz").await.expect(200).text(), "alive\n");
    assert_eq!(service.get("/readyz").await.expect(200).text(), "ready\n");
}

async fn metrics_count_requests_and_the_cache(service: Arc<Service>) {
    service.get("/v1/units/T-100").await.expect(200);
    service.get("/v1/units/T-100").await.expect(200);
    service.get("/v1/units/T-101").await.problem(404, "unit-not-found");
    let metrics = service.get("/metrics").await.expect(200);
    assert!(metrics.header("content-type").starts_with("text/plain; version=0.0.4"));
    let text = metrics.text();
    for line in [
        "http_requests_total{method=\"GET\",route=\"/v1/units/{code}\",status=\"200\"} 2",
        "http_requests_total{method=\"GET\",route=\"/v1/units/{code}\",status=\"404\"} 1",
        "snapshot_cache_entries 1",
        "snapshot_cache_hits_total 1",
        "snapshot_cache_misses_total 1",
    ] {
        assert!(text.lines().any(|found| found == line), "{line}\n{text}");
    }
}

async fn a_trace_context_is_echoed(service: Arc<Service>) {
    let made = service.get("/healthz").await.header("traceparent").to_owned();
    let pieces: Vec<usize> = made.split('-').map(str::len).collect();
    assert_eq!(pieces, [2, 32, 16, 2], "{made}");
    let sent = "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01";
    let echoed = Reply::of(service.request("GET", "/healthz").header("traceparent", sent)).await;
    let echoed = echoed.header("traceparent");
    assert!(
        echoed.starts_with("00-4bf92f3577b34da6a3ce929d0e0e4736-") && echoed.ends_with("-01"),
        "{echoed}"
    );
    assert!(!echoed.contains("00f067aa0ba902b7"), "this service is a span of its own");
}

async fn a_late_answer_is_given_up(service: Arc<Service>) {
    let options = ServerOptions { deadline: Duration::ZERO, ..ServerOptions::default() };
    let hurried = Service::start_with(service.kind, options).await;
    let reply = hurried.post("/v1/requirements", &json!({ "units": [{ "unit": "T-100" }] })).await;
    assert_eq!(reply.header("retry-after"), "2");
    reply.problem(503, "busy");
    hurried.stop().await;
}

async fn the_reference_needs_no_internet(service: Arc<Service>) {
    let moved = service.get("/reference").await.expect(308);
    assert_eq!(moved.header("location"), "/reference/");
    let page = service.get("/reference/").await.expect(200).text();
    let files: Vec<String> = ["src=\"", "href=\""]
        .iter()
        .flat_map(|sign| {
            page.split(sign).skip(1).filter_map(|rest| rest.split('"').next().map(str::to_owned))
        })
        .collect();
    assert!(files.len() >= 4, "{files:?}");
    for file in &files {
        let elsewhere = file.contains(':') || file.starts_with('/');
        assert!(!elsewhere, "{file} does not lie in the binary");
        let found = service.get(&format!("/reference/{}", file.trim_start_matches("./"))).await;
        assert_eq!(found.status, 200, "{file}");
    }
    let start = service.get("/reference/swagger-initializer.js").await.expect(200).text();
    assert!(start.contains("/v1/openapi.json"), "{start}");
    assert!(!start.contains("https://"), "{start}");
    service.get("/reference/nothing.js").await.problem(404, "not-found");
}

async fn the_openapi_document_is_served(service: Arc<Service>) {
    let served = service.get("/v1/openapi.json").await.expect(200).json();
    let kept: serde_json::Value = serde_json::from_str(&http_api::openapi_json().unwrap()).unwrap();
    assert_eq!(served, kept);
}

async fn open_requests_are_finished_at_the_end(service: Arc<Service>) {
    let other = Arc::new(Service::start(service.kind).await);
    let asked = json!({ "units": [{ "unit": "T-100" }] });
    // A first request opens the connection, so that the second is under way when the service stops.
    other.get("/healthz").await.expect(200);
    let open = tokio::spawn({
        let other = other.clone();
        async move { other.post("/v1/requirements", &asked).await }
    });
    tokio::time::sleep(Duration::from_millis(20)).await;
    other.stop().await;
    open.await.unwrap().expect(200);
}
