//! What the bench measures on a part is stored with who, when and how certain, and decides from then on.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::{Reply, Service};

tests![a_measured_gear_decides_from_then_on, a_measurement_that_cannot_be_is_refused];

const GEAR: &str = "/v1/parts/NORRWALD%2FN55.OD/features/L3-TEETH/measurement";

async fn put(service: &Service, tag: Option<&str>, body: &Value) -> Reply {
    let request = service.request("PUT", GEAR).json(body);
    Reply::of(match tag {
        Some(tag) => request.header("if-match", tag),
        None => request,
    })
    .await
}

async fn a_measured_gear_decides_from_then_on(service: Arc<Service>) {
    let demo = Service::start_demo(service.kind).await;
    let listed = demo.get("/v1/parts/NORRWALD%2FN55.OD/features").await.expect(200).json();
    assert!(listed["items"].as_array().unwrap().iter().any(|face| face["feature"] == "L3-TEETH"), "{listed}");
    let before = demo.get(GEAR).await.expect(200);
    let tag = before.header("etag").to_owned();
    assert_eq!((&before.json()["basis"], &before.json()["module_mm"]), (&json!("stated"), &json!(2.75)));
    let asked = json!({
        "units": [{ "unit": "BN-552", "operation": "TOP-GEAR", "chosen": [{ "any_of": ["NORRWALD/N55.OD"] }] }],
    });
    demo.post("/v1/requirements", &asked).await.expect(200);
    let measured = json!({
        "measured_by": "bench 2", "measured_on": "2026-11-20", "uncertainty_mm": 0.01, "module_mm": 2.5,
    });
    put(&demo, None, &measured).await.problem(428, "precondition-required");
    let stored = put(&demo, Some(&tag), &measured).await.expect(200);
    let face = stored.json();
    assert_eq!(face["basis"], "measured");
    assert_eq!((&face["measured_by"], &face["measured_on"]), (&json!("bench 2"), &json!("2026-11-20")));
    // The figures that were not measured stay.
    assert_eq!((&face["tooth_count"], &face["helix_angle_deg"]), (&json!(29), &json!(24.0)));
    put(&demo, Some(&tag), &measured).await.problem(412, "precondition-failed");
    let sheet = demo.get("/v1/exports/features.csv").await.expect(200).text();
    let row = sheet
        .lines()
        .find(|line| line.contains("N55.OD,L3-TEETH") || line.contains("N55OD,L3-TEETH"))
        .unwrap();
    assert!(row.ends_with("measured,0.01,bench 2,2026-11-20"), "{row}");
    // pi·2.5·cos 20° against pi·2.75·cos 20°: no third gear meshes with what was measured.
    let problem = demo.post("/v1/requirements", &asked).await.problem(422, "impossible-choice");
    assert!(problem["detail"].as_str().unwrap().contains("7.3803 mm against 8.1184 mm"), "{problem}");
    demo.stop().await;
}

async fn a_measurement_that_cannot_be_is_refused(service: Arc<Service>) {
    let demo = Service::start_demo(service.kind).await;
    for (pointer, body) in [
        ("/measured_by", json!({ "measured_by": " ", "uncertainty_mm": 0.01, "module_mm": 2.5 })),
        ("/uncertainty_mm", json!({ "measured_by": "bench", "uncertainty_mm": -1, "module_mm": 2.5 })),
        ("/module_mm", json!({ "measured_by": "bench", "uncertainty_mm": 0.01, "module_mm": -2.5 })),
        ("/tooth_count", json!({ "measured_by": "bench", "uncertainty_mm": 0.01 })),
    ] {
        let problem = put(&demo, Some("*"), &body).await.problem(422, "bad-value");
        assert_eq!(problem["errors"][0]["pointer"], pointer, "{problem}");
    }
    let path = "/v1/parts/NORRWALD%2FN55.OD/features/L9-TEETH/measurement";
    let problem = demo.get(path).await.problem(404, "feature-not-found");
    assert!(problem["suggestions"].as_array().unwrap().contains(&json!("L3-TEETH")), "{problem}");
    demo.get("/v1/parts/NORRWALD%2FN99/features/TEETH/measurement").await.problem(404, "part-not-found");
    demo.stop().await;
}
