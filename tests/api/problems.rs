//! Problems: their pages, and that nothing of the inside leaks.

use std::sync::Arc;

use serde_json::json;

use crate::harness::{Reply, Service};

tests![
    every_kind_has_a_page,
    an_unknown_path_is_a_problem,
    a_closed_database_is_told_without_its_words,
    a_problem_names_the_request,
];

async fn every_kind_has_a_page(service: Arc<Service>) {
    let index = service.get("/problems/").await.expect(200);
    assert_eq!(index.header("content-type"), "text/html; charset=utf-8");
    let text = index.text();
    let kinds: Vec<&str> = text.split("href=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    assert!(kinds.len() > 30, "{kinds:?}");
    for kind in kinds {
        let page = service.get(&format!("/problems/{kind}")).await.expect(200).text();
        assert!(page.contains("<h1>") && page.contains("Status "), "{kind}");
    }
    service.get("/problems/no-such-kind").await.problem(404, "problem-not-found");
}

async fn an_unknown_path_is_a_problem(service: Arc<Service>) {
    for path in
        ["/", "/v1", "/v1/", "/v2/units", "/v1/units/", "/v1/units/T-100/", "/v1/quotes/Q-1/x", "/%00"]
    {
        let reply = service.get(path).await;
        assert_eq!(reply.status, 404, "{path}: {}", reply.text());
        assert_eq!(reply.header("content-type"), "application/problem+json", "{path}");
    }
    Reply::of(service.request("POST", "/nowhere").json(&json!({}))).await.problem(404, "not-found");
}

async fn a_closed_database_is_told_without_its_words(service: Arc<Service>) {
    service.shop.close().await.unwrap();
    for path in ["/v1/units", "/v1/units/T-100", "/v1/parts/B-1", "/v1/quotes", "/v1/settings", "/readyz"] {
        let reply = service.get(path).await;
        assert_eq!(reply.header("retry-after"), "2", "{path}");
        let problem = reply.problem(503, "database-unavailable");
        let text = problem.to_string().to_lowercase();
        for word in ["sqlx", "sqlite", "postgres", "pool", "sea_orm", "select "] {
            assert!(!text.contains(word), "{path}: {problem}");
        }
    }
    let asked = json!({ "units": [{ "unit": "T-100" }] });
    service.post("/v1/requirements", &asked).await.problem(503, "database-unavailable");
    service.post_once("/v1/quotes", "key", &asked).await.problem(503, "database-unavailable");
    // The process itself lives.
    service.get("/healthz").await.expect(200);
}

async fn a_problem_names_the_request(service: Arc<Service>) {
    let sent = "00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01";
    let reply = Reply::of(service.request("GET", "/v1/units/T-9999").header("traceparent", sent)).await;
    assert!(reply.header("traceparent").starts_with("00-0af7651916cd43dd8448eb211c80319c-"));
    let problem = reply.problem(404, "unit-not-found");
    assert_eq!(problem["trace_id"], "0af7651916cd43dd8448eb211c80319c");
    assert_eq!(problem["instance"], "/v1/units/T-9999");
}
