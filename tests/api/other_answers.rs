//! The next best answers, and what it would cost to have it another way.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::{DAY, Service};

tests![
    other_answers_come_in_the_same_request,
    a_condition_that_cannot_be_met_says_why,
    a_stored_quote_keeps_its_other_answers,
    a_stored_quote_is_asked_for_other_answers_from_what_it_froze,
    other_answers_of_a_quote_in_little_time_are_answers_or_a_clear_refusal,
    a_wrong_condition_is_pointed_at,
];

fn asked(alternatives: Value) -> Value {
    let mut asked = json!({ "units": [{ "unit": "T-100" }], "as_of": DAY });
    asked["alternatives"] = alternatives;
    asked
}

fn conditions() -> Value {
    json!([
        { "condition": "without_part", "part": "VESSICK/K-100" },
        { "condition": "with_kit", "kit": "K-100" },
        { "condition": "without_supplier", "supplier": "pellworth" },
        { "condition": "only_supplier", "supplier": "OSTREL" },
        { "condition": "with_part", "part": "BRANNOCH/SH-100", "position": "SHAFT" },
        { "condition": "only_original" },
        { "condition": "no_unverified_joints" },
    ])
}

async fn other_answers_come_in_the_same_request(service: Arc<Service>) {
    let answer = service
        .post("/v1/requirements", &asked(json!({ "next": 2, "conditions": conditions() })))
        .await
        .expect(200)
        .json();
    let others = &answer["alternatives"];
    // The best of them is the answer itself: the kit at 55 and an order at Pellworth at 5.
    assert_eq!((&others["best"]["cash"], &answer["sourcing"]["cash"]), (&json!("60.00"), &json!("60.00")));
    // Without the kit: 2 x 30, 8 and an order at 10, all at Ostrel.
    assert_eq!(others["next"][0]["cash"], "78.00", "{others}");
    assert_eq!(others["next"][0]["cash_more"], "18.00");
    assert_eq!(others["next"][0]["differs"][0]["what"], "kit");
    let told = others["conditions"].as_array().unwrap();
    assert_eq!(told.len(), 7);
    let more: Vec<&Value> = told.iter().map(|answer| &answer["possible"]["cash_more"]).collect();
    // The shaft costs 200, its deposit 50, and an order at 10.
    assert_eq!(
        &more[..5],
        [&json!("18.00"), &json!("0.00"), &json!("18.00"), &json!("18.00"), &json!("260.00")],
        "{told:?}"
    );
    assert_eq!(
        told[2]["sentence"].as_str().unwrap(),
        "without supplier PELLWORTH: cash 18.00 more, job cost 18.00 more, -1 days more"
    );
    let plain =
        service.post("/v1/requirements", &json!({ "units": [{ "unit": "T-100" }], "as_of": DAY })).await;
    assert!(plain.expect(200).json().get("alternatives").is_none(), "nobody asked for them");
}

async fn a_condition_that_cannot_be_met_says_why(service: Arc<Service>) {
    let only = json!([{ "condition": "only_supplier", "supplier": "PELLWORTH" }, { "condition": "with_part", "part": "VESSICK/S-2" }]);
    let impossible = json!({ "next": 0, "conditions": only });
    let answer = service
        .post(
            "/v1/requirements",
            &json!({ "units": [{ "unit": "T-100", "findings": [{ "position": "SHAFT", "grade": "worn" }] }],
            "as_of": DAY, "alternatives": impossible }),
        )
        .await
        .expect(200)
        .json();
    let told = answer["alternatives"]["conditions"].as_array().unwrap();
    assert!(told.iter().all(|answer| answer["possible"].is_null()), "{told:?}");
    assert_eq!(told[0]["impossible"]["not_to_be_had"], json!(["BRANNOCH/SH100"]), "{told:?}");
    assert!(told[0]["sentence"].as_str().unwrap().contains("nobody who is left sells BRANNOCH/SH100"));
}

async fn a_stored_quote_keeps_its_other_answers(service: Arc<Service>) {
    let wanted = asked(json!({ "next": 1, "conditions": [{ "condition": "only_original" }] }));
    let quote = service.post_once("/v1/quotes", "one", &wanted).await.expect(201).json();
    assert_eq!(quote["answer"]["alternatives"]["next"][0]["cash"], "78.00");
    assert_eq!(
        quote["request"]["alternatives"],
        json!({ "next": 1, "conditions": [{ "condition": "only_original" }] })
    );
    let again = service.get("/v1/quotes/Q-000001/recomputed").await.expect(200).json();
    assert_eq!(again["same"], true);
    service.get("/v1/quotes/Q-000001/comparison").await.expect(200);
}

async fn a_stored_quote_is_asked_for_other_answers_from_what_it_froze(service: Arc<Service>) {
    service.stored_quote("T-100").await;
    let dearer = "supplier,part,quantity_from,valid_from,valid_to,currency,price,pack,minimum,lead_days,deposit\n\
                  PELLWORTH,VESSICK/K-100,1,2020-01-01,,EUR,990,1,1,3,\n";
    assert_eq!(service.import(json!({ "files": { "prices.csv": dearer } })).await["state"], "done");
    let path = "/v1/quotes/q-000001/alternatives";
    let wanted = json!({ "next": 2, "conditions": conditions() });
    let others = service.post(path, &wanted).await.expect(200);
    assert_eq!(others.header("cache-control"), "no-store");
    let told = others.json();
    assert_eq!((&told["best"]["cash"], &told["next"][0]["cash"]), (&json!("60.00"), &json!("78.00")));
    assert_eq!(service.post(path, &wanted).await.expect(200).text(), others.text());
    let usual = service.post(path, &json!({})).await.expect(200).json();
    assert_eq!(usual["conditions"], json!([]));
    service.post("/v1/quotes/Q-000009/alternatives", &json!({})).await.problem(404, "quote-not-found");
}

async fn other_answers_of_a_quote_in_little_time_are_answers_or_a_clear_refusal(service: Arc<Service>) {
    service.stored_quote("T-100").await;
    let path = "/v1/quotes/Q-000001/alternatives";
    let without_limit =
        service.post(path, &json!({ "next": 2, "conditions": conditions() })).await.expect(200);
    for milliseconds in [0, 60_000] {
        let wanted = json!({ "next": 2, "conditions": conditions(), "time_budget_ms": milliseconds });
        let reply = service.post(path, &wanted).await;
        if milliseconds > 0 {
            assert_eq!(reply.expect(200).text(), without_limit.text());
        } else if reply.status == 200 {
            let told = reply.json();
            assert!(told["best"]["proven"] == true || told["all_told"] == false, "{told}");
        } else {
            let problem = reply.problem(422, "too-many-unknowns");
            assert!(problem["detail"].as_str().unwrap().contains("limit"), "{problem}");
        }
    }
    let negative = json!({ "time_budget_ms": -1 });
    service.post(path, &negative).await.problem(422, "invalid-body");
}

async fn a_wrong_condition_is_pointed_at(service: Arc<Service>) {
    service.stored_quote("T-100").await;
    let one = |condition: Value| json!({ "conditions": [condition] });
    for (wanted, kind, place) in [
        (json!({ "next": 11 }), "bad-value", "/next"),
        (
            json!({ "conditions": vec![json!({ "condition": "only_original" }); 33] }),
            "bad-value",
            "/conditions",
        ),
        (
            one(json!({ "condition": "without_supplier", "supplier": "OSTRIL" })),
            "unknown-reference",
            "/conditions/0/supplier",
        ),
        (
            one(json!({ "condition": "without_part", "part": "VESSICK/K-101" })),
            "unknown-reference",
            "/conditions/0/part",
        ),
        (
            one(json!({ "condition": "with_kit", "kit": "VESSICK/S-1" })),
            "unknown-reference",
            "/conditions/0/kit",
        ),
        (
            one(json!({ "condition": "with_part", "part": "VESSICK/S-1", "unit": "T-200" })),
            "bad-value",
            "/conditions/0/unit",
        ),
    ] {
        let problem = service.post("/v1/requirements", &asked(wanted.clone())).await.problem(422, kind);
        assert_eq!(problem["errors"][0]["pointer"], format!("/alternatives{place}"), "{problem}");
        let problem = service.post("/v1/quotes/Q-000001/alternatives", &wanted).await.problem(422, kind);
        assert_eq!(problem["errors"][0]["pointer"], place, "{problem}");
    }
    let unknown = one(json!({ "condition": "cheaper" }));
    service.post("/v1/requirements", &asked(unknown)).await.problem(422, "invalid-body");
}
