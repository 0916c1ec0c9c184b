//! A verdict follows the tooth data of the catalogue: one edited gear flips it, with the figures that decided it.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::Service;

tests![an_imported_change_of_one_gears_teeth_flips_the_verdict];

/// The sheet of the demo with the module of one gear changed.
fn features_with(module: &str) -> String {
    let file = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("seed-data/features.csv");
    let text = std::fs::read_to_string(file).unwrap();
    let edit = |line: &str| match line.strip_prefix("NORRWALD/N55.OD,L3-TEETH,gear,,29,2.75,") {
        Some(rest) => format!("NORRWALD/N55.OD,L3-TEETH,gear,,29,{module},{rest}"),
        None => line.to_owned(),
    };
    let lines: Vec<String> = text.lines().map(edit).collect();
    assert_ne!(lines.join("\n"), text.trim_end(), "the gear stands in the sheet");
    format!("{}\n", lines.join("\n"))
}

async fn an_imported_change_of_one_gears_teeth_flips_the_verdict(service: Arc<Service>) {
    let demo = Service::start_demo(service.kind).await;
    let asked = json!({
        "units": [{ "unit": "BN-552", "operation": "TOP-GEAR", "chosen": [{ "any_of": ["NORRWALD/N55.OD"] }] }],
    });
    let third = |answer: &Value| {
        let lines = answer["units"][0]["lines"].as_array().unwrap().clone();
        lines.into_iter().find(|line| line["position"] == "GEAR-3").unwrap()
    };
    let before = demo.post("/v1/requirements", &asked).await.expect(200).json();
    assert_eq!(third(&before)["action"], "keep", "the set is cut to suit the gear that stays");
    let import = demo.import(json!({ "files": { "features.csv": features_with("2.5") } })).await;
    assert_eq!(import["result"]["sheets"][0]["changed"], 1, "{import}");
    // No third gear meshes any more, and the answer says by which base pitches: pi·2.5·cos 20° and pi·2.75·cos 20°.
    let problem = demo.post("/v1/requirements", &asked).await.problem(422, "impossible-choice");
    let detail = problem["detail"].as_str().unwrap();
    assert!(detail.contains("552.MESH.LAYSHAFT.GEAR-3"), "{detail}");
    assert!(detail.contains("7.3803 mm against 8.1184 mm"), "{detail}");
    let import = demo.import(json!({ "files": { "features.csv": features_with("2.750") } })).await;
    assert_eq!(import["state"], "done");
    let after = demo.post("/v1/requirements", &asked).await.expect(200).json();
    assert_eq!(third(&after)["action"], "keep");
    demo.stop().await;
}
