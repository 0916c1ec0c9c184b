//! What the catalogue check finds, over HTTP.

use std::sync::Arc;

use serde_json::json;

use crate::harness::{DAY, Service};

tests![findings_are_listed_for_a_day];

async fn findings_are_listed_for_a_day(service: Arc<Service>) {
    let list = service.get(&format!("/v1/catalogue-findings?as_of={DAY}")).await.expect(200).json();
    assert_eq!(list["as_of"], DAY);
    let items = list["items"].as_array().unwrap();
    assert!(items.iter().all(|item| !item["sentence"].as_str().unwrap().is_empty()));
    let sentences: Vec<&str> = items.iter().map(|item| item["sentence"].as_str().unwrap()).collect();
    assert!(sentences.contains(&"BRANNOCH/SH200 is needed, and nobody sells it"), "{sentences:?}");
    service.get("/v1/catalogue-findings?as_of=soon").await.problem(400, "invalid-query");
    service.get("/v1/catalogue-findings?day=2026-01-01").await.problem(400, "invalid-query");
    assert!(service.get("/v1/catalogue-findings").await.expect(200).json()["as_of"] != json!(null));
}
