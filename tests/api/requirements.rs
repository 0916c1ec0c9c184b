//! Requirements: what a rebuild needs, answered without being stored.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::{DAY, Reply, Service};

tests![
    an_overhaul_is_answered_with_reasons_and_price,
    a_vehicle_stands_for_its_units,
    a_partial_operation_needs_little,
    findings_and_choices_are_heard,
    nothing_is_stored,
    a_wrong_body_is_pointed_at,
    a_weighted_mix_of_aims_is_refused_in_favour_of_an_order,
    an_unknown_name_is_pointed_at,
    a_request_that_contradicts_itself_is_refused,
    malformed_json_is_named_by_line_and_column,
    another_content_type_is_refused,
    a_large_body_is_refused,
    a_body_in_another_shape_of_json_is_refused,
];

fn overhaul(unit: &str) -> Value {
    json!({ "units": [{ "unit": unit }], "as_of": DAY })
}

async fn an_overhaul_is_answered_with_reasons_and_price(service: Arc<Service>) {
    let reply = service.post("/v1/requirements", &overhaul("t 100")).await.expect(200);
    assert_eq!(reply.header("cache-control"), "no-store");
    let answer = reply.json();
    let lines = answer["units"][0]["lines"].as_array().unwrap();
    let of = |position: &str| lines.iter().find(|line| line["position"] == position).unwrap();
    assert_eq!(of("SHAFT")["action"], "keep");
    let bearing = of("BEARING");
    assert_eq!((&bearing["action"], &bearing["quantity"]), (&json!("renew"), &json!("2")));
    assert_eq!(bearing["part"]["part"], "VESSICK/B1A");
    let rules: Vec<&str> = bearing["reasons"]
        .as_array()
        .unwrap()
        .iter()
        .map(|reason| reason["rule"].as_str().unwrap())
        .collect();
    assert_eq!(rules, ["always_at_overhaul", "superseded"]);
    assert!(lines.iter().all(|line| !line["reasons"].as_array().unwrap().is_empty()));
    let sourcing = &answer["sourcing"];
    assert_eq!(sourcing["kits"][0]["kit"]["part"], "VESSICK/K100");
    assert_eq!(sourcing["from_stock"][0]["part"]["part"], "VESSICK/OIL1");
    assert_eq!(sourcing["surplus"][0]["part"]["part"], "VESSICK/S2");
    // Own calculation: the kit at 55 and Pellworth's order at 5; loose at Ostrel it would be 2 x 30 + 8 + 10.
    assert_eq!((&sourcing["cash"], &sourcing["proven"]), (&json!("60.00"), &json!(true)));
    // Own calculation: 55, 2.5 x 5 and 5, each with 25 % on it, and 4 h at 60.
    assert_eq!(answer["price"]["net"], "330.63");
    assert_eq!(answer["price"]["valid_until"], "2026-07-01");
}

async fn a_vehicle_stands_for_its_units(service: Arc<Service>) {
    let both = json!({ "units": [{ "vehicle": "rig-1" }], "as_of": DAY });
    let answer = service.post("/v1/requirements", &both).await.expect(200).json();
    let codes: Vec<&Value> = answer["units"].as_array().unwrap().iter().map(|unit| &unit["code"]).collect();
    assert_eq!(codes, ["T-100", "T-200"]);
    let one = json!({ "units": [{ "vehicle": "RIG-1", "role": "drop_box" }], "as_of": DAY });
    let answer = service.post("/v1/requirements", &one).await.expect(200).json();
    assert_eq!(answer["units"][0]["code"], "T-200");
    for (unit, pointer) in [
        (json!({ "vehicle": "RIG-1", "unit": "T-100" }), "/units/0"),
        (json!({ "vehicle": "RIG-1", "role": "winch_drive" }), "/units/0"),
        (json!({ "unit": "T-100", "role": "gearbox" }), "/units/0/role"),
        (json!({}), "/units/0"),
    ] {
        let problem =
            service.post("/v1/requirements", &json!({ "units": [unit] })).await.problem(422, "bad-value");
        assert_eq!(problem["errors"][0]["pointer"], pointer, "{problem}");
    }
}

async fn a_partial_operation_needs_little(service: Arc<Service>) {
    let seal = json!({ "units": [{ "unit": "T-100", "operation": "seal-change" }], "as_of": DAY });
    let answer = service.post("/v1/requirements", &seal).await.expect(200).json();
    let lines = answer["units"][0]["lines"].as_array().unwrap();
    let renewed: Vec<&Value> =
        lines.iter().filter(|line| line["action"] == "renew").map(|line| &line["position"]).collect();
    assert_eq!(renewed, ["SEAL"]);
}

async fn findings_and_choices_are_heard(service: Arc<Service>) {
    let asked = json!({
        "units": [{ "unit": "T-100", "findings": [{ "position": "shaft", "grade": "worn" }] }],
        "as_of": DAY, "customer": "district", "stock": "none", "without_parts": ["K-100"],
    });
    let answer = service.post("/v1/requirements", &asked).await.expect(200).json();
    let lines = answer["units"][0]["lines"].as_array().unwrap();
    let shaft = lines.iter().find(|line| line["position"] == "SHAFT").unwrap();
    assert_eq!((&shaft["action"], &shaft["reasons"][0]["rule"]), (&json!("renew"), &json!("finding")));
    assert_eq!(answer["sourcing"]["kits"], json!([]));
    assert_eq!(answer["sourcing"]["from_stock"], json!([]));
    // The shaft's deposit.
    assert_eq!(answer["sourcing"]["deposits"], "50.00");
    let rules: Vec<&Value> =
        answer["price"]["lines"].as_array().unwrap().iter().map(|line| &line["rule"]).collect();
    assert!(rules.contains(&&json!("DISTRICT")), "{rules:?}");
}

async fn nothing_is_stored(service: Arc<Service>) {
    service.post("/v1/requirements", &overhaul("T-100")).await.expect(200);
    assert_eq!(service.get("/v1/quotes").await.expect(200).json()["items"], json!([]));
}

async fn a_wrong_body_is_pointed_at(service: Arc<Service>) {
    for (body, pointer, words) in [
        (json!({}), "/units", "missing field `units`"),
        (json!({ "units": [{ "unit": "T-100", "colour": 1 }] }), "/units/0/colour", "unknown field `colour`"),
        (json!({ "units": [{ "unit": 7 }] }), "/units/0/unit", "invalid type: integer `7`"),
        (json!({ "units": [], "aim": "cheap" }), "/aim", "unknown variant `cheap`"),
        (json!({ "units": [], "as_of": "2026-02-30" }), "/as_of", "out of range"),
        (
            json!({ "units": [{ "unit": "T-100", "findings": [{ "grade": "worn" }] }] }),
            "/units/0/findings/0/position",
            "missing field `position`",
        ),
    ] {
        let problem = service.post("/v1/requirements", &body).await.problem(422, "invalid-body");
        assert_eq!(problem["errors"][0]["pointer"], pointer, "{problem}");
        assert!(problem["errors"][0]["detail"].as_str().unwrap().contains(words), "{problem}");
    }
    let problem = service.post("/v1/requirements", &json!({ "units": [] })).await.problem(422, "bad-value");
    assert_eq!(problem["errors"][0]["pointer"], "/units");
    let many: Vec<Value> = (0..9).map(|_| json!({ "unit": "T-100" })).collect();
    service.post("/v1/requirements", &json!({ "units": many })).await.problem(422, "bad-value");
}

async fn an_unknown_name_is_pointed_at(service: Arc<Service>) {
    let unit = |more: Value| {
        let mut unit = json!({ "unit": "T-100" });
        unit.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        json!({ "units": [unit], "as_of": DAY })
    };
    for (body, pointer, nearest) in [
        (json!({ "units": [{ "unit": "T-101" }] }), "/units/0/unit", "T-100"),
        (json!({ "units": [{ "unit": "T-100" }, { "vehicle": "RIG-9" }] }), "/units/1/vehicle", "RIG-1"),
        (unit(json!({ "operation": "OVERHAL" })), "/units/0/operation", "OVERHAUL"),
        (unit(json!({ "variants": ["EARLI"] })), "/units/0/variants/0", "EARLY"),
        (
            unit(json!({ "findings": [{ "position": "SHAFD", "grade": "worn" }] })),
            "/units/0/findings/0/position",
            "SHAFT",
        ),
        (
            unit(json!({ "inside": [{ "position": "SEAL", "part": "VESSICK/S-9" }] })),
            "/units/0/inside/0/part",
            "VESSICK/S-1",
        ),
        (
            unit(json!({ "chosen": [{ "any_of": ["SH-101"] }] })),
            "/units/0/chosen/0/any_of/0",
            "BRANNOCH/SH-100",
        ),
    ] {
        let problem = service.post("/v1/requirements", &body).await.problem(422, "unknown-reference");
        assert_eq!(problem["errors"][0]["pointer"], pointer, "{problem}");
        let suggestions = problem["errors"][0]["suggestions"].as_array().unwrap();
        assert!(suggestions.contains(&json!(nearest)), "{problem}");
    }
    let several = unit(json!({ "inside": [{ "position": "SEAL", "part": "S-1" }] }));
    let problem =
        service.post("/v1/requirements", &several).await.problem(409, "part-number-of-several-makers");
    assert_eq!(problem["errors"][0]["suggestions"], json!(["NORRWALD/S-1", "VESSICK/S-1"]));
    let malformed = unit(json!({ "operation": "A B" }));
    service.post("/v1/requirements", &malformed).await.problem(422, "bad-value");
}

async fn a_request_that_contradicts_itself_is_refused(service: Arc<Service>) {
    let body =
        json!({ "units": [{ "unit": "T-100", "serial": "500", "built": "2015-01-01" }], "as_of": DAY });
    let problem = service.post("/v1/requirements", &body).await.problem(422, "contradiction");
    assert!(problem["errors"][0]["pointer"].as_str().unwrap().starts_with("/units/0"), "{problem}");
}

async fn malformed_json_is_named_by_line_and_column(service: Arc<Service>) {
    let send = |body: &'static str| {
        Reply::of(
            service.request("POST", "/v1/requirements").header("content-type", "application/json").body(body),
        )
    };
    let problem = send("{\n  \"units\": [,]\n}").await.problem(400, "malformed-json");
    assert!(problem["detail"].as_str().unwrap().ends_with("at line 2, column 13"), "{problem}");
    send("").await.problem(400, "malformed-json");
    send("{\"units\": []} trailing").await.problem(400, "malformed-json");
    send("\"\u{1}\"").await.problem(400, "malformed-json");
}

async fn another_content_type_is_refused(service: Arc<Service>) {
    let body = overhaul("T-100").to_string();
    let none = service.request("POST", "/v1/requirements").body(body.clone());
    let problem = Reply::of(none).await.problem(415, "unsupported-media-type");
    assert!(problem["detail"].as_str().unwrap().contains("application/json"), "{problem}");
    let form =
        service.request("POST", "/v1/requirements").header("content-type", "text/plain").body(body.clone());
    Reply::of(form).await.problem(415, "unsupported-media-type");
    let charset =
        service.request("POST", "/v1/requirements").header("content-type", "Application/JSON; charset=utf-8");
    Reply::of(charset.body(body)).await.expect(200);
}

async fn a_large_body_is_refused(service: Arc<Service>) {
    let large = format!("{{\"units\": [{}]}}", " ".repeat(1 << 20));
    let sent =
        service.request("POST", "/v1/requirements").header("content-type", "application/json").body(large);
    let problem = Reply::of(sent).await.problem(413, "body-too-large");
    assert!(problem["detail"].as_str().unwrap().contains("1048576"), "{problem}");
}

async fn a_body_in_another_shape_of_json_is_refused(service: Arc<Service>) {
    for body in [json!([]), json!(7), json!("x"), json!(null)] {
        let reply = service.post("/v1/requirements", &body).await;
        assert!(matches!(reply.status, 422), "{body}: {}", reply.text());
    }
    let deep = "[".repeat(200);
    let sent =
        service.request("POST", "/v1/requirements").header("content-type", "application/json").body(deep);
    Reply::of(sent).await.problem(422, "invalid-body");
}

async fn a_weighted_mix_of_aims_is_refused_in_favour_of_an_order(service: Arc<Service>) {
    for mix in [json!({ "least_money": 0.7, "least_days": 0.3 }), json!(["least_money", "least_days"])] {
        let mut asked = overhaul("T-100");
        asked["aim"] = mix;
        let problem = service.post("/v1/requirements", &asked).await.problem(422, "invalid-body");
        assert_eq!(problem["errors"][0]["pointer"], "/aim", "{problem}");
        let detail = problem["errors"][0]["detail"].as_str().unwrap();
        for words in
            ["not weighed against each other", "least_money, least_days, fewest_suppliers", "fixed order"]
        {
            assert!(detail.contains(words), "{detail}");
        }
    }
    let mut asked = overhaul("T-100");
    for aim in ["least_money", "least_days", "fewest_suppliers"] {
        asked["aim"] = json!(aim);
        service.post("/v1/requirements", &asked).await.expect(200);
    }
}
