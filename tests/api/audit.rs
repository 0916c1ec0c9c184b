//! The audit: who changed what, from which value to which. What each operation leaves there is tried beside its events.

use std::sync::Arc;

use operations::role::Role;
use serde_json::{Value, json};

use crate::events::audit;
use crate::harness::{Reply, Service};
use crate::orders::{placed, step};

tests![
    a_change_tells_who_and_from_which_value_to_which,
    the_audit_is_narrowed_and_goes_on_in_pieces,
    what_failed_leaves_no_entry,
    the_audit_is_for_the_owner,
];

fn values(entry: &Value) -> Vec<(String, Option<String>, Option<String>)> {
    let text = |value: &Value| value.as_str().map(str::to_owned);
    let changes = entry["changes"].as_array().unwrap().iter();
    changes
        .map(|change| (text(&change["field"]).unwrap(), text(&change["from"]), text(&change["to"])))
        .collect()
}

fn changed(field: &str, from: &str, to: &str) -> (String, Option<String>, Option<String>) {
    (field.to_owned(), Some(from.to_owned()), Some(to.to_owned()))
}

async fn a_change_tells_who_and_from_which_value_to_which(service: Arc<Service>) {
    let noted = audit(&service, 0).await.len();
    let number = placed(&service, "PELLWORTH", &[("VESSICK/K-100", "2")]).await;
    let stores = service.key_for(Role::Stores).await;
    let cancel = service.request_with(Some(&stores), "POST", &format!("/v1/orders/{number}/steps"));
    let cancel = cancel.header("if-match", "*").header("idempotency-key", "\"cancel\"");
    Reply::of(cancel.json(&json!({ "step": "cancel", "by": "Ruth" }))).await.expect(201);
    let put = service.request("PUT", "/v1/settings/LABOUR-RATE").header("if-match", "*");
    Reply::of(put.json(&json!({ "value": "62.50" }))).await.expect(200);
    let entries = audit(&service, noted).await;
    let of_order: Vec<&Value> =
        entries.iter().filter(|entry| entry["subject"] == format!("orders/{number}")).collect();
    assert_eq!(of_order[0]["what"], "order.drafted");
    assert!(values(of_order[0]).contains(&("quantity of VESSICK/K100".into(), None, Some("2".into()))));
    assert_eq!(values(of_order[1]), [changed("state", "draft", "placed")]);
    // Another key did this, whatever name stands in the request.
    assert_eq!((&of_order[2]["key"], &of_order[2]["what"]), (&json!("K-000002"), &json!("order.cancelled")));
    assert!(of_order[2]["by"].as_str().unwrap().starts_with("stores "), "{}", of_order[2]);
    assert_eq!(of_order[2]["detail"]["by"], "Ruth");
    assert_eq!(values(of_order[2]), [changed("state", "placed", "cancelled")]);
    let setting = entries.last().unwrap();
    assert_eq!(values(setting), [changed("value of LABOUR-RATE in settings", "60", "62.50")]);
}

async fn the_audit_is_narrowed_and_goes_on_in_pieces(service: Arc<Service>) {
    let number = placed(&service, "PELLWORTH", &[("VESSICK/K-100", "2")]).await;
    service.stored_quote("T-100").await;
    let read = async |query: String| {
        let piece = service.get(&format!("/v1/audit?{query}")).await.expect(200).json();
        let words =
            piece["items"].as_array().unwrap().iter().map(|entry| entry["what"].as_str().unwrap().to_owned());
        words.collect::<Vec<_>>()
    };
    assert_eq!(read(format!("subject=orders%2F{number}")).await, ["order.drafted", "order.placed"]);
    assert_eq!(read("what=quote.stored".into()).await, ["quote.stored"]);
    assert!(read("key=K-000009".into()).await.is_empty());
    assert!(read("until=2020-01-01T00:00:00Z".into()).await.is_empty());
    assert!(read("from=2999-01-01T00:00:00Z".into()).await.is_empty());
    let first = service.get(&format!("/v1/audit?subject=orders%2F{number}&limit=1")).await.expect(200);
    let sequence = first.json()["items"][0]["sequence"].as_i64().unwrap();
    let next = format!("</v1/audit?subject=orders%2F{number}&after={sequence}&limit=1>; rel=\"next\"");
    assert_eq!(first.header("link"), next);
    assert_eq!(read(format!("subject=orders%2F{number}&after={sequence}")).await, ["order.placed"]);
    for wrong in ["after=x", "limit=0", "from=yesterday", "who=me"] {
        service.get(&format!("/v1/audit?{wrong}")).await.problem(400, "invalid-query");
    }
}

async fn what_failed_leaves_no_entry(service: Arc<Service>) {
    let number = placed(&service, "PELLWORTH", &[("VESSICK/K-100", "2")]).await;
    let noted = audit(&service, 0).await.len();
    step(&service, &number, json!({ "step": "place", "by": "M. Brandl" })).await.problem(409, "wrong-state");
    let late = json!({ "units": [{ "unit": "T-300" }], "as_of": "2026-11-24" });
    service.post_once("/v1/quotes", "key-1", &late).await.problem(422, "unknown-reference");
    assert!(audit(&service, noted).await.is_empty());
}

async fn the_audit_is_for_the_owner(service: Arc<Service>) {
    let keeper = service.key_for(Role::DataKeeper).await;
    let refused = Reply::of(service.request_with(Some(&keeper), "GET", "/v1/audit")).await;
    refused.problem(403, "role-not-allowed");
    for method in ["POST", "PUT", "DELETE", "PATCH"] {
        let refused = Reply::of(service.request(method, "/v1/audit")).await;
        assert_eq!(refused.status, 405, "{method}");
    }
}
