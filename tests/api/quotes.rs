//! Quotes: stored once, shown, made again, compared with today.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::{DAY, Reply, Service};

tests![
    a_quote_is_stored_and_shown,
    the_quotes_answer_is_the_answer_of_the_requirement,
    quotes_are_listed_in_pieces,
    an_unknown_quote_is_a_problem,
    a_quote_never_changes,
    a_quote_comes_out_the_same_when_it_is_made_again,
    a_comparison_names_the_price_behind_a_change,
    a_comparison_without_a_change_is_empty_but_for_days,
    a_repeated_request_gets_the_first_answer,
    a_key_is_needed,
    a_key_is_for_one_request,
    a_running_request_is_not_run_again,
    a_request_whose_answer_was_lost_is_led_to_what_it_made,
    a_failed_request_may_be_sent_again,
    many_at_once_get_numbers_without_gaps,
    a_limit_of_steps_is_kept_and_a_time_is_refused,
];

fn overhaul() -> Value {
    json!({ "units": [{ "unit": "T-100" }], "as_of": DAY })
}

async fn a_quote_is_stored_and_shown(service: Arc<Service>) {
    let created = service.post_once("/v1/quotes", "one", &overhaul()).await.expect(201);
    assert_eq!(created.header("location"), "/v1/quotes/Q-000001");
    assert_eq!(created.header("content-type"), "application/json");
    let shown = service.get("/v1/quotes/Q-000001").await.expect(200);
    assert_eq!(shown.body, created.body);
    assert_eq!(shown.header("etag"), created.header("etag"));
    let quote = shown.json();
    assert_eq!(quote["number"], "Q-000001");
    assert_eq!(quote["valid_until"], "2026-07-01");
    assert_eq!(quote["request"]["as_of"], DAY);
    assert_eq!(quote["engine"], quote["answer"]["engine"]);
    let revisions = ["structure_revision", "price_revision", "ledger_sequence"].map(|name| &quote[name]);
    assert_eq!(revisions, [&json!(1), &json!(1), &json!(1)]);
    assert_eq!(service.get("/v1/quotes/q-000001").await.expect(200).body, shown.body);
}

async fn the_quotes_answer_is_the_answer_of_the_requirement(service: Arc<Service>) {
    let asked = service.post("/v1/requirements", &overhaul()).await.expect(200).text();
    let quote = service.post_once("/v1/quotes", "one", &overhaul()).await.expect(201).text();
    assert!(quote.ends_with(&format!("\"answer\":{asked}}}")), "byte for byte");
}

async fn quotes_are_listed_in_pieces(service: Arc<Service>) {
    for _ in 0..3 {
        service.stored_quote("T-100").await;
    }
    let first = service.get("/v1/quotes?limit=2").await.expect(200);
    assert_eq!(first.header("link"), "</v1/quotes?after=Q-000002&limit=2>; rel=\"next\"");
    let last = service.get("/v1/quotes?after=Q-000002&limit=2").await.expect(200);
    assert_eq!((last.json()["items"][0]["number"].as_str(), last.header("link")), (Some("Q-000003"), ""));
    service.get("/v1/quotes?limit=-1").await.problem(400, "invalid-query");
}

async fn an_unknown_quote_is_a_problem(service: Arc<Service>) {
    for path in ["/v1/quotes/Q-9", "/v1/quotes/Q-9/recomputed", "/v1/quotes/Q-9/comparison"] {
        service.get(path).await.problem(404, "quote-not-found");
    }
}

async fn a_quote_never_changes(service: Arc<Service>) {
    service.stored_quote("T-100").await;
    let before = service.get("/v1/quotes/Q-000001").await.expect(200);
    let dearer = "supplier,part,quantity_from,valid_from,valid_to,currency,price,pack,minimum,lead_days,deposit\n\
                  PELLWORTH,VESSICK/K-100,1,2020-01-01,,EUR,66,1,1,3,\n";
    let import = service.import(json!({ "files": { "prices.csv": dearer } })).await;
    assert_eq!(import["state"], "done", "{import}");
    let after = service.get("/v1/quotes/Q-000001").await.expect(200);
    assert_eq!(after.body, before.body);
    let tag = before.header("etag").to_owned();
    let again = Reply::of(service.request("GET", "/v1/quotes/Q-000001").header("if-none-match", tag)).await;
    assert_eq!(again.status, 304);
}

async fn a_quote_comes_out_the_same_when_it_is_made_again(service: Arc<Service>) {
    service.stored_quote("T-100").await;
    let quote = service.get("/v1/quotes/Q-000001").await.expect(200).text();
    // Nothing of today's catalogue, prices or stock may play a part.
    let prices = "supplier,part,quantity_from,valid_from,valid_to,currency,price,pack,minimum,lead_days,deposit\n\
                  PELLWORTH,VESSICK/K-100,1,2020-01-01,,EUR,990,1,1,3,\n";
    let stock = "bin,part,mark,quantity,carrying_value\nA-1,VESSICK/OIL-1,,0,5\n";
    let files = json!({ "prices.csv": prices, "stock.csv": stock });
    assert_eq!(service.import(json!({ "files": files })).await["state"], "done");
    let again = service.get("/v1/quotes/Q-000001/recomputed").await.expect(200);
    assert_eq!(again.json()["same"], true);
    let text = again.text();
    let answer = text.split_once("\"answer\":").unwrap().1;
    assert!(quote.ends_with(&format!("\"answer\":{answer}")), "byte for byte");
}

async fn a_comparison_names_the_price_behind_a_change(service: Arc<Service>) {
    service.stored_quote("T-100").await;
    let dearer = "supplier,part,quantity_from,valid_from,valid_to,currency,price,pack,minimum,lead_days,deposit\n\
                  PELLWORTH,VESSICK/K-100,1,2020-01-01,,EUR,66,1,1,3,\n";
    assert_eq!(service.import(json!({ "files": { "prices.csv": dearer } })).await["state"], "done");
    let compared = service.get("/v1/quotes/Q-000001/comparison").await.expect(200).json();
    assert_eq!(compared["then"], DAY);
    let changes = compared["changes"].as_array().unwrap();
    let kit = changes.iter().find(|change| change["subject"] == "kit").unwrap();
    let price = kit["causes"].as_array().unwrap().iter().find(|cause| cause["cause"] == "price").unwrap();
    assert_eq!((&price["before"], &price["after"]), (&json!("55.00"), &json!("66.00")), "{kit}");
    assert_eq!(price["part"], "VESSICK/K100");
}

async fn a_comparison_without_a_change_is_empty_but_for_days(service: Arc<Service>) {
    let asked = json!({ "units": [{ "unit": "T-100" }] });
    service.post_once("/v1/quotes", "today", &asked).await.expect(201);
    let compared = service.get("/v1/quotes/Q-000001/comparison").await.expect(200).json();
    let changes = compared["changes"].as_array().unwrap();
    // Around midnight the days move by one, and nothing else.
    assert!(
        changes.iter().all(|change| change["subject"] != "requirement" && change["subject"] != "cash"),
        "{changes:?}"
    );
    assert!(compared["deferral"].as_str().unwrap().contains("maker's manual"));
}

async fn a_repeated_request_gets_the_first_answer(service: Arc<Service>) {
    let first = service.post_once("/v1/quotes", "key-1", &overhaul()).await.expect(201);
    assert_eq!(first.header("idempotency-replayed"), "");
    let second = service.post_once("/v1/quotes", "key-1", &overhaul()).await.expect(201);
    assert_eq!(second.body, first.body);
    for name in ["location", "etag", "content-type"] {
        assert_eq!(second.header(name), first.header(name), "{name}");
    }
    assert_eq!(second.header("idempotency-replayed"), "true");
    let bare = service.request("POST", "/v1/quotes").header("idempotency-key", "key-1").json(&overhaul());
    assert_eq!(Reply::of(bare).await.expect(201).body, first.body);
    let quotes = service.get("/v1/quotes").await.expect(200).json();
    assert_eq!(quotes["items"].as_array().unwrap().len(), 1);
}

async fn a_key_is_needed(service: Arc<Service>) {
    service.post("/v1/quotes", &overhaul()).await.problem(400, "idempotency-key-missing");
    service
        .post("/v1/imports", &json!({ "files": { "bins.csv": "" } }))
        .await
        .problem(400, "idempotency-key-missing");
    for wrong in ["\"open", "a b", "\"\""] {
        let sent = service.request("POST", "/v1/quotes").header("idempotency-key", wrong).json(&overhaul());
        Reply::of(sent).await.problem(400, "invalid-header");
    }
}

async fn a_key_is_for_one_request(service: Arc<Service>) {
    service.post_once("/v1/quotes", "key-1", &overhaul()).await.expect(201);
    let other = json!({ "units": [{ "unit": "T-200" }], "as_of": DAY });
    service.post_once("/v1/quotes", "key-1", &other).await.problem(422, "idempotency-key-reused");
    // The same key on another route is another key.
    let import = json!({ "files": { "bins.csv": "bin,name\nA-1,Shelf A\n" } });
    service.post_once("/v1/imports", "key-1", &import).await.expect(202);
}

async fn a_running_request_is_not_run_again(service: Arc<Service>) {
    let first = service.post_once("/v1/quotes", "key-1", &overhaul()).await.expect(201);
    let (status, headers, body) = (first.status, Vec::new(), first.text());
    // Another process has claimed the key and has not answered.
    let asked: operations::asked::Asked = serde_json::from_value(overhaul()).unwrap();
    let hash = hash_of(&serde_json::to_vec(&asked).unwrap());
    let time = std::time::Duration::from_secs(60);
    let claimed = owner(&service).claim("key-2", "POST /v1/quotes", &hash, time).await.unwrap();
    let store::Claim::Fresh(held) = claimed else { panic!("{claimed:?}") };
    let refused = service.post_once("/v1/quotes", "key-2", &overhaul()).await;
    assert_eq!(refused.header("retry-after"), "2");
    refused.problem(409, "idempotency-key-running");
    let answer = store::StoredResponse { status, headers, body };
    owner(&service).complete(&held, &answer).await.unwrap();
    let replayed = service.post_once("/v1/quotes", "key-2", &overhaul()).await.expect(201);
    assert_eq!(replayed.body, first.body);
}

async fn a_request_whose_answer_was_lost_is_led_to_what_it_made(service: Arc<Service>) {
    let asked: operations::asked::Asked = serde_json::from_value(overhaul()).unwrap();
    let hash = hash_of(&serde_json::to_vec(&asked).unwrap());
    let time = std::time::Duration::from_secs(60);
    let claimed = owner(&service).claim("key-3", "POST /v1/quotes", &hash, time).await.unwrap();
    let store::Claim::Fresh(held) = claimed else { panic!("{claimed:?}") };
    // The process stores the quote and dies before it keeps its answer.
    let made = service.post_once("/v1/quotes", "key-4", &overhaul()).await.expect(201).json();
    let stored = service.shop.store().quote(made["number"].as_str().unwrap()).await.unwrap().unwrap();
    let copy = store::NewQuote {
        created_at: stored.created_at,
        valid_until: stored.valid_until,
        revisions: stored.revisions,
        engine: stored.engine,
        request: stored.request,
        frozen: stored.frozen,
        answer: stored.answer,
        parts: Default::default(),
    };
    let number = owner(&service).under(held).insert_quote(copy).await.unwrap();
    let early = service.post_once("/v1/quotes", "key-3", &overhaul()).await;
    early.problem(409, "idempotency-key-running");
    tokio::time::sleep(std::time::Duration::from_millis(5_200)).await;
    let before = service.get("/v1/quotes").await.json()["items"].as_array().unwrap().len();
    let led = service.post_once("/v1/quotes", "key-3", &overhaul()).await.expect(303);
    assert_eq!(led.header("location"), format!("/v1/quotes/{number}"));
    assert_eq!(led.header("idempotency-replayed"), "true");
    assert_eq!(led.json(), json!({ "made": [format!("/v1/quotes/{number}")] }));
    let after = service.get("/v1/quotes").await.json()["items"].as_array().unwrap().len();
    assert_eq!(before, after, "nothing was made again");
}

/// The store in the hands of the key that the service is asked with.
fn owner(service: &Service) -> store::Store {
    let caller = store::Caller { key: Some("K-000001".into()), name: "first owner".into() };
    service.shop.store().acting_as(caller)
}

fn hash_of(bytes: &[u8]) -> String {
    use sha2::Digest;
    sha2::Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

async fn a_failed_request_may_be_sent_again(service: Arc<Service>) {
    let late = json!({ "units": [{ "unit": "T-300" }], "as_of": DAY });
    service.post_once("/v1/quotes", "key-1", &late).await.problem(422, "unknown-reference");
    let files = json!({
        "units.csv": "code,maker,name,kind\nT-300,BRANNOCH,Late box,gearbox\n",
        "operations.csv": "unit,operation,name,overhaul,hours\nT300,OVERHAUL,Overhaul,yes,1\n",
    });
    assert_eq!(service.import(json!({ "files": files })).await["state"], "done");
    service.post_once("/v1/quotes", "key-1", &late).await.expect(201);
}

async fn many_at_once_get_numbers_without_gaps(service: Arc<Service>) {
    let mut sent = Vec::new();
    for _ in 0..12 {
        let service = service.clone();
        sent.push(tokio::spawn(async move { service.stored_quote("T-100").await["number"].clone() }));
    }
    let mut numbers = Vec::new();
    for quote in sent {
        numbers.push(quote.await.unwrap().as_str().unwrap().to_owned());
    }
    numbers.sort();
    let expected: Vec<String> = (1..=12).map(|number| format!("Q-{number:06}")).collect();
    assert_eq!(numbers, expected);
}

async fn a_limit_of_steps_is_kept_and_a_time_is_refused(service: Arc<Service>) {
    let mut asked = overhaul();
    asked["time_budget_ms"] = json!(60_000);
    service.post("/v1/requirements", &asked).await.expect(200);
    let problem = service.post_once("/v1/quotes", "timed", &asked).await.problem(422, "bad-value");
    assert_eq!(problem["errors"][0]["pointer"], "/time_budget_ms");
    let mut asked = overhaul();
    asked["search_steps"] = json!(0);
    let problem = service.post_once("/v1/quotes", "none", &asked).await.problem(422, "too-many-unknowns");
    assert!(problem["detail"].as_str().unwrap().contains("search_steps"), "{problem}");
    asked["search_steps"] = json!(100_000);
    let quote = service.post_once("/v1/quotes", "many", &asked).await.expect(201).json();
    assert_eq!(quote["answer"]["sourcing"]["proven"], true);
    let number = quote["number"].as_str().unwrap();
    let again = service.get(&format!("/v1/quotes/{number}/recomputed")).await.expect(200).json();
    assert_eq!(again["same"], true, "{again}");
    asked["search_steps"] = json!(-1);
    service.post("/v1/requirements", &asked).await.problem(422, "invalid-body");
}
