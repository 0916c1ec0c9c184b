//! Orders: drafted from a quote's shortages or by name, changed step by step, never drafted twice.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::{Reply, Service};
use crate::jobs::Job;

tests![
    a_quotes_shortages_become_one_draft_for_each_supplier,
    a_line_freezes_what_the_kit_holds_on_that_day,
    a_quote_is_ordered_for_once,
    many_at_once_order_for_a_quote_once,
    one_key_drafts_once_however_often_and_at_once_it_is_sent,
    named_parts_come_from_whoever_is_cheapest,
    what_cannot_be_ordered_is_told_with_its_place,
    an_order_goes_through_its_steps,
    a_step_needs_the_state_it_was_decided_on,
    a_step_out_of_turn_is_refused,
    a_substitute_is_offered_and_taken,
    orders_are_listed_and_narrowed,
    an_unknown_order_is_a_problem,
];

async fn drafted(service: &Service, key: &str) -> Vec<Value> {
    service.stored_quote("T-100").await;
    let asked = json!({ "quote": "q-000001", "by": "M. Brandl" });
    let reply = service.post_once("/v1/orders", key, &asked).await.expect(201).json();
    reply["items"].as_array().unwrap().clone()
}

/// Takes a step of an order, whatever its state.
pub(crate) async fn step(service: &Service, number: &str, body: Value) -> Reply {
    let key = format!("\"{}\"", uuid::Uuid::now_v7());
    let request = service.request("POST", &format!("/v1/orders/{number}/steps"));
    Reply::of(request.header("idempotency-key", key).header("if-match", "*").json(&body)).await
}

/// Drafts an order for named parts and places it; its number.
pub(crate) async fn placed(service: &Service, supplier: &str, lines: &[(&str, &str)]) -> String {
    let lines: Vec<Value> =
        lines.iter().map(|(part, quantity)| json!({ "part": part, "quantity": quantity })).collect();
    let asked = json!({ "lines": lines, "supplier": supplier, "by": "M. Brandl" });
    let key = uuid::Uuid::now_v7().to_string();
    let reply = service.post_once("/v1/orders", &key, &asked).await.expect(201).json();
    let number = reply["items"][0]["number"].as_str().unwrap().to_owned();
    step(service, &number, json!({ "step": "place", "by": "M. Brandl" })).await.expect(201);
    number
}

async fn a_quotes_shortages_become_one_draft_for_each_supplier(service: Arc<Service>) {
    let quote = service.stored_quote("T-100").await;
    let sourcing = &quote["answer"]["sourcing"];
    let asked = json!({ "quote": "Q-000001", "by": "M. Brandl", "note": "Gate B, please." });
    let reply = service.post_once("/v1/orders", "one", &asked).await.expect(201);
    assert_eq!(reply.header("location"), "/v1/orders/PO-000001");
    let orders = reply.json()["items"].as_array().unwrap().clone();
    let suppliers: Vec<&str> = orders.iter().map(|order| order["supplier"].as_str().unwrap()).collect();
    let planned: Vec<&str> = sourcing["orders"]
        .as_array()
        .unwrap()
        .iter()
        .map(|order| order["supplier"].as_str().unwrap())
        .collect();
    assert_eq!(suppliers, planned, "{sourcing}");
    let bought = ["kits", "loose"].map(|list| sourcing[list].as_array().unwrap().len()).iter().sum::<usize>();
    let lines: Vec<&Value> = orders.iter().flat_map(|order| order["lines"].as_array().unwrap()).collect();
    assert!(bought > 0 && lines.len() == bought, "{lines:?}");
    for order in &orders {
        assert_eq!((&order["state"], &order["note"]), (&json!("draft"), &json!("Gate B, please.")));
        assert_eq!(order["steps"][0]["by"], "M. Brandl");
    }
    assert!(lines.iter().all(|line| line["quote"] == "Q-000001"));
    let shown = service.get("/v1/orders/po-000001").await.expect(200).json();
    assert_eq!(shown, orders[0]);
}

async fn a_line_freezes_what_the_kit_holds_on_that_day(service: Arc<Service>) {
    let number = placed(&service, "PELLWORTH", &[("VESSICK/K-100", "2")]).await;
    let held = |order: &Value| {
        let contents = order["lines"][0]["contents"].as_array().unwrap().clone();
        contents
            .iter()
            .map(|c| format!("{} {}", c["quantity"].as_str().unwrap(), c["part"].as_str().unwrap()))
            .collect::<Vec<_>>()
    };
    let order = service.get(&format!("/v1/orders/{number}")).await.expect(200).json();
    let frozen = ["2 VESSICK/B1A", "1 VESSICK/S1", "1 VESSICK/S2"];
    assert_eq!(held(&order), frozen);
    assert_eq!((&order["structure_revision"], &order["totals"][0]["goods"]), (&json!(1), &json!("110.00")));
    let kit = "kit,line,part,quantity\nVESSICK/K-100,1,VESSICK/B1A,2\n";
    let import = service.import(json!({ "files": { "kit_lines.csv": kit }, "replace": ["kit_lines"] })).await;
    assert_eq!(import["state"], "done", "{import}");
    let order = service.get(&format!("/v1/orders/{number}")).await.expect(200).json();
    assert_eq!(held(&order), frozen, "what was ordered stays as it was");
    let later = placed(&service, "PELLWORTH", &[("VESSICK/K-100", "1")]).await;
    let later = service.get(&format!("/v1/orders/{later}")).await.expect(200).json();
    assert_eq!((held(&later), &later["structure_revision"]), (vec![frozen[0].to_owned()], &json!(2)));
}

async fn a_quote_is_ordered_for_once(service: Arc<Service>) {
    let orders = drafted(&service, "one").await;
    let asked = json!({ "quote": "Q-000001", "by": "M. Brandl" });
    let problem = service.post_once("/v1/orders", "two", &asked).await.problem(409, "already-ordered");
    assert!(problem["detail"].as_str().unwrap().contains("PO-000001"), "{problem}");
    let again = json!({ "quote": "Q-000001", "by": "M. Brandl", "again": true });
    service.post_once("/v1/orders", "three", &again).await.expect(201);
    let all = service.get("/v1/orders?quote=Q-000001").await.expect(200).json();
    for order in all["items"].as_array().unwrap() {
        let number = order["number"].as_str().unwrap();
        step(&service, number, json!({ "step": "cancel", "by": "M. Brandl" })).await.expect(201);
    }
    let after = service.post_once("/v1/orders", "four", &asked).await.expect(201).json();
    assert_eq!(after["items"].as_array().unwrap().len(), orders.len());
}

async fn many_at_once_order_for_a_quote_once(service: Arc<Service>) {
    service.stored_quote("T-100").await;
    let tasks: Vec<_> = (0..8)
        .map(|at| {
            let service = service.clone();
            tokio::spawn(async move {
                let asked = json!({ "quote": "Q-000001", "by": "M. Brandl" });
                service.post_once("/v1/orders", &format!("key-{at}"), &asked).await.status
            })
        })
        .collect();
    let mut statuses = Vec::new();
    for task in tasks {
        statuses.push(task.await.unwrap());
    }
    statuses.sort_unstable();
    assert_eq!(statuses, [201, 409, 409, 409, 409, 409, 409, 409]);
    // Those that were refused left no gap in the numbers.
    let named = json!({ "lines": [{ "part": "VESSICK/S-2", "quantity": "1" }], "by": "M. Brandl" });
    let before = service.get("/v1/orders").await.expect(200).json()["items"].as_array().unwrap().len();
    let next = service.post_once("/v1/orders", "next", &named).await.expect(201).json();
    assert_eq!(next["items"][0]["number"], format!("PO-{:06}", before + 1));
}

async fn one_key_drafts_once_however_often_and_at_once_it_is_sent(service: Arc<Service>) {
    let asked = json!({ "lines": [{ "part": "VESSICK/S-2", "quantity": "1" }], "by": "M. Brandl" });
    let tasks: Vec<_> = (0..6)
        .map(|_| {
            let (service, asked) = (service.clone(), asked.clone());
            tokio::spawn(async move { service.post_once("/v1/orders", "the-key", &asked).await })
        })
        .collect();
    let mut bodies = Vec::new();
    for task in tasks {
        let reply = task.await.unwrap();
        match reply.status {
            201 => bodies.push(reply.text()),
            _ => drop(reply.problem(409, "idempotency-key-running")),
        }
    }
    let replay = service.post_once("/v1/orders", "the-key", &asked).await.expect(201);
    assert_eq!(replay.header("idempotency-replayed"), "true");
    assert!(!bodies.is_empty() && bodies.iter().all(|body| *body == replay.text()));
    assert_eq!(service.get("/v1/orders").await.expect(200).json()["items"].as_array().unwrap().len(), 1);
}

async fn named_parts_come_from_whoever_is_cheapest(service: Arc<Service>) {
    Job::open(&service, json!({ "unit": "T-100" })).await;
    let lines = json!([
        { "part": "vessick/s 1", "quantity": "3", "job": "j-000001" },
        { "part": "VESSICK/B1A", "quantity": "1" },
    ]);
    let asked = json!({ "lines": lines, "by": "M. Brandl" });
    let reply = service.post_once("/v1/orders", "one", &asked).await.expect(201).json();
    let told: Vec<String> = reply["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|order| {
            let line = &order["lines"][0];
            format!("{} {} {} {}", order["supplier"], line["part"], line["quantity"], line["price"])
                .replace('"', "")
        })
        .collect();
    assert_eq!(told, ["OSTREL VESSICK/B1A 1 30.00", "PELLWORTH VESSICK/S1 3 7.00"]);
    assert_eq!(reply["items"][1]["lines"][0]["job"], "J-000001");
}

async fn what_cannot_be_ordered_is_told_with_its_place(service: Arc<Service>) {
    let line = |part: &str, quantity: &str| json!({ "part": part, "quantity": quantity });
    for (asked, kind, pointer) in [
        (json!({ "by": "M" }), "bad-value", "/quote"),
        (json!({ "quote": "Q-9", "by": "M" }), "bad-value", "/quote"),
        (json!({ "quote": "Q-9", "lines": [line("VESSICK/S-2", "1")], "by": "M" }), "bad-value", "/lines"),
        (json!({ "lines": [line("VESSICK/S-2", "0")], "by": "M" }), "bad-value", "/lines/0/quantity"),
        (json!({ "lines": [line("VESSICK/S-2", "1.2345")], "by": "M" }), "invalid-body", "/lines/0/quantity"),
        (json!({ "lines": [line("VESSICK/S-9", "1")], "by": "M" }), "unknown-reference", "/lines/0/part"),
        (json!({ "lines": [line("BRANNOCH/SH-200", "1")], "by": "M" }), "bad-value", "/lines/0/part"),
        (
            json!({ "lines": [line("VESSICK/S-2", "1")], "supplier": "NOBODY", "by": "M" }),
            "bad-value",
            "/supplier",
        ),
        (json!({ "lines": [line("VESSICK/S-2", "1")], "by": " " }), "bad-value", "/by"),
        (json!({ "lines": [line("VESSICK/S-2", "1")], "colour": 1, "by": "M" }), "invalid-body", "/colour"),
    ] {
        let problem = service.post_once("/v1/orders", "key", &asked).await.problem(422, kind);
        assert_eq!(problem["errors"][0]["pointer"], pointer, "{problem}");
    }
    let several = json!({ "lines": [line("S-1", "1")], "by": "M" });
    service.post_once("/v1/orders", "key", &several).await.problem(409, "part-number-of-several-makers");
    service.post("/v1/orders", &several).await.problem(400, "idempotency-key-missing");
    assert_eq!(
        service.get("/v1/orders").await.expect(200).json()["items"],
        json!([]),
        "nothing is half drafted"
    );
}

async fn an_order_goes_through_its_steps(service: Arc<Service>) {
    let number = placed(&service, "OSTREL", &[("VESSICK/S-2", "4"), ("VESSICK/B1A", "2")]).await;
    let lines = json!([{ "line": 1, "quantity": "3", "on": "2026-12-24" }]);
    let body = json!({ "step": "acknowledge", "by": "A. Kern", "note": "one is out", "lines": lines });
    let order = step(&service, &number, body).await.expect(201).json();
    assert_eq!(order["state"], "acknowledged");
    assert_eq!(order["lines"][0]["acknowledged_quantity"], "3");
    assert_eq!(order["lines"][0]["expected_on"], "2026-12-24");
    assert_eq!(order["lines"][1]["acknowledged_quantity"], Value::Null);
    let told: Vec<String> = order["steps"]
        .as_array()
        .unwrap()
        .iter()
        .map(|step| format!("{} {} {}", step["what"], step["by"], step["detail"]).replace('"', ""))
        .collect();
    assert_eq!(
        told,
        [
            "draft M. Brandl ",
            "place M. Brandl ",
            "acknowledge A. Kern one is out; line 1: 3 of 4 VESSICK/S2 for 2026-12-24",
        ]
    );
    let order =
        step(&service, &number, json!({ "step": "cancel", "by": "A. Kern" })).await.expect(201).json();
    assert_eq!(order["state"], "cancelled");
}

async fn a_step_needs_the_state_it_was_decided_on(service: Arc<Service>) {
    let number = placed(&service, "OSTREL", &[("VESSICK/S-2", "1")]).await;
    let path = format!("/v1/orders/{number}");
    let read = service.get(&path).await.expect(200);
    let steps = format!("{path}/steps");
    let body = json!({ "step": "acknowledge", "by": "A. Kern" });
    service.post_once(&steps, "none", &body).await.problem(428, "precondition-required");
    let with = |key: &str, tag: &str| {
        let request = service.request("POST", &steps).header("idempotency-key", format!("\"{key}\""));
        Reply::of(request.header("if-match", tag.to_owned()).json(&body))
    };
    with("old", "\"another\"").await.problem(412, "precondition-failed");
    let done = with("right", read.header("etag")).await.expect(201);
    assert_eq!(done.header("etag"), service.get(&path).await.expect(200).header("etag"));
    with("late", read.header("etag")).await.problem(412, "precondition-failed");
    // The same request again gets the same answer, though the order has moved on.
    assert_eq!(with("right", read.header("etag")).await.expect(201).body, done.body);
    // It names no state and is refused for it, although its key was answered before.
    service.post_once(&steps, "right", &body).await.problem(428, "precondition-required");
    let steps: Value = service.get(&path).await.expect(200).json()["steps"].clone();
    assert_eq!(steps.as_array().unwrap().len(), 3);
}

async fn a_step_out_of_turn_is_refused(service: Arc<Service>) {
    let number = placed(&service, "OSTREL", &[("VESSICK/S-2", "1")]).await;
    for (action, states) in
        [("place", "draft"), ("close", "part_received or received"), ("take_substitute", "acknowledged")]
    {
        let problem =
            step(&service, &number, json!({ "step": action, "by": "M" })).await.problem(409, "wrong-state");
        assert!(problem["detail"].as_str().unwrap().ends_with(&format!("when it is {states}")), "{problem}");
    }
    let strange = json!({ "step": "acknowledge", "by": "M", "lines": [{ "line": 7 }] });
    let problem = step(&service, &number, strange).await.problem(422, "bad-value");
    assert_eq!(problem["errors"][0]["pointer"], "/lines/0/line");
    let more = json!({ "step": "acknowledge", "by": "M", "lines": [{ "line": 1, "quantity": "2" }] });
    step(&service, &number, more).await.problem(422, "bad-value");
    let whole = json!({ "step": "cancel", "by": "M", "lines": [{ "line": 1 }] });
    step(&service, &number, whole).await.problem(422, "bad-value");
}

async fn a_substitute_is_offered_and_taken(service: Arc<Service>) {
    let number = placed(&service, "PELLWORTH", &[("VESSICK/K-100", "1")]).await;
    let offer = json!([{ "line": 1, "substitute": "VESSICK/S-1" }]);
    let order = step(&service, &number, json!({ "step": "acknowledge", "by": "M", "lines": offer }))
        .await
        .expect(201)
        .json();
    assert_eq!(
        (&order["lines"][0]["substitute"], &order["lines"][0]["part"]),
        (&json!("VESSICK/S1"), &json!("VESSICK/K100"))
    );
    let take = json!({ "step": "take_substitute", "by": "M", "lines": [{ "line": 1 }] });
    let order = step(&service, &number, take.clone()).await.expect(201).json();
    let line = &order["lines"][0];
    assert_eq!((&line["part"], &line["substitute"]), (&json!("VESSICK/S1"), &Value::Null));
    assert_eq!(line["contents"].as_array().unwrap().len(), 1);
    assert_eq!(order["steps"][3]["detail"], "line 1: VESSICK/S1 instead of VESSICK/K100");
    step(&service, &number, take).await.problem(422, "bad-value");
}

async fn orders_are_listed_and_narrowed(service: Arc<Service>) {
    for _ in 0..2 {
        placed(&service, "OSTREL", &[("VESSICK/S-2", "1")]).await;
    }
    placed(&service, "PELLWORTH", &[("VESSICK/S-1", "1")]).await;
    let first = service.get("/v1/orders?supplier=ostrel&state=placed&limit=1").await.expect(200);
    assert_eq!(
        first.header("link"),
        "</v1/orders?supplier=ostrel&state=placed&after=PO-000001&limit=1>; rel=\"next\""
    );
    let numbers = |reply: Value| {
        let items = reply["items"].as_array().unwrap().clone();
        items.iter().map(|order| order["number"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    let second =
        service.get("/v1/orders?after=PO-000001&limit=1&supplier=ostrel&state=placed").await.expect(200);
    assert_eq!((second.header("link"), numbers(second.json())), ("", vec!["PO-000002".to_owned()]));
    assert_eq!(numbers(service.get("/v1/orders?supplier=PELLWORTH").await.expect(200).json()), ["PO-000003"]);
    assert_eq!(service.get("/v1/orders?state=draft").await.expect(200).json()["items"], json!([]));
    service.get("/v1/orders?state=lost").await.problem(400, "invalid-query");
    service.get("/v1/orders?limit=0").await.problem(400, "invalid-query");
}

async fn an_unknown_order_is_a_problem(service: Arc<Service>) {
    service.get("/v1/orders/PO-9").await.problem(404, "order-not-found");
    step(&service, "PO-9", json!({ "step": "place", "by": "M" })).await.problem(404, "order-not-found");
}
