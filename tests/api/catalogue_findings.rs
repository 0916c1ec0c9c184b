//! What the catalogue check finds, over HTTP.

use std::sync::Arc;

use serde_json::json;

use crate::harness::{DAY, Service};

tests![findings_are_listed_for_a_day, the_demo_holds_one_contradiction_and_the_check_lists_it];

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

/// A maker may warn of another maker's flange that the figures let pass: the demo holds one such letter, so that both are seen
/// side by side. No original part is concerned.
async fn the_demo_holds_one_contradiction_and_the_check_lists_it(service: Arc<Service>) {
    let demo = Service::start_demo(service.kind).await;
    let list = demo.get("/v1/catalogue-findings?as_of=2026-11-24").await.expect(200).json();
    let contradictions: Vec<_> = list["items"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|item| item["fact"]["code"] == "calculation_contradicts_statement")
        .collect();
    assert!(!contradictions.is_empty());
    for one in contradictions {
        assert_eq!(one["fact"]["document"], "Brannoch service letter 228-4", "{one}");
        assert_eq!(
            (&one["fact"]["part_b"], &one["fact"]["stated"]),
            (&json!("VESSICK/VK22815"), &json!("does_not_fit"))
        );
        assert!(one["sentence"].as_str().unwrap().ends_with("calculated: it fits"), "{one}");
    }
    demo.stop().await;
}
