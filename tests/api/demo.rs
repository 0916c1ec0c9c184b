//! The demo catalogue over HTTP.

use std::sync::Arc;

use serde_json::Value;

use crate::harness::Service;

tests![the_demo_catalogue_is_served, the_examples_of_the_document_are_answered];

async fn the_demo_catalogue_is_served(service: Arc<Service>) {
    service.load_demo().await;
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
    service.load_demo().await;
    let document: Value = serde_json::from_str(&http_api::openapi_json().unwrap()).unwrap();
    for path in ["/v1/requirements", "/v1/fit-checks", "/v1/notice-effects"] {
        let content = &document["paths"][path]["post"]["requestBody"]["content"]["application/json"];
        let examples = content["examples"].as_object().unwrap();
        assert!(!examples.is_empty());
        for (name, example) in examples {
            let reply = service.post(path, &example["value"]).await;
            assert_eq!(reply.status, 200, "{path} {name}: {}", reply.text());
        }
    }
}
