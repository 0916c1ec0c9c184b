//! Calculations: each is asked with its example and with figures that no calculation can be made with.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use serde_json::{Value, json};

use crate::cautions::CALCULATIONS;
use crate::harness::{Reply, Service};

tests![
    every_calculation_echoes_its_inputs_and_shows_its_figures,
    every_calculation_carries_its_cautions,
    verdicts_come_with_the_figures_that_decided_them,
    a_drawing_is_a_picture_of_its_own,
    what_cannot_be_calculated_with_is_pointed_at,
    no_number_is_too_absurd_to_be_answered,
    every_field_of_every_calculation_is_held_against_its_kind,
];

/// The bodies of the examples by the last part of the path.
fn bodies() -> BTreeMap<String, Value> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("service/http_api/examples");
    let mut bodies = BTreeMap::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let stem = path.file_stem().unwrap().to_str().unwrap().to_owned();
        if let Some(name) = stem.strip_prefix("calculate_") {
            let text = std::fs::read_to_string(&path).unwrap();
            let example: Value = serde_json::from_str(&text).unwrap();
            bodies.insert(name.replace('_', "-"), example["request"]["body"].clone());
        }
    }
    bodies
}

fn body(name: &str) -> Value {
    bodies().remove(name).unwrap_or_else(|| panic!("no example of {name}"))
}

async fn sheet(service: &Service, name: &str, body: &Value) -> Value {
    service.post(&format!("/v1/calculations/{name}"), body).await.expect(200).json()
}

/// All that was given stands in the echo, at its place.
fn assert_echoed(given: &Value, echoed: &Value, place: &str) {
    match (given, echoed) {
        (Value::Object(given), Value::Object(echoed)) => {
            for (name, value) in given {
                assert_echoed(value, echoed.get(name).unwrap_or(&Value::Null), &format!("{place}/{name}"));
            }
        }
        (Value::Array(given), Value::Array(echoed)) => {
            assert_eq!(given.len(), echoed.len(), "{place}");
            for (at, (value, other)) in given.iter().zip(echoed).enumerate() {
                assert_echoed(value, other, &format!("{place}/{at}"));
            }
        }
        (Value::Number(given), Value::Number(echoed)) => {
            assert_eq!(given.as_f64(), echoed.as_f64(), "{place}")
        }
        (given, echoed) => assert_eq!(given, echoed, "{place}"),
    }
}

async fn every_calculation_echoes_its_inputs_and_shows_its_figures(service: Arc<Service>) {
    let bodies = bodies();
    let named: Vec<&str> = bodies.keys().map(String::as_str).collect();
    let mut listed = CALCULATIONS.to_vec();
    listed.sort_unstable();
    assert_eq!(named, listed, "each calculation has an example");
    for (name, body) in &bodies {
        let sheet = sheet(&service, name, body).await;
        assert_eq!(sheet["calculation"], name.as_str());
        assert_echoed(body, &sheet["inputs"], name);
        let figures = sheet["figures"].as_array().unwrap();
        assert!(!figures.is_empty(), "{name}");
        for figure in figures {
            assert!(figure["value"].is_f64() || figure["value"].is_i64(), "{name}: {figure}");
            for part in ["name", "symbol", "unit", "formula", "standard"] {
                assert!(figure[part].as_str().is_some_and(|text| !text.is_empty()), "{name}: {figure}");
            }
        }
    }
}

async fn every_calculation_carries_its_cautions(service: Arc<Service>) {
    for (name, body) in bodies() {
        let sheet = sheet(&service, &name, &body).await;
        let cautions = sheet["cautions"].as_array().unwrap();
        assert!(!cautions.is_empty() && cautions.iter().all(|one| one["text"].as_str().is_some()), "{name}");
        let deferral = sheet["deferral"].as_str().unwrap();
        for word in ["maker's manual", "local codes", "licensed practice"] {
            assert!(deferral.contains(word), "{name}: {deferral}");
        }
    }
}

async fn verdicts_come_with_the_figures_that_decided_them(service: Arc<Service>) {
    // The set's third has module 2.5 and a helix of 28 degrees, the gear that stays 2.75 and 24.
    let refused = sheet(&service, "mesh", &body("mesh")).await;
    assert_eq!(refused["result"]["verdict"], "does_not_fit");
    let tests: Vec<&str> = refused["result"]["failed_tests"]
        .as_array()
        .unwrap()
        .iter()
        .map(|t| t["test"].as_str().unwrap())
        .collect();
    assert!(tests.contains(&"normal_base_pitch") && tests.contains(&"helix_angle"), "{tests:?}");
    let pitch = refused["figures"].as_array().unwrap().iter().find(|f| f["symbol"] == "p_bn1").unwrap();
    // pi·2.5·cos 20°.
    assert!((pitch["value"].as_f64().unwrap() - 7.380_328_6).abs() < 1e-6, "{pitch}");
    // Less is known: the verdict stays open and names what would settle it.
    let mut partial = body("mesh");
    partial["b"] = json!({ "tooth_count": 36 });
    let open = sheet(&service, "mesh", &partial).await;
    assert_eq!(open["result"]["verdict"], "unverified");
    assert!(open["result"]["sentence"].as_str().unwrap().contains("the second's normal module mm"), "{open}");
    let fits = sheet(&service, "spline-fit", &body("spline-fit")).await;
    assert_eq!(fits["result"]["verdict"], "fits", "{fits}");
    let drag = sheet(&service, "bearing-drag", &body("bearing-drag")).await;
    assert_eq!(
        (&drag["result"]["verdict"], &drag["result"]["renew_crush_spacer"]),
        (&json!("too_tight"), &json!(true))
    );
    // 0.838 to 0.7101 at 3000 1/min (own calculation): 2542.
    let change = json!({ "old_ratio": 0.838, "new_ratio": 0.7101, "engine_speed_before_per_min": 3000.0 });
    let after = sheet(&service, "ratio-change", &change).await;
    assert_eq!(after["result"]["engine_speed_after_per_min"].as_f64().unwrap().round(), 2542.0);
}

async fn a_drawing_is_a_picture_of_its_own(service: Arc<Service>) {
    let pair = json!({
        "a": { "tooth_count": 22, "normal_module_mm": 3.0, "normal_pressure_angle_deg": 20.0, "helix_hand": "spur",
               "profile_shift": 0.0 },
        "b": { "tooth_count": 40, "normal_module_mm": 3.0, "normal_pressure_angle_deg": 20.0, "helix_hand": "spur",
               "profile_shift": 0.0 },
        "centre_distance_mm": 93.0,
    });
    for (name, body) in [("mesh", pair), ("road-speed", body("road-speed")), ("spline", body("spline"))] {
        let path = format!("/v1/calculations/{name}/drawing");
        let reply = service.post(&path, &body).await.expect(200);
        assert_eq!(reply.header("content-type"), "image/svg+xml");
        assert!(reply.text().starts_with("<svg") && reply.text().trim_end().ends_with("</svg>"), "{name}");
        let request = service.request("POST", &path).header("accept", "application/json").json(&body);
        Reply::of(request).await.problem(406, "not-acceptable");
    }
    let mut without = body("mesh");
    without["a"]["profile_shift"] = Value::Null;
    let problem = service.post("/v1/calculations/mesh/drawing", &without).await.problem(422, "bad-value");
    assert_eq!(problem["errors"][0]["pointer"], "/a/profile_shift");
}

async fn what_cannot_be_calculated_with_is_pointed_at(service: Arc<Service>) {
    let cases = [
        ("mesh", "/a/normal_module_mm", json!(-2.5), "it must lie from"),
        ("mesh", "/b/tooth_count", json!(0), "it must lie from 3 to 2000"),
        ("mesh", "/centre_distance_mm", json!(40.0), "base circles of these gears overlap"),
        ("mesh", "/centre_distance_mm", json!(1e300), "it must lie from"),
        ("mesh", "/b/helix_angle_deg", json!(89.0), "it must lie from 0 to 60 deg"),
        ("gear-search", "/normal_modules_mm/1", json!(-1.0), "it must lie from"),
        ("gear-search", "/wanted_ratio", json!(0.0), "it must lie from"),
        ("gear-search", "/answers_most", json!(101), "at most 100 pairs"),
        ("measured-gear", "/spans/1/span_mm", json!(0.0), "it must lie from"),
        ("measured-gear", "/uncertainty_mm", json!(0.0), "it must lie from"),
        ("gear-ratios", "/speeds/0/tooth_counts/1", json!(0), "it must lie from"),
        ("gear-ratios", "/speeds_after/0/name", json!("seventh"), "is none of the speeds"),
        ("road-speed", "/gears/4/ratio_after", json!(0.0), "it must lie from"),
        ("road-speed", "/tyre", json!("round"), "265/70R16"),
        ("road-speed", "/engine_speed_most", json!(-1.0), "it must lie from"),
        ("ratio-change", "/engine_speed_before_per_min", json!(0.0), "it must lie from"),
        ("gradeability", "/torque_curve/0/torque_nm", json!(-5.0), "it must lie from"),
        ("gradeability", "/mass_kg", json!(1e300), "it must lie from"),
        ("axle-match", "/tolerance_percent", json!(50.0), "it must lie from 0 to 10 %"),
        ("spline", "/shaft/designation", json!("DIN 5480 - Q 1"), "DIN 5480 - W 30 x 2 x 14"),
        ("spline-fit", "/hub/designation", json!("DIN 5480 - W 58 x 2 x 28 x 8f"), "here stands the hub"),
        ("spline-capacity", "/old/engaged_length_mm", json!(0.0), "it must lie from"),
        ("bearing-designation", "/other", json!("9999"), "is not in"),
        ("limits-and-fits", "/shaft", json!("K5"), "small letter"),
        ("limits-and-fits", "/nominal_mm", json!(-40.0), "it must lie from"),
        ("bearing-life", "/dynamic_rating_n", json!(0.0), "it must lie from"),
        ("shrink-fit", "/heat_limit_degc", json!(-10.0), "it must lie from"),
        ("shaft-seal", "/designation", json!("72x50x8"), "must be larger than the shaft"),
        ("thread", "/nut", json!("G1/2"), "M20x1.5-6g-LH"),
        ("shims", "/shims_mm/3", json!(-0.25), "it must lie from"),
        ("shims", "/measurements/0/uncertainty_mm", json!(-1.0), "it must lie from"),
        ("bearing-preload", "/end_float_mm", json!(1e9), "it must lie from"),
        ("bearing-drag", "/new_bearings/min_nm", json!(9.0), "must not be above"),
        ("pinion-depth", "/etched_deviation_mm", json!(99.0), "it must lie from"),
        ("side-bearings", "/tooth_counts/0", json!(0), "it must lie from"),
        ("end-float", "/parts_mm/2", json!(0.0), "it must lie from"),
        ("wear", "/wear_limit", json!(2.97), "within the range of new parts"),
        ("gear-geometry", "/tooth_count", json!(0), "it must lie from 3 to 2000"),
        ("gear-geometry", "/pin_diameter_mm", json!(1.0), "too small"),
        ("gear-pair", "/profile_shifts/1", json!(9.0), "it must lie from -3 to 3"),
        ("gear-pair", "/tooth_counts/0", json!(0), "it must lie from"),
        ("gear-pair", "/centre_distance_mm", json!(40.0), "it must lie from"),
        ("spline-stress", "/carrying_teeth", json!(40), "the designation has 28 teeth"),
        ("spline-stress", "/torque_nm", json!(-1.0), "it must lie from"),
        ("synchroniser", "/sleeve_dogs/tooth_count", json!(0), "it must lie from"),
        ("synchroniser", "/gear_cone/half_angle_deg", json!(80.0), "it must lie from"),
        ("heat-growth", "/to_degc", json!(-400.0), "it must lie from"),
        ("thrust-faces", "/b/thickness_mm", json!(-2.0), "it must lie from"),
    ];
    for (name, pointer, wrong, told) in cases {
        let mut body = body(name);
        *body.pointer_mut(pointer).unwrap_or_else(|| panic!("{name} has no {pointer}")) = wrong;
        let reply = service.post(&format!("/v1/calculations/{name}"), &body).await;
        let problem = reply.problem(422, "bad-value");
        assert_eq!(problem["errors"][0]["pointer"], pointer, "{name}: {problem}");
        assert!(
            problem["errors"][0]["detail"].as_str().unwrap().contains(told),
            "{name} {pointer}: {problem}"
        );
    }
    // What is no number at all is told by the reader of the body.
    let mut body = body("mesh");
    body["a"]["tooth_count"] = json!(-3);
    let problem = service.post("/v1/calculations/mesh", &body).await.problem(422, "invalid-body");
    assert_eq!(problem["errors"][0]["pointer"], "/a/tooth_count");
    body["a"]["tooth_count"] = json!("NaN");
    service.post("/v1/calculations/mesh", &body).await.problem(422, "invalid-body");
}

/// Every number of every example, one after the other, is made absurd: the answer is figures or a problem, never a failure.
async fn no_number_is_too_absurd_to_be_answered(service: Arc<Service>) {
    for (name, body) in bodies() {
        let path = format!("/v1/calculations/{name}");
        for pointer in numbers(&body, String::new()) {
            for absurd in
                [json!(0), json!(-1), json!(1e308), json!(-1e308), json!(1e-308), json!(4_294_967_295_u32)]
            {
                let mut body = body.clone();
                *body.pointer_mut(&pointer).unwrap() = absurd.clone();
                let reply = service.post(&path, &body).await;
                assert!(matches!(reply.status, 200 | 422), "{path} {pointer} {absurd}: {}", reply.text());
                if reply.status == 422 {
                    let problem = reply.json();
                    let place = problem["errors"][0]["pointer"].as_str().unwrap_or_default();
                    assert!(place.starts_with('/'), "{path} {pointer} {absurd}: {problem}");
                } else {
                    let figures = reply.json()["figures"].clone();
                    assert!(
                        figures.as_array().unwrap().iter().all(|f| f["value"].is_number()),
                        "{path} {pointer}"
                    );
                }
            }
        }
    }
}

/// No number is what it should be, or it lacks, or there is one too many: each time a problem points at the place.
async fn every_field_of_every_calculation_is_held_against_its_kind(service: Arc<Service>) {
    for (name, body) in bodies() {
        let path = format!("/v1/calculations/{name}");
        let mut refused = 0;
        for pointer in numbers(&body, String::new()) {
            let mut wrong = body.clone();
            *wrong.pointer_mut(&pointer).unwrap() = json!("NaN");
            let problem = service.post(&path, &wrong).await.problem(422, "invalid-body");
            assert_eq!(problem["errors"][0]["pointer"], pointer, "{name}: {problem}");
            // Far beyond any range, on either side: refused, unless this request does not use the figure.
            for absurd in [json!(-1e300), json!(1e300)] {
                let mut wrong = body.clone();
                *wrong.pointer_mut(&pointer).unwrap() = absurd.clone();
                let reply = service.post(&path, &wrong).await;
                assert!(matches!(reply.status, 200 | 422), "{name} {pointer} {absurd}: {}", reply.text());
                refused += usize::from(reply.status == 422);
            }
        }
        // Designations have no numbers, and the geometry of a spline none that its example gives; every number that is calculated with is held against a range.
        assert!(
            refused > 0 || name == "spline" || numbers(&body, String::new()).is_empty(),
            "{name} refuses nothing"
        );
        for field in body.as_object().unwrap().keys() {
            let mut without = body.clone();
            without.as_object_mut().unwrap().remove(field);
            let reply = service.post(&path, &without).await;
            assert!(matches!(reply.status, 200 | 422), "{name} {field}: {}", reply.text());
            if reply.status == 422 {
                let problem = reply.json();
                let place = problem["errors"][0]["pointer"].as_str().unwrap();
                assert!(place.starts_with('/'), "{name} without {field}: {problem}");
            }
        }
        service
            .post(&path, &json!({}))
            .await
            .problem(422, if OPTIONAL.contains(&name.as_str()) { "bad-value" } else { "invalid-body" });
        let mut more = body.clone();
        more["no_such_field"] = json!(1);
        let problem = service.post(&path, &more).await.problem(422, "invalid-body");
        assert!(problem["errors"][0]["detail"].as_str().unwrap().contains("no_such_field"), "{problem}");
    }
}

/// Calculations none of whose fields alone must be given: what lacks is told by what is calculated.
const OPTIONAL: [&str; 1] = ["synchroniser"];

fn numbers(value: &Value, place: String) -> Vec<String> {
    match value {
        Value::Number(_) => vec![place],
        Value::Array(items) => {
            items.iter().enumerate().flat_map(|(at, item)| numbers(item, format!("{place}/{at}"))).collect()
        }
        Value::Object(fields) => {
            fields.iter().flat_map(|(name, field)| numbers(field, format!("{place}/{name}"))).collect()
        }
        _ => Vec::new(),
    }
}
