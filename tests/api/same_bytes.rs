//! The same bytes on both databases: each test asks the other database the same.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::{DAY, DatabaseKind, Service};

tests![
    answers_have_the_same_bytes,
    catalogue_resources_have_the_same_bytes,
    frozen_inputs_have_the_same_bytes
];

async fn other(service: &Service) -> Service {
    Service::start(match service.kind {
        DatabaseKind::Sqlite => DatabaseKind::Postgres,
        DatabaseKind::Postgres => DatabaseKind::Sqlite,
    })
    .await
}

fn requests() -> Vec<Value> {
    vec![
        json!({ "units": [{ "unit": "T-100" }], "as_of": DAY }),
        json!({ "units": [{ "unit": "T-100" }, { "unit": "T-200" }], "as_of": DAY, "aim": "least_days" }),
        json!({ "units": [{ "vehicle": "RIG-1" }], "as_of": DAY, "aim": "fewest_suppliers", "customer": "DISTRICT" }),
        json!({ "units": [{ "unit": "T-100", "serial": "1200" }], "as_of": DAY, "stock": "value" }),
        json!({ "units": [{ "unit": "T-100" }], "as_of": DAY, "unknowns": "measure_first", "stock": "none" }),
    ]
}

async fn answers_have_the_same_bytes(service: Arc<Service>) {
    let other = other(&service).await;
    for asked in requests() {
        let here = service.post("/v1/requirements", &asked).await.expect(200);
        let there = other.post("/v1/requirements", &asked).await.expect(200);
        assert_eq!(here.text(), there.text(), "{asked}");
    }
    other.stop().await;
}

async fn catalogue_resources_have_the_same_bytes(service: Arc<Service>) {
    let other = other(&service).await;
    let findings = format!("/v1/catalogue-findings?as_of={DAY}");
    let mut paths: Vec<String> = [
        "/v1/units",
        "/v1/units/T-100",
        "/v1/units/T-100/graph",
        "/v1/units/T-100/kits",
        "/v1/vehicles",
        "/v1/vehicles/RIG-1",
        "/v1/parts",
        "/v1/parts/VESSICK%2FB1/where-used",
        "/v1/parts/VESSICK%2FB1/current-numbers",
        "/v1/settings",
    ]
    .map(str::to_owned)
    .to_vec();
    paths.push(findings);
    paths.extend(catalogue::bundle::SHEETS.iter().map(|spec| format!("/v1/exports/{}.csv", spec.name)));
    for path in paths {
        let here = service.get(&path).await.expect(200);
        let there = other.get(&path).await.expect(200);
        assert_eq!(here.text(), there.text(), "{path}");
        assert_eq!(here.header("etag"), there.header("etag"), "{path}");
    }
    other.stop().await;
}

async fn frozen_inputs_have_the_same_bytes(service: Arc<Service>) {
    let other = other(&service).await;
    for asked in requests() {
        let mut frozen = Vec::new();
        for service in [&*service, &other] {
            let key = uuid::Uuid::now_v7().to_string();
            let quote = service.post_once("/v1/quotes", &key, &asked).await.expect(201).json();
            let number = quote["number"].as_str().unwrap();
            frozen.push(service.shop.store().quote(number).await.unwrap().unwrap().frozen);
        }
        assert_eq!(frozen[0], frozen[1], "{asked}");
    }
    other.stop().await;
}
