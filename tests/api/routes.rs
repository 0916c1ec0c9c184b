//! What holds for every route: the methods it knows, the types it sends, and that all of them are described and tested.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use serde_json::Value;

use crate::harness::{Reply, Service};

tests![
    every_route_names_its_methods,
    head_is_get_without_a_body,
    every_route_of_json_refuses_another_type,
    every_route_is_described_and_every_described_one_is_routed,
];

pub(crate) fn described() -> BTreeMap<String, BTreeSet<String>> {
    let document: Value = serde_json::from_str(&http_api::openapi_json().unwrap()).unwrap();
    let paths = document["paths"].as_object().unwrap();
    let methods =
        |item: &Value| item.as_object().unwrap().keys().map(|method| method.to_uppercase()).collect();
    paths.iter().map(|(path, item)| (path.clone(), methods(item))).collect()
}

/// A path of the document with something there.
pub(crate) fn filled(path: &str) -> String {
    let filled = match path {
        "/v1/vehicles/{code}" | "/v1/vehicles/{code}/likely-findings" => path.replace("{code}", "RIG-1"),
        "/problems/{kind}" => path.replace("{kind}", "not-found"),
        path => path.replace("{code}", "T-100"),
    };
    filled
        .replace("{part}", "VESSICK%2FB1")
        .replace("{feature}", "TEETH")
        .replace("/keys/{number}", "/keys/K-000001")
        .replace("{number}", "Q-000001")
        .replace("{sheet}", "parts")
        .replace("{setting}", "TAX")
        .replace("{supplier}", "OSTREL")
        .replace("{unit}", "T-100")
        .replace("{serial}", "7")
        .replace("{batch}", "L7")
        .replace("{id}", "01941f29-7c00-7000-8000-000000000001")
}

async fn every_route_names_its_methods(service: Arc<Service>) {
    for (path, methods) in described() {
        let mut allowed: Vec<String> = methods.into_iter().collect();
        if allowed.contains(&"GET".to_owned()) {
            allowed.push("HEAD".to_owned());
        }
        allowed.sort();
        for method in ["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "BREW"] {
            if allowed.contains(&method.to_owned()) {
                continue;
            }
            let reply = Reply::of(service.request(method, &filled(&path))).await;
            assert_eq!(reply.status, 405, "{method} {path}: {}", reply.text());
            let mut allow: Vec<&str> = reply.header("allow").split(", ").collect();
            allow.sort_unstable();
            assert_eq!(allow, allowed, "{method} {path}");
        }
    }
}

async fn head_is_get_without_a_body(service: Arc<Service>) {
    service.stored_quote("T-100").await;
    for (path, methods) in described() {
        if !methods.contains("GET") || path == "/metrics" {
            continue;
        }
        let path = filled(&path);
        let get = service.get(&path).await;
        let head = Reply::of(service.request("HEAD", &path)).await;
        assert_eq!((head.status, head.body.len()), (get.status, 0), "{path}");
        for name in ["content-type", "etag", "link"] {
            assert_eq!(head.header(name), get.header(name), "{path}: {name}");
        }
        if get.status == 200 {
            assert_eq!(head.header("content-length"), get.body.len().to_string(), "{path}");
        }
    }
}

async fn every_route_of_json_refuses_another_type(service: Arc<Service>) {
    for (path, methods) in described() {
        for method in methods {
            let request = service.request(&method, &filled(&path)).header("accept", "image/png");
            let problem = Reply::of(request).await.problem(406, "not-acceptable");
            assert!(problem["detail"].as_str().unwrap().contains("is sent as"), "{method} {path}: {problem}");
        }
    }
}

async fn every_route_is_described_and_every_described_one_is_routed(service: Arc<Service>) {
    // The routes as the figures of the service name them, once each was asked.
    let described = described();
    for path in described.keys() {
        Reply::of(service.request("BREW", &filled(path))).await.expect(405);
    }
    let metrics = service.get("/metrics").await.expect(200).text();
    let routed: BTreeSet<String> = metrics
        .lines()
        .filter(|line| line.starts_with("http_requests_total"))
        .filter_map(|line| line.split("route=\"").nth(1)?.split('"').next().map(str::to_owned))
        .collect();
    let described: BTreeSet<String> = described.into_keys().collect();
    assert_eq!(routed, described);
    let routes = include_str!("../../service/http_api/src/routes.rs");
    let written: BTreeSet<String> = routes
        .split('"')
        .skip(1)
        .step_by(2)
        .filter(|text| text.starts_with('/') && !text.starts_with("/reference"))
        .map(str::to_owned)
        .collect();
    assert_eq!(written, described, "the routes and the OpenAPI document name the same paths");
}
