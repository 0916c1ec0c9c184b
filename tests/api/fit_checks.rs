//! Fit checks: what else must change if something is fitted.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::{DAY, Service};

tests![
    what_fits_as_it_is_is_said_and_priced,
    alternatives_stand_in_the_order_asked,
    a_wrong_check_is_pointed_at,
    a_unit_must_be_named_where_there_are_several,
    the_same_check_gives_the_same_bytes,
    a_check_of_few_steps_or_little_time_ends_in_an_answer_or_a_clear_refusal,
];

fn check(alternatives: &Value) -> Value {
    json!({ "units": [{ "unit": "t 100" }], "as_of": DAY, "alternatives": alternatives })
}

async fn what_fits_as_it_is_is_said_and_priced(service: Arc<Service>) {
    let asked = check(&json!([{ "parts": [{ "part": "Vessick/S-1" }] }]));
    let reply = service.post("/v1/fit-checks", &asked).await.expect(200);
    assert_eq!(
        (reply.header("cache-control"), reply.header("content-type")),
        ("no-store", "application/json")
    );
    let found = reply.json();
    assert_eq!((&found["as_of"], &found["units"][0]["code"]), (&json!(DAY), &json!("T-100")));
    let case = &found["alternatives"][0]["cases"][0];
    assert_eq!(case["verdict"], "fits_as_it_is", "{case}");
    // Own calculation: 7 at Pellworth and its order at 5; 8 and 10 at Ostrel.
    assert_eq!(case["ways"][0]["cost"]["cash"], "12.00", "{case}");
    assert_eq!(case["ways"][0]["changes"], json!([]));
}

async fn alternatives_stand_in_the_order_asked(service: Arc<Service>) {
    let asked = check(&json!([
        { "parts": [{ "part": "BRANNOCH/SH-100", "position": "SHAFT" }] },
        { "parts": [{ "part": "VESSICK/S-1" }, { "part": "BRANNOCH/SH-100", "unit": "T-100" }] },
    ]));
    let found = service.post("/v1/fit-checks", &asked).await.expect(200).json();
    let rows = found["side_by_side"].as_array().unwrap();
    assert_eq!(rows.len(), 2);
    assert_eq!((&rows[0]["alternative"], &rows[1]["alternative"]), (&json!(0), &json!(1)));
    // The shaft with its deposit, and one order at Ostrel; then the seal from there too.
    assert_eq!((&rows[0]["cash"], &rows[1]["cash"]), (&json!("260.00"), &json!("268.00")), "{rows:?}");
    assert_eq!(rows[1]["cash_more"], "8.00");
    assert_eq!(found["alternatives"][1]["wanted"].as_array().unwrap().len(), 2);
}

async fn a_wrong_check_is_pointed_at(service: Arc<Service>) {
    let one = json!([{ "parts": [{ "part": "VESSICK/S-1" }] }]);
    for (body, status, kind, pointer) in [
        (check(&json!([])), 422, "bad-value", "/alternatives"),
        (check(&json!([{ "parts": [] }])), 422, "bad-value", "/alternatives/0/parts"),
        (check(&json!([{ "parts": [{}] }])), 422, "invalid-body", "/alternatives/0/parts/0/part"),
        (
            check(&json!([{ "parts": [{ "part": "VESSICK/S-9" }] }])),
            422,
            "unknown-reference",
            "/alternatives/0/parts/0/part",
        ),
        (
            check(&json!([{ "parts": [{ "part": "S-1" }] }])),
            409,
            "part-number-of-several-makers",
            "/alternatives/0/parts/0/part",
        ),
        (
            check(&json!([{ "parts": [{ "part": "VESSICK/S-1", "unit": "T-200" }] }])),
            422,
            "bad-value",
            "/alternatives/0/parts/0/unit",
        ),
        (json!({ "units": [], "alternatives": one }), 422, "bad-value", "/units"),
        (
            json!({ "units": [{ "unit": "T-100" }], "alternatives": one, "ways": 0 }),
            422,
            "bad-value",
            "/ways",
        ),
        (
            json!({ "units": [{ "unit": "T-100" }], "alternatives": one, "aim": "x" }),
            422,
            "invalid-body",
            "/aim",
        ),
        (
            json!({ "units": [{ "unit": "T-101" }], "alternatives": one }),
            422,
            "unknown-reference",
            "/units/0/unit",
        ),
        (check(&Value::Array(vec![one[0].clone(); 17])), 422, "bad-value", "/alternatives"),
    ] {
        let problem = service.post("/v1/fit-checks", &body).await.problem(status, kind);
        assert_eq!(problem["errors"][0]["pointer"], pointer, "{problem}");
    }
    // A part that has no place in the unit points at its alternative.
    let stranger = check(
        &json!([{ "parts": [{ "part": "VESSICK/S-1" }] }, { "parts": [{ "part": "BRANNOCH/SH-200" }] }]),
    );
    let problem = service.post("/v1/fit-checks", &stranger).await;
    assert_eq!(problem.status, 422, "{}", problem.text());
    let pointer = problem.json()["errors"][0]["pointer"].as_str().unwrap().to_owned();
    assert!(pointer.starts_with("/alternatives/1"), "{pointer}");
}

async fn a_unit_must_be_named_where_there_are_several(service: Arc<Service>) {
    let both = |wanted: Value| json!({ "units": [{ "vehicle": "RIG-1" }], "as_of": DAY, "alternatives": [{ "parts": [wanted] }] });
    let unnamed = both(json!({ "part": "VESSICK/S-2" }));
    let problem = service.post("/v1/fit-checks", &unnamed).await.problem(422, "bad-value");
    assert_eq!(problem["errors"][0]["pointer"], "/alternatives/0/parts/0/unit");
    assert_eq!(problem["errors"][0]["suggestions"], json!(["T100", "T200"]));
    let named = both(json!({ "part": "VESSICK/S-2", "unit": "t-200" }));
    let found = service.post("/v1/fit-checks", &named).await.expect(200).json();
    assert_eq!(found["alternatives"][0]["cases"][0]["verdict"], "fits_as_it_is");
}

async fn the_same_check_gives_the_same_bytes(service: Arc<Service>) {
    let asked = check(
        &json!([{ "parts": [{ "part": "VESSICK/S-1" }] }, { "parts": [{ "part": "BRANNOCH/SH-100" }] }]),
    );
    let first = service.post("/v1/fit-checks", &asked).await.expect(200).text();
    for _ in 0..10 {
        assert_eq!(service.post("/v1/fit-checks", &asked).await.expect(200).text(), first);
    }
}

async fn a_check_of_few_steps_or_little_time_ends_in_an_answer_or_a_clear_refusal(service: Arc<Service>) {
    let asked = check(&json!([{ "parts": [{ "part": "VESSICK/S-1" }] }]));
    for (limit, value) in
        [("search_steps", 0), ("search_steps", 1000), ("time_budget_ms", 0), ("time_budget_ms", 60_000)]
    {
        let mut asked = asked.clone();
        asked[limit] = json!(value);
        let reply = service.post("/v1/fit-checks", &asked).await;
        if reply.status == 200 {
            let cost = &reply.json()["alternatives"][0]["cases"][0]["ways"][0]["cost"];
            assert!(cost["proven"] == true || cost["bound"].is_string(), "{limit} {value}: {cost}");
        } else {
            assert_eq!(value, 0, "{limit}: {}", reply.text());
            let problem = reply.problem(422, "too-many-unknowns");
            assert!(problem["detail"].as_str().unwrap().contains("limit"), "{problem}");
        }
    }
}
