//! The demo catalogue over HTTP.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::Service;

tests![the_demo_catalogue_is_served, the_examples_of_the_document_are_answered];

async fn load(service: &Service) {
    let files: serde_json::Map<String, Value> = terminal::demo_bundle::demo_bundle()
        .into_iter()
        .map(|(name, text)| (name, Value::String(String::from_utf8(text).unwrap())))
        .collect();
    let import = service.import(json!({ "files": files })).await;
    assert_eq!(import["state"], "done", "{}", import["result"]);
}

async fn the_demo_catalogue_is_served(service: Arc<Service>) {
    load(&service).await;
    for code in ["BN-640", "BN-552", "BN-410", "BN-143", "BN-228", "BN-229", "BN-701"] {
        let sheet = service.get(&format!("/v1/units/{code}")).await.expect(200).json();
        assert_eq!(sheet["unit"]["code"], code);
        assert!(sheet["positions"].as_array().unwrap().len() > 10, "{code}");
        let dot = service.get(&format!("/v1/units/{code}/graph")).await.expect(200).text();
        assert!(dot.contains(" -- "), "{code}");
    }
    let vehicles = service.get("/v1/vehicles").await.expect(200).json();
    assert!(vehicles["items"].as_array().unwrap().len() >= 2);
}

async fn the_examples_of_the_document_are_answered(service: Arc<Service>) {
    load(&service).await;
    let document: Value = serde_json::from_str(&http_api::openapi_json().unwrap()).unwrap();
    let content =
        &document["paths"]["/v1/requirements"]["post"]["requestBody"]["content"]["application/json"];
    let examples = content["examples"].as_object().unwrap();
    assert!(!examples.is_empty());
    for (name, example) in examples {
        let reply = service.post("/v1/requirements", &example["value"]).await;
        assert_eq!(reply.status, 200, "{name}: {}", reply.text());
    }
}
