//! Events: the feed in order, and what leaves which event.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use std::time::Duration;

use serde_json::{Value, json};

use crate::exchange::{Exchange, places};
use crate::harness::{Reply, Service};
use crate::orders::{placed, step};
use crate::steady::Steady;

tests![
    the_feed_goes_on_behind_its_cursor,
    the_feed_is_narrowed_by_subject_and_type,
    the_feed_is_sent_as_a_batch_of_cloud_events,
    a_reader_waits_for_what_comes,
    a_wrong_question_is_told_what_would_be_right,
    every_changing_operation_leaves_its_event,
    every_event_fits_the_schema_of_its_type,
    a_setting_tells_both_values,
];

/// The events of each operation that changes something. An operation that is not here fails the test.
const EVENTS: &[(&str, &[&str])] = &[
    ("create_quote", &["quote.stored"]),
    ("create_job", &["job.opened"]),
    ("create_job_step", &["quote.stored", "job.changed"]),
    ("create_job_findings", &["job.changed"]),
    ("create_job_issue", &["job.changed", "stock.moved"]),
    ("create_job_return", &["job.changed", "stock.moved"]),
    ("create_job_shims", &["job.changed"]),
    ("create_job_inspection", &["job.changed"]),
    ("create_movements", &["stock.moved"]),
    ("create_reservations", &["reservation.made"]),
    ("release_reservation", &["reservation.released"]),
    ("create_orders", &["order.drafted"]),
    ("create_reorders", &["order.drafted"]),
    ("create_order_round", &["order.drafted"]),
    ("create_shelf_count", &["stock.moved"]),
    ("create_order_step", &["order.placed"]),
    ("create_receipt", &["receipt.booked", "stock.moved", "claim.opened", "order.received"]),
    ("create_receipt_reversal", &["receipt.reversed", "stock.moved", "claim.changed", "order.changed"]),
    ("create_received_paper", &["received-paper.taken", "order.acknowledged"]),
    ("create_claim_step", &["claim.changed"]),
    ("create_import", &["import.opened", "import.done"]),
    ("replace_measurement", &["catalogue.changed"]),
    ("create_webhook", &["webhook.created"]),
    ("replace_webhook", &["webhook.changed"]),
    ("create_webhook_secret", &["webhook.changed"]),
    ("create_webhook_replay", &["webhook.changed"]),
    ("delete_webhook", &["webhook.deleted"]),
    // A test goes to one target and stands in no feed.
    ("create_webhook_test", &[]),
    ("replace_setting", &["setting.changed", "catalogue.changed"]),
    // Who carries a key is told to nobody but the owner, who reads it in the audit.
    ("create_key", &[]),
    ("create_key_revocation", &[]),
];

/// What the audit says of operations of which it does not say the same as the events.
const OTHERWISE_NOTED: &[(&str, &[&str])] = &[
    // An edited row goes in as a bundle of its own, and a bundle is one entry.
    ("replace_measurement", &["import"]),
    ("replace_setting", &["import"]),
    ("create_key", &["key.made"]),
    ("create_key_revocation", &["key.revoked"]),
];

/// First words of operations that answer and change nothing, whatever their method.
const ANSWERS: &[&str] = &["get", "list", "resolve", "calculate", "draw", "compare", "recompute", "export"];

/// The feed behind a cursor, all of it.
pub(crate) async fn feed(service: &Service, after: &str) -> Vec<Value> {
    let piece = service.get(&format!("/v1/events?limit=500&after={after}")).await.expect(200).json();
    assert_eq!(piece["more"], false);
    piece["items"].as_array().unwrap().clone()
}

/// The entries of the audit behind a number, all of them.
pub(crate) async fn audit(service: &Service, after: usize) -> Vec<Value> {
    let piece = service.get(&format!("/v1/audit?limit=500&after={after}")).await.expect(200).json();
    piece["items"].as_array().unwrap().clone()
}

/// Whether an event speaks of a paper that is there: the catalogue is many sheets, and a deleted webhook is gone.
fn leads_somewhere(event: &Value) -> bool {
    event["subject"] != "catalogue" && !event["type"].as_str().unwrap().ends_with("webhook.deleted")
}

/// Whether an entry tells who did what, and from which value to which.
fn is_whole(entry: &Value) -> bool {
    let changes = entry["changes"].as_array().unwrap();
    entry["key"] == "K-000001"
        && entry["by"] == "first owner"
        && entry["hash"].as_str().unwrap().len() == 64
        && !entry["subject"].as_str().unwrap().is_empty()
        && !changes.is_empty()
        && changes.iter().all(|change| change["from"] != change["to"])
}

/// The cursor behind all events.
pub(crate) async fn latest(service: &Service) -> String {
    let piece = service.get("/v1/events?after=latest").await.expect(200).json();
    assert_eq!(piece["items"], json!([]));
    piece["after"].as_str().unwrap().to_owned()
}

/// The types of events without their prefix.
fn words(events: &[Value]) -> Vec<String> {
    let word = |event: &Value| {
        event["type"].as_str().unwrap().strip_prefix("internal.crownwheel.").unwrap().to_owned()
    };
    events.iter().map(word).collect()
}

async fn the_feed_goes_on_behind_its_cursor(service: Arc<Service>) {
    let start = latest(&service).await;
    let number = placed(&service, "PELLWORTH", &[("VESSICK/K-100", "2")]).await;
    step(&service, &number, json!({ "step": "cancel", "by": "M. Brandl" })).await.expect(201);
    let first = service.get(&format!("/v1/events?after={start}&limit=2")).await.expect(200);
    let piece = first.json();
    assert_eq!(words(piece["items"].as_array().unwrap()), ["order.drafted", "order.placed"]);
    assert_eq!(piece["more"], true);
    let cursor = piece["after"].as_str().unwrap();
    assert_eq!(piece["items"][1]["sequence"], cursor);
    assert_eq!(first.header("link"), format!("</v1/events?after={cursor}&limit=2>; rel=\"next\""));
    let second = service.get(&format!("/v1/events?after={cursor}&limit=2")).await.expect(200);
    let event = &second.json()["items"][0];
    assert_eq!(second.header("link"), "", "nothing more is there");
    assert_eq!(event["specversion"], "1.0");
    assert_eq!(event["type"], "internal.crownwheel.order.cancelled");
    assert_eq!(event["subject"], format!("orders/{number}"));
    assert_eq!(event["datacontenttype"], "application/json");
    let data =
        json!({ "order": number, "step": "cancel", "state": "cancelled", "by": "M. Brandl", "detail": "" });
    assert_eq!(event["data"], data);
    service.get(&format!("/v1/{}", event["subject"].as_str().unwrap())).await.expect(200);
    let end = service.get(&format!("/v1/events?after={}", event["sequence"].as_str().unwrap())).await;
    let end = end.expect(200).json();
    assert_eq!((&end["items"], &end["after"]), (&json!([]), &event["sequence"]));
}

async fn the_feed_is_narrowed_by_subject_and_type(service: Arc<Service>) {
    let start = latest(&service).await;
    service.stored_quote("T-100").await;
    let one = placed(&service, "PELLWORTH", &[("VESSICK/K-100", "2")]).await;
    let two = placed(&service, "PELLWORTH", &[("VESSICK/K-100", "3")]).await;
    let read = async |query: String| {
        let piece = service.get(&format!("/v1/events?after={start}&{query}")).await.expect(200).json();
        words(piece["items"].as_array().unwrap())
    };
    assert_eq!(read(format!("subject=orders%2F{one}")).await, ["order.drafted", "order.placed"]);
    assert_eq!(read("type=order.placed".to_owned()).await, ["order.placed", "order.placed"]);
    let full = "type=internal.crownwheel.order.placed,quote.*".to_owned();
    assert_eq!(read(full).await, ["quote.stored", "order.placed", "order.placed"]);
    assert_eq!(read(format!("subject=orders%2F{two}&type=order.placed")).await, ["order.placed"]);
    let narrowed = service.get(&format!("/v1/events?type=order.*&after={start}&limit=1")).await.expect(200);
    let cursor = narrowed.json()["after"].as_str().unwrap().to_owned();
    assert_eq!(
        narrowed.header("link"),
        format!("</v1/events?type=order.*&after={cursor}&limit=1>; rel=\"next\"")
    );
}

async fn the_feed_is_sent_as_a_batch_of_cloud_events(service: Arc<Service>) {
    service.stored_quote("T-100").await;
    let batch = "application/cloudevents-batch+json";
    let reply = Reply::of(service.request("GET", "/v1/events").header("accept", batch)).await.expect(200);
    assert_eq!((reply.header("content-type"), reply.header("vary")), (batch, "Accept"));
    let json = service.get("/v1/events").await.expect(200);
    assert_eq!(json.header("content-type"), "application/json");
    assert_eq!(reply.json(), json.json()["items"]);
    assert!(!reply.json().as_array().unwrap().is_empty());
}

async fn a_reader_waits_for_what_comes(service: Arc<Service>) {
    let start = latest(&service).await;
    let empty = service.get(&format!("/v1/events?after={start}&wait=0")).await.expect(200).json();
    assert_eq!(empty["items"], json!([]));
    let reader = service.clone();
    let waits = tokio::spawn(async move {
        reader.get(&format!("/v1/events?after={start}&type=quote.stored&wait=30")).await.expect(200).json()
    });
    tokio::time::sleep(Duration::from_millis(300)).await;
    assert!(!waits.is_finished(), "it waits");
    placed(&service, "PELLWORTH", &[("VESSICK/K-100", "2")]).await;
    let quote = service.stored_quote("T-100").await;
    let piece = waits.await.unwrap();
    assert_eq!(piece["items"].as_array().unwrap().len(), 1, "what is not asked for is not waited for");
    assert_eq!(piece["items"][0]["data"]["quote"], quote["number"]);
}

async fn a_wrong_question_is_told_what_would_be_right(service: Arc<Service>) {
    for (query, word) in [
        ("after=x", "sequence"),
        ("after=-1", "sequence"),
        ("type=order.lost", "order.lost"),
        ("type=", "star"),
        ("wait=31", "30 s"),
        ("wait=-1", "invalid digit"),
        ("limit=0", "limit"),
        ("before=1", "before"),
    ] {
        let problem = service.get(&format!("/v1/events?{query}")).await.problem(400, "invalid-query");
        assert!(problem["detail"].as_str().unwrap().contains(word), "{query}: {problem}");
    }
    let problem = service.get("/v1/events?type=claim.lost").await.problem(400, "invalid-query");
    let known = ["internal.crownwheel.claim.opened", "internal.crownwheel.claim.changed"];
    assert_eq!(problem["suggestions"], json!(known));
}

/// Operations that may change something, from the document.
fn changing() -> BTreeSet<String> {
    let answers = |id: &str| ANSWERS.contains(&id.split('_').next().unwrap());
    places()
        .into_iter()
        .filter(|(id, place)| place.method != "GET" && !answers(id))
        .map(|(id, _)| id)
        .collect()
}

/// The example of an operation; one without content in its answer has no file.
fn exchange_of(operation: &str) -> Exchange {
    if operation != "delete_webhook" {
        return Exchange::read(operation);
    }
    let id = "01941f29-7c00-7000-8000-000000000001";
    let request = json!({ "path": { "id": id }, "headers": { "If-Match": "*" } });
    serde_json::from_value(json!({ "summary": "", "after": ["create_webhook"], "request": request })).unwrap()
}

async fn every_changing_operation_leaves_its_event(service: Arc<Service>) {
    let listed: BTreeMap<&str, &[&str]> = EVENTS.iter().copied().collect();
    let names: BTreeSet<String> = listed.keys().map(|id| (*id).to_owned()).collect();
    assert_eq!(names, changing(), "the table of this test names each operation that changes something");
    let places = places();
    let mut wrong = Vec::new();
    for (operation, wanted) in listed {
        let own = Service::start_demo(service.kind).await;
        let exchange = exchange_of(operation);
        let mut steady = Steady::default();
        crate::examples::send_those_before(&exchange, &own, &places, &mut steady).await;
        let (start, noted) = (latest(&own).await, audit(&own, 0).await.len());
        let response = exchange.send(&own, &places[operation], &mut steady).await;
        assert!(response.status < 300, "{operation}: {:?}", response.body);
        let events = feed(&own, &start).await;
        let mut left = words(&events);
        left.dedup();
        if left != wanted {
            wrong.push(format!("{operation} leaves {left:?}, not {wanted:?}"));
        }
        // What a change speaks of stands at that path: a repeated request may be led there.
        for event in events.iter().filter(|event| leads_somewhere(event)) {
            own.get(&format!("/v1/{}", event["subject"].as_str().unwrap())).await.expect(200);
        }
        let entries = audit(&own, noted).await;
        let mut done: Vec<&str> = entries.iter().map(|entry| entry["what"].as_str().unwrap()).collect();
        done.dedup();
        let wanted = OTHERWISE_NOTED.iter().find(|(id, _)| *id == operation).map_or(wanted, |(_, done)| done);
        let faulty = entries.iter().filter(|entry| !is_whole(entry)).collect::<Vec<_>>();
        if done != wanted || !faulty.is_empty() {
            wrong.push(format!("the audit of {operation} says {done:?}, not {wanted:?}; {faulty:?}"));
        }
        own.stop().await;
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

async fn every_event_fits_the_schema_of_its_type(service: Arc<Service>) {
    let document: Value = serde_json::from_str(&http_api::openapi_json().unwrap()).unwrap();
    let schema = |name: &str| {
        let schema = json!({ "$ref": name, "components": document["components"] });
        jsonschema::draft202012::options().should_validate_formats(true).build(&schema).unwrap()
    };
    let envelope = schema("#/components/schemas/CloudEvent");
    let types = service.get("/v1/event-types").await.expect(200).json();
    let types: BTreeMap<String, Value> = types["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|described| (described["type"].as_str().unwrap().to_owned(), described.clone()))
        .collect();
    for (name, described) in &types {
        let data = schema(described["data_schema"].as_str().unwrap());
        assert!(data.is_valid(&described["example"]["data"]), "{described}");
        let faults: Vec<String> =
            envelope.iter_errors(&described["example"]).map(|fault| fault.to_string()).collect();
        assert!(faults.is_empty(), "{described}: {faults:?}");
        assert_eq!(described["example"]["type"], *name);
        let mut other = described["example"]["data"].clone();
        other.as_object_mut().unwrap().clear();
        assert!(!data.is_valid(&other), "{name}: a schema that takes anything says nothing");
    }
    placed(&service, "PELLWORTH", &[("VESSICK/K-100", "2")]).await;
    service.stored_quote("T-100").await;
    let events = feed(&service, "0").await;
    assert!(events.len() >= 4, "{events:?}");
    for event in events {
        let data = schema(types[event["type"].as_str().unwrap()]["data_schema"].as_str().unwrap());
        assert!(envelope.is_valid(&event) && data.is_valid(&event["data"]), "{event}");
    }
}

async fn a_setting_tells_both_values(service: Arc<Service>) {
    let start = latest(&service).await;
    let put = service.request("PUT", "/v1/settings/LABOUR-RATE").header("if-match", "*");
    Reply::of(put.json(&json!({ "value": "62.50" }))).await.expect(200);
    let events = feed(&service, &start).await;
    assert_eq!(words(&events), ["setting.changed", "catalogue.changed"]);
    let data = json!({ "setting": "LABOUR-RATE", "value": "62.50", "previous": "60" });
    assert_eq!((&events[0]["data"], &events[0]["subject"]), (&data, &json!("settings/LABOUR-RATE")));
    assert_eq!(events[1]["data"]["sheets"][0]["sheet"], "settings");
}
