//! Webhooks: events posted in order for each paper, signed, until they are taken, and only outside.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use http_api::ServerOptions;
use operations::webhooks::backoff::Backoff;
use operations::webhooks::deliveries::DeliveryPolicy;
use operations::webhooks::{AskedWebhook, courier, create_webhook};
use serde_json::{Value, json};

use crate::events::{feed, latest};
use crate::harness::{Reply, Service};
use crate::hmac_by_hand::{base64, hmac_sha256, unbase64};
use crate::orders::{placed, step};
use crate::receiver::{Answer, Message, OK, Receiver};

tests![
    an_event_is_posted_signed_and_as_it_stands_in_the_feed,
    a_failing_event_is_tried_until_it_is_taken,
    a_failing_paper_holds_up_only_itself,
    a_redirect_is_not_followed,
    a_target_that_is_gone_is_paused,
    a_target_that_fails_too_long_is_paused_and_loses_nothing,
    what_comes_while_a_webhook_is_paused_waits,
    a_replay_posts_again_in_order,
    neither_a_dead_nor_a_slow_target_slows_the_shop_or_another_target,
    only_wanted_types_are_posted,
    while_a_secret_is_replaced_both_sign,
    a_test_is_posted_at_once,
    an_address_inside_is_refused_when_a_webhook_is_made,
    an_address_is_looked_at_again_for_each_message,
    a_wrong_request_is_told_what_would_be_right,
    a_webhook_is_changed_under_its_tag_and_deleted,
];

/// How the tests deliver: to this machine, and without long waits.
pub(crate) fn quick() -> ServerOptions {
    let (first, longest) = (Duration::from_millis(50), Duration::from_millis(1_000));
    let backoff = Backoff { first, longest, ..Backoff::default() };
    let deliveries =
        DeliveryPolicy { backoff, look_every: Duration::from_millis(20), ..DeliveryPolicy::default() };
    let allow_webhook_hosts = vec!["127.0.0.1".to_owned()];
    ServerOptions { allow_webhook_hosts, deliveries, rate_limit: None, ..ServerOptions::default() }
}

async fn delivering(service: &Service) -> Service {
    Service::start_with(service.kind, quick()).await
}

/// Makes a webhook; the answer.
async fn made(service: &Service, url: &str, types: &[&str]) -> Value {
    let asked = json!({ "url": url, "types": types, "description": "a test", "by": "M. Brandl" });
    let key = uuid::Uuid::now_v7().to_string();
    service.post_once("/v1/webhooks", &key, &asked).await.expect(201).json()
}

fn path(webhook: &Value) -> String {
    format!("/v1/webhooks/{}", webhook["id"].as_str().unwrap())
}

async fn put(service: &Service, webhook: &Value, tag: &str, state: &str) -> Reply {
    let body = json!({
        "url": webhook["url"], "types": webhook["types"], "description": "a test", "state": state,
        "by": "M. Brandl",
    });
    Reply::of(service.request("PUT", &path(webhook)).header("if-match", tag).json(&body)).await
}

async fn order(service: &Service) -> String {
    placed(service, "PELLWORTH", &[("VESSICK/K-100", "2")]).await
}

fn told(messages: &[Message]) -> Vec<String> {
    messages.iter().map(|message| message.event()["data"]["step"].as_str().unwrap().to_owned()).collect()
}

async fn attempts(service: &Service, webhook: &Value) -> Value {
    service.get(&format!("{}/attempts", path(webhook))).await.expect(200).json()
}

/// Checks the signature of a message (Standard Webhooks 1.0) by code of its own.
fn is_signed(message: &Message, secret: &str) -> bool {
    let key = unbase64(secret.strip_prefix("whsec_").unwrap());
    let (id, time) = (message.header("webhook-id"), message.header("webhook-timestamp"));
    let wanted = base64(&hmac_sha256(&key, format!("{id}.{time}.{}", message.body).as_bytes()));
    message.header("webhook-signature").split(' ').any(|one| one == format!("v1,{wanted}"))
}

async fn an_event_is_posted_signed_and_as_it_stands_in_the_feed(service: Arc<Service>) {
    let service = delivering(&service).await;
    let receiver = Receiver::start(|_, _| OK).await;
    let webhook = made(&service, &receiver.url, &["internal.crownwheel.order.*"]).await;
    let start = latest(&service).await;
    let number = order(&service).await;
    receiver.until(|receiver| receiver.taken().len() == 2).await;
    let (events, messages) = (feed(&service, &start).await, receiver.taken());
    let secret = webhook["secret"].as_str().unwrap();
    for (event, message) in events.iter().zip(&messages) {
        assert_eq!((&message.event(), message.line.as_str()), (event, "POST /hook HTTP/1.1"));
        assert_eq!(message.header("content-type"), "application/cloudevents+json");
        assert_eq!(message.header("webhook-id"), event["id"].as_str().unwrap());
        let time: i64 = message.header("webhook-timestamp").parse().unwrap();
        assert!((chrono::Utc::now().timestamp() - time).abs() < 600);
        assert!(is_signed(message, secret));
        assert!(!is_signed(message, "whsec_AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA="));
        assert_eq!(message.subject(), format!("orders/{number}"));
    }
    assert_eq!(told(&messages), ["draft", "place"]);
    let shown = service.get(&path(&webhook)).await.expect(200).text();
    assert!(!shown.contains("whsec_") && !shown.contains(secret), "the secret is shown once");
    service.stop().await;
}

async fn a_failing_event_is_tried_until_it_is_taken(service: Arc<Service>) {
    let service = delivering(&service).await;
    let receiver =
        Receiver::start(|_, before| if before < 3 { Answer::Status(500, "", "not now") } else { OK }).await;
    let webhook = made(&service, &receiver.url, &["order.*"]).await;
    order(&service).await;
    receiver.until(|receiver| receiver.taken().len() == 2).await;
    let all = receiver.all();
    assert_eq!(told(&all), ["draft", "draft", "draft", "draft", "place"]);
    assert!(all[..4].iter().all(|message| message.header("webhook-id") == all[0].header("webhook-id")));
    let mut list = attempts(&service, &webhook).await;
    for _ in 0..200 {
        // What waits and what was tried are read one after the other.
        if list["items"].as_array().unwrap().len() == 5 && list["progress"]["waiting"] == 0 {
            break;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
        list = attempts(&service, &webhook).await;
    }
    let seen: Vec<(i64, i64, &str, bool)> = list["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| {
            let number = |name: &str| one[name].as_i64().unwrap();
            (number("tries"), number("status"), one["answer"].as_str().unwrap(), one["delivered"] == true)
        })
        .collect();
    let failed = |tries| (tries, 500, "not now", false);
    let newest_first = [(1, 200, "taken", true), (4, 200, "taken", true), failed(3), failed(2), failed(1)];
    assert_eq!(seen, newest_first);
    assert_eq!((&list["progress"]["waiting"], &list["progress"]["next_at"]), (&json!(0), &Value::Null));
    let older = service.get(&format!("{}/attempts?limit=2", path(&webhook))).await.expect(200);
    let link = older.header("link").to_owned();
    let next = link.split(['<', '>']).nth(1).unwrap();
    assert_eq!(service.get(next).await.expect(200).json()["items"][0], list["items"][2], "{link}");
    let metrics = service.get("/metrics").await.expect(200).text();
    for line in ["webhook_deliveries_total 2", "webhook_failures_total 3", "webhook_attempts_under_way 0"] {
        assert!(metrics.lines().any(|known| known == line), "{line}: {metrics}");
    }
    service.stop().await;
}

async fn a_failing_paper_holds_up_only_itself(service: Arc<Service>) {
    let service = delivering(&service).await;
    let broken = Arc::new(AtomicBool::new(true));
    let fails = broken.clone();
    let receiver = Receiver::start(move |message, _| {
        let of_first = message.subject() == "orders/PO-000001";
        if of_first && fails.load(Ordering::SeqCst) { Answer::Nothing } else { OK }
    })
    .await;
    made(&service, &receiver.url, &["order.*"]).await;
    let (first, second) = (order(&service).await, order(&service).await);
    assert_eq!((first.as_str(), second.as_str()), ("PO-000001", "PO-000002"));
    receiver.until(|receiver| receiver.taken().len() == 2 && receiver.all().len() > 4).await;
    assert!(receiver.taken().iter().all(|message| message.subject() == "orders/PO-000002"));
    assert_eq!(told(&receiver.taken()), ["draft", "place"]);
    let of_first: Vec<Message> =
        receiver.all().into_iter().filter(|message| message.subject() == "orders/PO-000001").collect();
    assert!(told(&of_first).iter().all(|step| step == "draft"), "the later one waits for the earlier");
    broken.store(false, Ordering::SeqCst);
    receiver.until(|receiver| receiver.taken().len() == 4).await;
    assert_eq!(told(&receiver.taken()[2..]), ["draft", "place"]);
    service.stop().await;
}

async fn a_redirect_is_not_followed(service: Arc<Service>) {
    let service = delivering(&service).await;
    let other = Receiver::start(|_, _| OK).await;
    let fields: &'static str = Box::leak(format!("location: {}\r\n", other.url).into_boxed_str());
    let receiver = Receiver::start(move |_, _| Answer::Status(307, fields, "")).await;
    let webhook = made(&service, &receiver.url, &["order.*"]).await;
    order(&service).await;
    receiver.until(|receiver| receiver.all().len() >= 2).await;
    assert!(other.all().is_empty(), "nobody goes where a target sends them");
    let list = attempts(&service, &webhook).await;
    assert_eq!((&list["items"][0]["status"], &list["items"][0]["delivered"]), (&json!(307), &json!(false)));
    assert_eq!(list["progress"]["waiting"], 2);
    service.stop().await;
}

/// Waits until a webhook is paused; what it then says.
async fn until_paused(service: &Service, webhook: &Value) -> Value {
    for _ in 0..1_200 {
        let shown = service.get(&path(webhook)).await.expect(200).json();
        if shown["state"] == "paused" {
            return shown;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    panic!("the webhook is not paused");
}

async fn a_target_that_is_gone_is_paused(service: Arc<Service>) {
    let service = delivering(&service).await;
    let receiver =
        Receiver::start(|_, before| if before == 0 { Answer::Status(410, "", "") } else { OK }).await;
    let webhook = made(&service, &receiver.url, &["order.*"]).await;
    let start = latest(&service).await;
    order(&service).await;
    let shown = until_paused(&service, &webhook).await;
    assert_eq!(shown["paused_because"], "gone");
    let events = feed(&service, &start).await;
    let paused = events.iter().find(|event| event["type"] == "internal.crownwheel.webhook.paused").unwrap();
    assert_eq!((&paused["data"]["webhook"], &paused["data"]["by"]), (&webhook["id"], &Value::Null));
    assert_eq!(receiver.all().len(), 1, "nothing is posted to a target that is gone");
    assert_eq!(attempts(&service, &webhook).await["items"][0]["status"], 410);
    put(&service, &webhook, "*", "active").await.expect(200);
    receiver.until(|receiver| receiver.taken().len() == 2).await;
    assert_eq!(told(&receiver.taken()), ["draft", "place"]);
    service.stop().await;
}

async fn a_target_that_fails_too_long_is_paused_and_loses_nothing(service: Arc<Service>) {
    let mut options = quick();
    options.deliveries.backoff.give_up_after = Duration::ZERO;
    let service = Service::start_with(service.kind, options).await;
    let receiver =
        Receiver::start(|_, before| if before < 2 { Answer::Status(503, "", "") } else { OK }).await;
    let webhook = made(&service, &receiver.url, &["order.*"]).await;
    order(&service).await;
    assert_eq!(until_paused(&service, &webhook).await["paused_because"], "failing");
    assert_eq!(receiver.all().len(), 2, "a first failure is no long one");
    step(&service, "PO-000001", json!({ "step": "cancel", "by": "M. Brandl" })).await.expect(201);
    put(&service, &webhook, "*", "active").await.expect(200);
    receiver.until(|receiver| receiver.taken().len() == 3).await;
    assert_eq!(told(&receiver.taken()), ["draft", "place", "cancel"]);
    let metrics = service.get("/metrics").await.expect(200).text();
    assert!(metrics.lines().any(|line| line == "webhook_pauses_total 1"), "{metrics}");
    service.stop().await;
}

async fn what_comes_while_a_webhook_is_paused_waits(service: Arc<Service>) {
    let service = delivering(&service).await;
    let receiver = Receiver::start(|_, _| OK).await;
    let webhook = made(&service, &receiver.url, &["order.*"]).await;
    let paused = put(&service, &webhook, "*", "paused").await.expect(200).json();
    assert_eq!((&paused["state"], &paused["paused_because"]), (&json!("paused"), &json!("asked")));
    order(&service).await;
    tokio::time::sleep(Duration::from_millis(400)).await;
    assert!(receiver.all().is_empty());
    put(&service, &webhook, "*", "active").await.expect(200);
    receiver.until(|receiver| receiver.taken().len() == 2).await;
    assert_eq!(told(&receiver.taken()), ["draft", "place"]);
    service.stop().await;
}

async fn a_replay_posts_again_in_order(service: Arc<Service>) {
    let service = delivering(&service).await;
    let receiver = Receiver::start(|_, _| OK).await;
    let webhook = made(&service, &receiver.url, &["order.*"]).await;
    let start = latest(&service).await;
    order(&service).await;
    order(&service).await;
    receiver.until(|receiver| receiver.taken().len() == 4).await;
    let replays = format!("{}/replays", path(&webhook));
    let ask = |after: &str| json!({ "after": after, "by": "M. Brandl" });
    service.post_once(&replays, "one", &ask(&start)).await.expect(201);
    receiver.until(|receiver| receiver.taken().len() == 8).await;
    let taken = receiver.taken();
    for number in ["orders/PO-000001", "orders/PO-000002"] {
        let of_order: Vec<Message> =
            taken.iter().filter(|message| message.subject() == number).cloned().collect();
        assert_eq!(told(&of_order), ["draft", "place", "draft", "place"], "{number}");
        assert_eq!(of_order[0].header("webhook-id"), of_order[2].header("webhook-id"));
    }
    let ahead = service.post_once(&replays, "two", &ask("9999999")).await.problem(422, "bad-value");
    assert_eq!(ahead["errors"][0]["pointer"], "/after");
    service.post_once(&replays, "three", &ask("x")).await.problem(422, "bad-value");
    service.stop().await;
}

async fn neither_a_dead_nor_a_slow_target_slows_the_shop_or_another_target(service: Arc<Service>) {
    let service = delivering(&service).await;
    let closed = std::net::TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap();
    let dead = made(&service, &format!("http://{closed}/"), &["order.*"]).await;
    // It answers long after the test has ended.
    let slow = Receiver::start(|_, _| Answer::Slowly(Duration::from_secs(600))).await;
    made(&service, &slow.url, &["order.*"]).await;
    let healthy = Receiver::start(|_, _| OK).await;
    made(&service, &healthy.url, &["order.*"]).await;
    for _ in 0..6 {
        order(&service).await;
    }
    healthy.until(|receiver| receiver.taken().len() == 12).await;
    slow.until(|receiver| receiver.all().len() == 4).await;
    assert!(slow.all().iter().all(|message| message.event()["data"]["step"] == "draft"));
    let mut list = attempts(&service, &dead).await;
    for _ in 0..1_200 {
        if list["progress"]["waiting"] == 12 {
            break;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
        list = attempts(&service, &dead).await;
    }
    assert_eq!((&list["items"][0]["status"], &list["progress"]["waiting"]), (&Value::Null, &json!(12)));
    assert!(list["items"][0]["answer"].as_str().unwrap().contains("no connection"), "{list}");
    service.stop().await;
}

async fn only_wanted_types_are_posted(service: Arc<Service>) {
    let service = delivering(&service).await;
    let receiver = Receiver::start(|_, _| OK).await;
    let some = Receiver::start(|_, _| OK).await;
    let webhook = made(&service, &receiver.url, &[]).await;
    made(&service, &some.url, &["internal.crownwheel.order.placed", "quote.stored"]).await;
    order(&service).await;
    service.stored_quote("T-100").await;
    some.until(|receiver| receiver.taken().len() == 2).await;
    let subjects: Vec<String> = some.taken().iter().map(Message::subject).collect();
    assert!(subjects.contains(&"orders/PO-000001".to_owned()), "{subjects:?}");
    assert!(subjects.contains(&"quotes/Q-000001".to_owned()), "{subjects:?}");
    // All: the second webhook was made after the first.
    receiver.until(|receiver| receiver.taken().len() == 4).await;
    assert!(receiver.taken().iter().any(|message| message.subject().starts_with("webhooks/")));
    assert!(!receiver.taken().iter().any(|message| message.event()["data"]["webhook"] == webhook["id"]));
    service.stop().await;
}

async fn while_a_secret_is_replaced_both_sign(service: Arc<Service>) {
    let service = delivering(&service).await;
    let receiver = Receiver::start(|_, _| OK).await;
    let webhook = made(&service, &receiver.url, &["order.*"]).await;
    let old = webhook["secret"].as_str().unwrap();
    let secrets = format!("{}/secrets", path(&webhook));
    let asked = json!({ "overlap_hours": 1, "by": "M. Brandl" });
    let new = service.post_once(&secrets, "one", &asked).await.expect(201).json();
    let new = new["secret"].as_str().unwrap();
    order(&service).await;
    receiver.until(|receiver| receiver.taken().len() == 2).await;
    assert!(receiver.taken().iter().all(|message| is_signed(message, old) && is_signed(message, new)));
    let asked = json!({ "overlap_hours": 0, "by": "M. Brandl" });
    let newest = service.post_once(&secrets, "two", &asked).await.expect(201).json();
    let again = service.post_once(&secrets, "two", &asked).await.expect(201).json();
    assert_eq!(newest, again, "one key makes one secret");
    order(&service).await;
    receiver.until(|receiver| receiver.taken().len() == 4).await;
    let last = receiver.taken().pop().unwrap();
    assert!(is_signed(&last, newest["secret"].as_str().unwrap()) && is_signed(&last, old));
    assert!(!is_signed(&last, new), "its time was over at once");
    let asked = json!({ "overlap_hours": 169, "by": "M. Brandl" });
    let problem = service.post_once(&secrets, "three", &asked).await.problem(422, "bad-value");
    assert_eq!(problem["errors"][0]["pointer"], "/overlap_hours");
    service.stop().await;
}

async fn a_test_is_posted_at_once(service: Arc<Service>) {
    let service = delivering(&service).await;
    let receiver = Receiver::start(|_, _| Answer::Status(418, "", "a teapot")).await;
    let webhook = made(&service, &receiver.url, &["order.*"]).await;
    put(&service, &webhook, "*", "paused").await.expect(200);
    let start = latest(&service).await;
    let tests = format!("{}/tests", path(&webhook));
    let reply = service.post_once(&tests, "one", &json!({ "by": "M. Brandl" })).await.expect(201).json();
    assert_eq!((&reply["status"], &reply["answer"]), (&json!(418), &json!("a teapot")));
    let message = receiver.all().pop().unwrap();
    assert!(is_signed(&message, webhook["secret"].as_str().unwrap()));
    assert_eq!(message.event()["type"], "internal.crownwheel.webhook.test");
    assert_eq!(message.event()["data"]["webhook"], webhook["id"]);
    assert_eq!(attempts(&service, &webhook).await["items"], json!([reply]));
    assert!(feed(&service, &start).await.is_empty(), "a test stands in no feed");
    service.stop().await;
}

async fn an_address_inside_is_refused_when_a_webhook_is_made(service: Arc<Service>) {
    let own = service.url.replace("http://", "https://");
    let addresses = [
        "http://orders.example/",
        "ftp://orders.example/",
        "orders.example",
        "https://u:p@orders.example/",
        "https://localhost/",
        "https://127.0.0.1/",
        "https://127.1/",
        "https://0x7f000001/",
        "https://2130706433/",
        "https://0.0.0.0/",
        "https://10.1.2.3/",
        "https://172.16.0.1/",
        "https://192.168.1.1/",
        "https://169.254.169.254/latest/",
        "https://100.64.0.1/",
        "https://[::1]/",
        "https://[::]/",
        "https://[::ffff:127.0.0.1]/",
        "https://[::ffff:192.168.0.1]/",
        "https://[64:ff9b::7f00:1]/",
        "https://[fe80::1]/",
        "https://[fc00::1]/",
        "https://[2002:7f00:1::]/",
        own.as_str(),
    ];
    for (at, url) in addresses.into_iter().enumerate() {
        let asked = json!({ "url": url, "by": "M. Brandl" });
        let problem = service.post_once("/v1/webhooks", &format!("k{at}"), &asked).await;
        let problem = problem.problem(422, "bad-value");
        assert_eq!(problem["errors"][0]["pointer"], "/url", "{url}: {problem}");
    }
    assert_eq!(service.get("/v1/webhooks").await.expect(200).json()["items"], json!([]));
}

async fn an_address_is_looked_at_again_for_each_message(service: Arc<Service>) {
    // The owner allowed the host when the webhook was made, and does so no longer.
    let receiver = Receiver::start(|_, _| OK).await;
    let allowed = courier(&["127.0.0.1".to_owned()]).unwrap();
    let asked = AskedWebhook {
        url: receiver.url.clone(),
        types: vec!["order.*".to_owned()],
        description: String::new(),
        after: None,
        by: "M. Brandl".to_owned(),
    };
    let made = create_webhook(&service.shop, &allowed, &asked).await.unwrap();
    order(&service).await;
    let webhook = json!({ "id": made.webhook.id });
    for _ in 0..1_200 {
        if attempts(&service, &webhook).await["items"] != json!([]) {
            break;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    let attempt = &attempts(&service, &webhook).await["items"][0];
    assert_eq!(attempt["status"], Value::Null);
    assert!(attempt["answer"].as_str().unwrap().contains("--allow-webhook-host"), "{attempt}");
    assert!(receiver.all().is_empty());
}

async fn a_wrong_request_is_told_what_would_be_right(service: Arc<Service>) {
    let url = "https://orders.example/";
    let long = "x".repeat(501);
    for (at, (body, pointer)) in [
        (json!({ "url": url, "types": ["order.lost"], "by": "M" }), "/types"),
        (json!({ "url": url, "after": "x", "by": "M" }), "/after"),
        (json!({ "url": url, "by": " " }), "/by"),
        (json!({ "url": url, "description": long, "by": "M" }), "/description"),
    ]
    .into_iter()
    .enumerate()
    {
        let reply = service.post_once("/v1/webhooks", &format!("k{at}"), &body).await;
        assert_eq!(reply.problem(422, "bad-value")["errors"][0]["pointer"], pointer);
    }
    let unknown = "/v1/webhooks/01941f29-7c00-7000-8000-000000000001";
    service.get(unknown).await.problem(404, "webhook-not-found");
    service.get(&format!("{unknown}/attempts")).await.problem(404, "webhook-not-found");
    let by = json!({ "by": "M. Brandl" });
    for (what, body) in [
        ("tests", by.clone()),
        ("secrets", by.clone()),
        ("replays", json!({ "after": "0", "by": "M. Brandl" })),
    ] {
        let path = format!("{unknown}/{what}");
        service.post_once(&path, what, &body).await.problem(404, "webhook-not-found");
        service.post(&path, &body).await.problem(400, "idempotency-key-missing");
    }
    let delete = service.request("DELETE", unknown).header("if-match", "*");
    Reply::of(delete).await.problem(404, "webhook-not-found");
}

async fn a_webhook_is_changed_under_its_tag_and_deleted(service: Arc<Service>) {
    let webhook = made(&service, "https://orders.example/hook", &["order.*"]).await;
    let other = made(&service, "https://orders.example/other", &[]).await;
    let list = service.get("/v1/webhooks?limit=1").await.expect(200);
    assert_eq!(list.json()["items"][0]["id"], webhook["id"]);
    assert!(list.header("link").contains(webhook["id"].as_str().unwrap()));
    let shown = service.get(&path(&webhook)).await.expect(200);
    let tag = shown.header("etag").to_owned();
    assert_eq!(shown.json()["types"], json!(["internal.crownwheel.order.*"]));
    let changed = put(&service, &webhook, &tag, "paused").await.expect(200);
    assert_eq!(service.get(&path(&webhook)).await.expect(200).header("etag"), changed.header("etag"));
    put(&service, &webhook, &tag, "active").await.problem(412, "precondition-failed");
    let delete = |tag: &str| service.request("DELETE", &path(&webhook)).header("if-match", tag);
    Reply::of(service.request("DELETE", &path(&webhook))).await.problem(428, "precondition-required");
    Reply::of(delete(&tag)).await.problem(412, "precondition-failed");
    let gone = Reply::of(delete(changed.header("etag"))).await.expect(204);
    assert!(gone.body.is_empty());
    service.get(&path(&webhook)).await.problem(404, "webhook-not-found");
    service.get(&path(&other)).await.expect(200);
}
