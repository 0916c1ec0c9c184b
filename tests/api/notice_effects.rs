//! What a notice or a bad batch would touch.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::{DatabaseKind, Service};

tests![
    a_bad_part_is_found_in_units_kits_quotes_and_stock,
    a_notice_is_followed_before_it_is_entered,
    a_wrong_event_is_pointed_at,
    both_databases_say_the_same,
];

async fn quote_of_today(service: &Service) {
    let asked = json!({ "units": [{ "unit": "T-100" }] });
    service.post_once("/v1/quotes", "today", &asked).await.expect(201);
}

fn ways<'v>(list: &'v Value, key: &str) -> Vec<(&'v str, &'v str)> {
    let items = list.as_array().unwrap().iter();
    items.map(|item| (item[key].as_str().unwrap(), item["sentence"].as_str().unwrap())).collect()
}

async fn a_bad_part_is_found_in_units_kits_quotes_and_stock(service: Arc<Service>) {
    quote_of_today(&service).await;
    let stock =
        "bin,part,mark,quantity,carrying_value\nA-1,VESSICK/B1A,LOT-7,3,20\nA-1,VESSICK/B1A,LOT-8,1,20\n";
    let import = service.import(json!({ "files": { "stock.csv": stock } })).await;
    assert_eq!(import["state"], "done", "{import}");
    let asked = json!({ "event": "bad_part", "part": "vessick/b 1a", "mark": "LOT-7" });
    let reply = service.post("/v1/notice-effects", &asked).await.expect(200);
    assert_eq!(reply.header("cache-control"), "no-store");
    let touched = reply.json();
    assert_eq!((&touched["units"], &touched["all_known"]), (&json!(["T100"]), &json!(true)), "{touched}");
    assert_eq!(
        ways(&touched["positions"], "position"),
        [(
            "BEARING",
            "VESSICK/B1 is listed at BEARING of T100, VESSICK/B1 gave way to VESSICK/B1A by notice N-1"
        )]
    );
    assert_eq!(ways(&touched["kits"], "kit"), [("VESSICK/K100", "VESSICK/K100 holds VESSICK/B1A on line 1")]);
    let [quote] = touched["open_quotes"].as_array().unwrap().as_slice() else { panic!("{touched}") };
    assert_eq!(quote["number"], "Q-000001");
    assert!(ways(&quote["parts"], "part").contains(&("VESSICK/B1A", "VESSICK/B1A itself")), "{quote}");
    assert!(
        ways(&quote["parts"], "part").contains(&("VESSICK/K100", "VESSICK/K100 holds VESSICK/B1A on line 1")),
        "{quote}"
    );
    let [lot] = touched["stock"].as_array().unwrap().as_slice() else {
        panic!("one lot has the mark: {touched}")
    };
    assert_eq!((&lot["bin"], &lot["mark"], &lot["quantity"]), (&json!("A-1"), &json!("LOT-7"), &json!("3")));
    let all =
        service.post("/v1/notice-effects", &json!({ "event": "bad_part", "part": "VESSICK/B1A" })).await;
    assert_eq!(all.expect(200).json()["stock"].as_array().unwrap().len(), 2);
}

async fn a_notice_is_followed_before_it_is_entered(service: Arc<Service>) {
    quote_of_today(&service).await;
    // A quote that has run out is not open.
    service.stored_quote("T-100").await;
    let asked =
        json!({ "event": "notice", "old": "VESSICK/S-1", "new": "VESSICK/S-1A", "interchange": "two_way" });
    let touched = service.post("/v1/notice-effects", &asked).await.expect(200).json();
    assert_eq!(touched["all_known"], false, "{touched}");
    let positions = touched["positions"].as_array().unwrap();
    assert!(
        positions.iter().any(|place| place["position"] == "SEAL" && place["part"] == "VESSICK/S1A"),
        "{touched}"
    );
    let numbers: Vec<&Value> =
        touched["open_quotes"].as_array().unwrap().iter().map(|quote| &quote["number"]).collect();
    assert_eq!(numbers, ["Q-000001"]);
    assert_eq!(touched["circle"], json!([]));
    // The other way round it would close a circle with the notice that is there.
    let back = json!({ "event": "notice", "old": "VESSICK/B1A", "new": "VESSICK/B1" });
    let touched = service.post("/v1/notice-effects", &back).await.expect(200).json();
    assert_eq!(touched["circle"].as_array().unwrap().len(), 3, "{touched}");
    assert_eq!(
        service.get("/v1/exports/supersessions.csv").await.expect(200).text().lines().count(),
        2,
        "nothing is stored"
    );
}

async fn a_wrong_event_is_pointed_at(service: Arc<Service>) {
    for (body, status, kind, pointer) in [
        (json!({ "event": "bad_part", "part": "VESSICK/S-9" }), 422, "unknown-reference", "/part"),
        (json!({ "event": "bad_part", "part": "S-1" }), 409, "part-number-of-several-makers", "/part"),
        (
            json!({ "event": "notice", "old": "VESSICK/S-9", "new": "VESSICK/S-1" }),
            422,
            "unknown-reference",
            "/old",
        ),
        (json!({ "event": "notice", "old": "VESSICK/S-1", "new": "S-9" }), 422, "unknown-reference", "/new"),
        (json!({ "event": "notice", "old": "VESSICK/S-1", "new": "VESSICK/S1" }), 422, "bad-value", "/new"),
    ] {
        let problem = service.post("/v1/notice-effects", &body).await.problem(status, kind);
        assert_eq!(problem["errors"][0]["pointer"], pointer, "{problem}");
    }
    for body in [json!({}), json!({ "event": "recall" }), json!({ "event": "bad_part" })] {
        service.post("/v1/notice-effects", &body).await.problem(422, "invalid-body");
    }
}

async fn both_databases_say_the_same(service: Arc<Service>) {
    let other = Service::start(match service.kind {
        DatabaseKind::Sqlite => DatabaseKind::Postgres,
        DatabaseKind::Postgres => DatabaseKind::Sqlite,
    })
    .await;
    let asked = json!({ "event": "bad_part", "part": "VESSICK/B1A" });
    let mut told = Vec::new();
    for service in [&*service, &other] {
        quote_of_today(service).await;
        told.push(service.post("/v1/notice-effects", &asked).await.expect(200).text());
    }
    assert_eq!(told[0], told[1]);
    other.stop().await;
}
