//! Sheets as CSV.

use std::sync::Arc;

use serde_json::json;

use crate::harness::Service;

tests![a_sheet_is_csv_that_imports_to_the_same, an_unknown_sheet_names_the_closest];

async fn a_sheet_is_csv_that_imports_to_the_same(service: Arc<Service>) {
    let parts = service.get("/v1/exports/parts.csv").await.expect(200);
    assert_eq!(parts.header("content-type"), "text/csv; charset=utf-8; header=present");
    assert!(parts.text().starts_with("maker,number,name,kind,class,"), "{}", parts.text());
    let import = service.import(json!({ "files": { "parts.csv": parts.text() } })).await;
    assert_eq!(import["result"]["sheets"][0]["unchanged"], 9, "{import}");
}

async fn an_unknown_sheet_names_the_closest(service: Arc<Service>) {
    let problem = service.get("/v1/exports/part.csv").await.problem(404, "sheet-not-found");
    assert_eq!(problem["suggestions"][0], "parts");
    service.get("/v1/exports/parts").await.problem(404, "not-found");
}
