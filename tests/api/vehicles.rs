//! Vehicles.

use std::sync::Arc;

use crate::harness::Service;

tests![a_vehicle_carries_its_units, an_unknown_vehicle_names_the_closest, vehicles_are_listed];

async fn a_vehicle_carries_its_units(service: Arc<Service>) {
    let sheet = service.get("/v1/vehicles/rig-1").await.expect(200).json();
    assert_eq!(sheet["vehicle"]["name"], "Rig one");
    let units = sheet["units"].as_array().unwrap();
    let carried: Vec<_> = units.iter().map(|unit| (&unit["role"], &unit["code"])).collect();
    assert_eq!(serde_json::json!(carried), serde_json::json!([["gearbox", "T-100"], ["drop_box", "T-200"]]));
    assert_eq!(sheet["engine_points"][1]["torque_nm"], 350.5);
}

async fn an_unknown_vehicle_names_the_closest(service: Arc<Service>) {
    let problem = service.get("/v1/vehicles/RIG-2").await.problem(404, "vehicle-not-found");
    assert_eq!(problem["suggestions"], serde_json::json!(["RIG-1"]));
    service.get("/v1/vehicles/a%20b").await.problem(400, "invalid-code");
}

async fn vehicles_are_listed(service: Arc<Service>) {
    let list = service.get("/v1/vehicles").await.expect(200).json();
    assert_eq!(list["items"][0]["vehicle"], "RIG-1");
    service.get("/v1/vehicles?limit=x").await.problem(400, "invalid-query");
}
