//! Cases that are saved and answered again.

use std::sync::Arc;

use serde_json::json;

use crate::harness::{DAY, Service};

tests![
    a_saved_case_gives_the_answers_bytes,
    a_case_can_be_saved_of_what_has_no_answer,
    a_wrong_case_is_a_problem
];

async fn a_saved_case_gives_the_answers_bytes(service: Arc<Service>) {
    let asked = json!({ "units": [{ "unit": "T-100" }], "as_of": DAY, "alternatives": { "next": 1 } });
    let answer = service.post("/v1/requirements", &asked).await.expect(200).text();
    let case = service.post("/v1/cases", &asked).await.expect(200);
    assert_eq!((case.header("content-type"), case.header("cache-control")), ("application/json", "no-store"));
    let again = operations::save_case::replay_case(&case.text()).unwrap();
    assert_eq!(serde_json::to_string(&again).unwrap(), answer);
    // A stored quote's case is what it froze, whatever becomes of the catalogue.
    service.post_once("/v1/quotes", "one", &asked).await.expect(201);
    let dearer = "supplier,part,quantity_from,valid_from,valid_to,currency,price,pack,minimum,lead_days,deposit\n\
                  PELLWORTH,VESSICK/K-100,1,2020-01-01,,EUR,990,1,1,3,\n";
    assert_eq!(service.import(json!({ "files": { "prices.csv": dearer } })).await["state"], "done");
    let frozen = service.get("/v1/quotes/q-000001/case").await.expect(200).text();
    let again = operations::save_case::replay_case(&frozen).unwrap();
    assert_eq!(serde_json::to_string(&again).unwrap(), answer);
}

async fn a_case_can_be_saved_of_what_has_no_answer(service: Arc<Service>) {
    let asked = json!({ "units": [{ "unit": "T-100", "operation": "OVERHAUT" }], "as_of": DAY });
    service.post("/v1/requirements", &asked).await.problem(422, "unknown-reference");
    let case = service.post("/v1/cases", &asked).await.expect(200).text();
    let refused = operations::save_case::replay_case(&case).unwrap_err();
    assert!(refused.to_string().contains("OVERHAUT"), "{refused}");
}

async fn a_wrong_case_is_a_problem(service: Arc<Service>) {
    service.get("/v1/quotes/Q-000009/case").await.problem(404, "quote-not-found");
    service.post("/v1/cases", &json!({ "units": [] })).await.problem(422, "bad-value");
    let unreadable = operations::save_case::replay_case("{\"request\": {}}").unwrap_err();
    assert!(unreadable.to_string().starts_with("this is no saved case"), "{unreadable}");
}
