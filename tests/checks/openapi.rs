//! The OpenAPI document: kept in the tree, and well-formed.

use std::collections::BTreeSet;
use std::path::Path;

use serde_json::Value;

fn document() -> Value {
    serde_json::from_str(&http_api::openapi_json().unwrap()).unwrap()
}

fn operations(document: &Value) -> impl Iterator<Item = (&String, &String, &Value)> {
    let paths = document["paths"].as_object().unwrap().iter();
    paths.flat_map(|(path, item)| {
        item.as_object().unwrap().iter().map(move |(method, operation)| (path, method, operation))
    })
}

#[test]
fn the_kept_document_is_that_of_the_code() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("openapi/openapi.json");
    let kept = std::fs::read_to_string(file).unwrap_or_default();
    assert!(
        kept == http_api::openapi_json().unwrap(),
        "openapi/openapi.json is old; renew it with:\n    cargo run -q -- openapi > openapi/openapi.json"
    );
}

#[test]
fn it_is_openapi_3_1_with_title_version_and_licence() {
    let document = document();
    assert_eq!(document["openapi"], "3.1.0");
    assert_eq!(
        (&document["info"]["title"], &document["info"]["version"]),
        (&"crownwheel".into(), &"1".into())
    );
    assert_eq!(document["info"]["license"]["identifier"], env!("CARGO_PKG_LICENSE"));
}

#[test]
fn every_operation_has_its_own_id_of_verb_and_noun_a_summary_and_its_problems() {
    let document = document();
    let mut ids = BTreeSet::new();
    for (path, method, operation) in operations(&document) {
        let id = operation["operationId"].as_str().unwrap();
        let verb = id.split_once('_').unwrap().0;
        let verbs = [
            "list",
            "get",
            "create",
            "replace",
            "resolve",
            "recompute",
            "compare",
            "export",
            "release",
            "delete",
            "calculate",
            "draw",
        ];
        assert!(verbs.contains(&verb), "{id}");
        assert!(ids.insert(id.to_owned()), "{id} twice");
        assert!(operation["summary"].as_str().is_some_and(|words| !words.is_empty()), "{method} {path}");
        let responses = operation["responses"].as_object().unwrap();
        for (status, response) in responses {
            let words = response["description"].as_str().unwrap_or("");
            assert!(!words.is_empty(), "{method} {path} {status} has no description");
            if status.starts_with(['4', '5']) {
                let content = &response["content"]["application/problem+json"];
                assert_eq!(
                    content["schema"]["$ref"], "#/components/schemas/Problem",
                    "{method} {path} {status}"
                );
            }
        }
        if path.starts_with("/v1/") {
            let has = |status: &str| responses.contains_key(status);
            assert!(has("406") || path == "/v1/openapi.json", "{method} {path}");
        }
    }
}

#[test]
fn every_parameter_of_a_path_is_described() {
    let document = document();
    for (path, method, operation) in operations(&document) {
        let named: BTreeSet<&str> =
            path.split('{').skip(1).filter_map(|rest| rest.split('}').next()).collect();
        let described: BTreeSet<&str> = operation["parameters"]
            .as_array()
            .into_iter()
            .flatten()
            .filter(|parameter| parameter["in"] == "path")
            .map(|parameter| parameter["name"].as_str().unwrap())
            .collect();
        assert_eq!(named, described, "{method} {path}");
    }
}

#[test]
fn every_reference_leads_to_a_schema() {
    fn references<'a>(value: &'a Value, found: &mut BTreeSet<&'a str>) {
        match value {
            Value::Object(fields) => {
                if let Some(Value::String(reference)) = fields.get("$ref") {
                    found.insert(reference);
                }
                fields.values().for_each(|field| references(field, found));
            }
            Value::Array(items) => items.iter().for_each(|item| references(item, found)),
            _ => {}
        }
    }
    let document = document();
    let mut found = BTreeSet::new();
    references(&document, &mut found);
    assert!(found.len() > 20, "{found:?}");
    for reference in found {
        let pointer = reference.strip_prefix('#').unwrap();
        assert!(document.pointer(pointer).is_some(), "{reference}");
    }
}
