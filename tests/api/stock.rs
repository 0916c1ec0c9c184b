//! The shelf over HTTP: balances, movements, past balances.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::Service;

tests![
    pieces_come_move_and_go,
    a_past_balance_is_made_again,
    a_booking_is_refused_with_the_figures_and_as_a_whole,
    a_wrong_posting_is_named_by_its_place,
    lists_go_on_behind_the_piece,
];

const MOVEMENTS: &str = "/v1/stock/movements";

fn lots(reply: &Value) -> Vec<(String, String, String, String)> {
    let text = |lot: &Value, field: &str| lot[field].as_str().unwrap_or("-").to_owned();
    let items = reply["items"].as_array().unwrap().iter();
    items
        .map(|lot| {
            (text(lot, "part"), text(lot, "balance"), text(lot, "available"), text(lot, "carrying_value"))
        })
        .collect()
}

fn row(part: &str, balance: &str, available: &str, value: &str) -> (String, String, String, String) {
    (part.into(), balance.into(), available.into(), value.into())
}

fn booking(postings: Value) -> Value {
    json!({ "by": "Ruth", "postings": postings })
}

async fn pieces_come_move_and_go(service: Arc<Service>) {
    let first = booking(json!([
        { "part": "VESSICK/B 1", "bin": "a-1", "kind": "receive", "quantity": "3", "carrying_value": "10",
          "batch": "L7" },
        { "part": "VESSICK/B1", "bin": "A-1", "kind": "receive", "quantity": "1", "carrying_value": "12" },
        { "part": "VESSICK/B1", "bin": "A-1", "kind": "scrap", "quantity": "1", "reason": "Dropped" },
    ]));
    let reply = service.post_once(MOVEMENTS, "first", &first).await.expect(201);
    assert_eq!(reply.header("location"), "/v1/stock/movements?after=1");
    let booked = reply.json();
    assert_eq!(booked["items"][2]["quantity"], "-1");
    assert_eq!((&booked["items"][0]["sequence"], &booked["items"][0]["by"]), (&json!(2), &json!("Ruth")));
    let again = service.post_once(MOVEMENTS, "first", &first).await.expect(201);
    assert_eq!((again.header("idempotency-replayed"), again.json()), ("true", booked));
    let stock = service.get("/v1/stock?part=VESSICK%2FB1").await.expect(200).json();
    assert_eq!(lots(&stock), [row("VESSICK/B1", "3", "3", "10.50")]);
    assert_eq!(stock["items"][0]["reserved"], "0");
    let of_batch = service.get("/v1/stock/movements?batch=L7").await.expect(200).json();
    assert_eq!(of_batch["items"].as_array().unwrap().len(), 1);
    assert_eq!(service.get("/v1/stock?bin=NONE").await.expect(200).json()["items"], json!([]));
}

async fn a_past_balance_is_made_again(service: Arc<Service>) {
    let adjust = |by: &str| {
        booking(
            json!([{ "part": "OIL-1", "bin": "A-1", "kind": "adjust", "quantity": by, "reason": "count" }]),
        )
    };
    service.post_once(MOVEMENTS, "1", &adjust("-2.5")).await.expect(201);
    service.post_once(MOVEMENTS, "2", &adjust("-7.5")).await.expect(201);
    assert_eq!(service.get("/v1/stock?part=OIL-1").await.expect(200).json()["items"], json!([]));
    let empty = service.get("/v1/stock?part=OIL-1&empty=true").await.expect(200).json();
    assert_eq!(lots(&empty), [row("VESSICK/OIL1", "0", "0", "5.00")]);
    let past = |sequence: i64| format!("/v1/stock?part=OIL-1&sequence={sequence}");
    for (sequence, balance) in [(1, "10"), (2, "7.5")] {
        let then = service.get(&past(sequence)).await.expect(200).json();
        assert_eq!(lots(&then), [row("VESSICK/OIL1", balance, "-", "5.00")]);
    }
    let movements = service.get("/v1/stock/movements?part=OIL-1&after=1&limit=1").await.expect(200);
    assert_eq!(movements.header("link"), "</v1/stock/movements?part=OIL-1&after=2&limit=1>; rel=\"next\"");
    let at = movements.json()["items"][0]["at"].as_str().unwrap().to_owned();
    let then = service.get(&format!("/v1/stock?at={at}")).await.expect(200).json();
    assert_eq!(lots(&then)[0].1, "7.5");
    service.get("/v1/stock?sequence=1&at=2026-01-01T00:00:00Z").await.problem(400, "invalid-query");
}

async fn a_booking_is_refused_with_the_figures_and_as_a_whole(service: Arc<Service>) {
    let too_much = booking(json!([
        { "part": "B1", "bin": "A-1", "kind": "receive", "quantity": "1", "carrying_value": "1" },
        { "part": "OIL-1", "bin": "A-1", "kind": "scrap", "quantity": "10.001", "reason": "spilt" },
    ]));
    let problem = service.post_once(MOVEMENTS, "1", &too_much).await.problem(409, "not-available");
    let figures = json!({ "part": "VESSICK/OIL1", "bin": "A-1", "wanted": "10.001", "balance": "10",
        "reserved": "0", "available": "10" });
    assert_eq!(problem["shortage"], figures);
    assert_eq!(service.get("/v1/stock?part=B1").await.expect(200).json()["items"], json!([]));
    let movements = service.get(MOVEMENTS).await.expect(200).json();
    assert_eq!(movements["items"].as_array().unwrap().len(), 1);
}

async fn a_wrong_posting_is_named_by_its_place(service: Arc<Service>) {
    let line = |field: &str, value: Value| {
        let mut line =
            json!({ "part": "OIL-1", "bin": "A-1", "kind": "scrap", "quantity": "1", "reason": "old" });
        line[field] = value;
        booking(json!([line]))
    };
    let cases = [
        (line("part", json!("VESSICK/NONE")), 422, "unknown-reference", "/postings/0/part"),
        (line("part", json!("S-1")), 409, "part-number-of-several-makers", "/postings/0/part"),
        (line("bin", json!("A 1")), 422, "bad-value", "/postings/0/bin"),
        (line("reason", json!(" ")), 422, "bad-value", "/postings/0/reason"),
        (line("quantity", json!("0")), 422, "bad-value", "/postings/0"),
        (line("quantity", json!("-1")), 422, "bad-value", "/postings/0"),
        (line("quantity", json!(1)), 422, "invalid-body", "/postings/0/quantity"),
        (line("to_bin", json!("A-1")), 422, "bad-value", "/postings/0/to_bin"),
        (line("carrying_value", json!("1")), 422, "bad-value", "/postings/0/carrying_value"),
        (line("kind", json!("receive")), 422, "bad-value", "/postings/0/carrying_value"),
        (line("kind", json!("transfer")), 422, "bad-value", "/postings/0/to_bin"),
        (line("kind", json!("lose")), 422, "invalid-body", "/postings/0/kind"),
        (booking(json!([])), 422, "bad-value", "/postings"),
        (json!({ "by": " ", "postings": line("part", json!("OIL-1"))["postings"] }), 422, "bad-value", "/by"),
    ];
    for (at, (body, status, kind, pointer)) in cases.into_iter().enumerate() {
        let problem = service.post_once(MOVEMENTS, &format!("k{at}"), &body).await.problem(status, kind);
        assert_eq!(problem["errors"][0]["pointer"], pointer, "{body}: {problem}");
    }
    let nowhere = line("bin", json!("Z-9"));
    let mut nowhere_in = nowhere.clone();
    nowhere_in["postings"][0]["kind"] = json!("adjust");
    service.post_once(MOVEMENTS, "in", &nowhere_in).await.problem(422, "unknown-reference");
    service.post_once(MOVEMENTS, "out", &nowhere).await.problem(409, "not-available");
    service.post(MOVEMENTS, &nowhere).await.problem(400, "idempotency-key-missing");
    let movements = service.get(MOVEMENTS).await.expect(200).json();
    assert_eq!(movements["items"].as_array().unwrap().len(), 1, "nothing was booked");
}

async fn lists_go_on_behind_the_piece(service: Arc<Service>) {
    let receive = |part: &str| {
        json!({ "part": part, "bin": "A-1", "kind": "receive", "quantity": "1",
        "carrying_value": "1" })
    };
    let three = booking(json!([receive("B1"), receive("SH-100"), receive("VESSICK/S-1")]));
    service.post_once(MOVEMENTS, "three", &three).await.expect(201);
    let mut path = "/v1/stock?limit=3".to_owned();
    let mut found = Vec::new();
    loop {
        let reply = service.get(&path).await.expect(200);
        found.extend(lots(&reply.json()).into_iter().map(|lot| lot.0));
        let link = reply.header("link").to_owned();
        let Some(next) = link.strip_prefix('<').and_then(|rest| rest.split('>').next()) else { break };
        path = next.to_owned();
    }
    assert_eq!(found, ["BRANNOCH/SH100", "VESSICK/B1", "VESSICK/OIL1", "VESSICK/S1"]);
    service.get("/v1/stock?after=nothing").await.problem(400, "invalid-query");
    service.get("/v1/stock?part=NONE").await.problem(404, "part-not-found");
    service.get("/v1/stock/movements?after=x").await.problem(400, "invalid-query");
}
