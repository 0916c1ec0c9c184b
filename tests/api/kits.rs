//! Kits side by side.

use std::sync::Arc;

use serde_json::json;

use crate::harness::Service;

tests![kits_stand_beside_the_loose_way, an_unknown_operation_names_the_closest];

async fn kits_stand_beside_the_loose_way(service: Arc<Service>) {
    let sheet = service.get("/v1/units/t100/kits?operation=overhaul").await.expect(200).json();
    assert_eq!((&sheet["unit"], &sheet["operation"]), (&json!("T100"), &json!("OVERHAUL")));
    let ways = sheet["ways"].as_array().unwrap();
    let kit = ways.iter().find(|way| !way["kit"].is_null()).unwrap();
    let loose = ways.iter().find(|way| way["kit"].is_null()).unwrap();
    assert_eq!((&kit["box_price"], &kit["cash"]), (&json!("55.00"), &json!("60.00")));
    // Own calculation: 2 x 30 and 8 at Ostrel, and its order at 10.
    assert_eq!(loose["cash"], "78.00");
    assert_eq!(kit["beyond"][0]["part"]["part"], "VESSICK/S2");
    assert_eq!(ways[0]["kit"]["part"], "VESSICK/K100", "the cheapest first");
}

async fn an_unknown_operation_names_the_closest(service: Arc<Service>) {
    let problem =
        service.get("/v1/units/T-100/kits?operation=OVERHAUT").await.problem(422, "unknown-reference");
    assert_eq!(problem["suggestions"][0], "OVERHAUL");
    assert!(problem["errors"].is_null(), "there is no body to point into: {problem}");
    service.get("/v1/units/T-100/kits?operatoin=X").await.problem(400, "invalid-query");
}
