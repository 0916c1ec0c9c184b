//! The examples of the OpenAPI document: there is one for every operation, and each fits its schema.

use std::collections::BTreeSet;

use serde_json::{Value, json};

/// Operations whose answer is JSON and yet no example of it stands in the document: the answer is the document, or a case,
/// which holds all rows that a unit can reach.
const WITHOUT: &[&str] = &["get_openapi", "export_case", "get_quote_case"];

fn document() -> Value {
    serde_json::from_str(&http_api::openapi_json().unwrap()).unwrap()
}

fn operations(document: &Value) -> impl Iterator<Item = &Value> {
    document["paths"].as_object().unwrap().values().flat_map(|item| item.as_object().unwrap().values())
}

fn id(operation: &Value) -> &str {
    operation["operationId"].as_str().unwrap()
}

/// The content of an answer to a request that went well, where it is JSON.
fn answered(operation: &Value) -> impl Iterator<Item = (&String, &Value)> {
    let responses = operation["responses"].as_object().unwrap().iter();
    let well = responses.filter(|(status, _)| status.starts_with('2'));
    well.filter_map(|(status, response)| Some((status, response["content"].get("application/json")?)))
}

fn asked(operation: &Value) -> Option<&Value> {
    operation.pointer("/requestBody/content/application~1json")
}

/// Says why a value does not fit a schema of the document.
fn misfit(document: &Value, schema: &Value, value: &Value) -> Option<String> {
    // The schema's references lead into the document.
    let schema = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "allOf": [schema],
        "components": document["components"],
    });
    let validator = jsonschema::draft202012::options().should_validate_formats(true).build(&schema).unwrap();
    let faults: Vec<String> =
        validator.iter_errors(value).map(|fault| format!("{}: {fault}", fault.instance_path())).collect();
    (!faults.is_empty()).then(|| faults.join("\n"))
}

#[test]
fn every_operation_has_an_example_of_its_request_and_its_answer() {
    let document = document();
    let mut lacking = Vec::new();
    for operation in operations(&document).filter(|operation| !WITHOUT.contains(&id(operation))) {
        let has = |content: &Value| content["examples"]["demo"]["value"] != Value::Null;
        if answered(operation).next().is_some() && !answered(operation).any(|(_, content)| has(content)) {
            lacking.push(format!("{}: its answer", id(operation)));
        }
        if asked(operation).is_some_and(|content| !has(content)) {
            lacking.push(format!("{}: its request", id(operation)));
        }
        let in_path = operation["parameters"].as_array().into_iter().flatten();
        for parameter in in_path.filter(|parameter| parameter["required"] == true) {
            if parameter.get("example").is_none() {
                lacking.push(format!("{}: its parameter {}", id(operation), parameter["name"]));
            }
        }
    }
    assert!(
        lacking.is_empty(),
        "without an example, see `a route's example` in DEVELOPERS.md:\n{}",
        lacking.join("\n")
    );
}

#[test]
fn every_example_fits_its_schema() {
    let document = document();
    let mut faults = Vec::new();
    let mut checked = 0;
    for operation in operations(&document) {
        let contents = answered(operation).map(|(_, content)| content).chain(asked(operation));
        for content in contents {
            for (name, example) in content["examples"].as_object().into_iter().flatten() {
                checked += 1;
                let misfit = misfit(&document, &content["schema"], &example["value"]);
                faults.extend(misfit.map(|misfit| format!("{} {name}: {misfit}", id(operation))));
            }
        }
        for parameter in operation["parameters"].as_array().into_iter().flatten() {
            if let Some(example) = parameter.get("example") {
                checked += 1;
                let misfit = misfit(&document, &parameter["schema"], example);
                let name = &parameter["name"];
                faults.extend(misfit.map(|misfit| format!("{} {name}: {misfit}", id(operation))));
            }
        }
    }
    assert!(checked > 40, "only {checked} examples were found");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn an_example_that_does_not_fit_is_found() {
    let document = document();
    let schema = json!({ "$ref": "#/components/schemas/QuoteHead" });
    let fits = json!({
        "number": "Q-000001", "created_at": "2026-11-25T09:00:00Z", "valid_until": "2026-12-25", "engine": "e",
    });
    assert_eq!(misfit(&document, &schema, &fits), None);
    for (field, value) in [("number", json!(1)), ("valid_until", json!("tomorrow")), ("engine", Value::Null)]
    {
        let mut other = fits.clone();
        other[field] = value;
        assert!(misfit(&document, &schema, &other).is_some_and(|fault| fault.contains(field)), "{field}");
    }
}

#[test]
fn every_file_of_an_example_is_in_the_document() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("service/http_api/examples");
    let files: BTreeSet<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path().file_stem().unwrap().to_str().unwrap().to_owned())
        .collect();
    let document = document();
    let shown: BTreeSet<String> = operations(&document)
        .filter(|operation| {
            let responses = operation["responses"].as_object().unwrap().values();
            let mut contents =
                responses.flat_map(|response| response["content"].as_object().into_iter().flatten());
            contents.any(|(_, content)| content["examples"].get("demo").is_some())
        })
        .map(|operation| id(operation).to_owned())
        .collect();
    assert_eq!(files, shown, "the list in service/http_api/src/examples.rs and the files are the same");
}
