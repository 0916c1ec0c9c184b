//! Two instances over one database, killed and started again while orders are drafted: each order once, no event lost, none out
//! of order for its paper.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use serde_json::{Value, json};

use crate::events::feed;
use crate::harness::{Service, client_with};
use crate::receiver::{Answer, OK, Receiver};
use crate::served::{Served, binary, free_port};
use crate::webhooks::quick;

tests![killed_under_load_they_order_once_and_lose_no_event];

const QUOTES: usize = 16;
const WRITERS: usize = 4;
const TRACE: &str = "00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01";

async fn instance(database: &str, port: u16) -> Served {
    let mut command = binary();
    command.env("RUST_LOG", "error").args(["serve", "--database", database, "--listen"]);
    command.arg(format!("127.0.0.1:{port}")).args(["--allow-webhook-host", "127.0.0.1", "--rate-limit", "0"]);
    Served::start(&mut command, port, TRACE).await
}

/// Posts under a key of its own; `None` where the instance is not there or broke off.
async fn post(key: &str, port: u16, path: &str, body: &Value) -> Option<(u16, Value)> {
    let request = client_with(key).post(format!("http://127.0.0.1:{port}{path}"));
    let request = request.header("if-match", "*").header("idempotency-key", uuid::Uuid::now_v7().to_string());
    let reply = request.json(body).send().await.ok()?;
    let status = reply.status().as_u16();
    Some((status, reply.json().await.ok()?))
}

/// Asks one instance after the other until it is done, or was done by a request whose answer was lost.
async fn insist(key: &str, ports: [u16; 2], path: &str, body: &Value, done_before: &str) {
    for turn in 0..6_000 {
        match post(key, ports[turn % 2], path, body).await {
            Some((201, _)) => return,
            Some((409, problem)) if problem["type"] == format!("/problems/{done_before}") => return,
            None | Some((503, _)) => tokio::time::sleep(Duration::from_millis(20)).await,
            Some((status, problem)) => panic!("{path}: {status} {problem}"),
        }
    }
    panic!("{path} is not to be had");
}

async fn killed_under_load_they_order_once_and_lose_no_event(service: Arc<Service>) {
    // The service of the test itself reads and stores, but delivers nothing.
    let mut options = quick();
    options.deliveries.look_every = Duration::from_secs(100_000);
    let reader = Arc::new(Service::start_with(service.kind, options).await);
    // Some messages fail, so that there is always something waiting when an instance dies.
    let receiver = Receiver::start(|_, before| match before % 5 {
        3 => Answer::Status(500, "", ""),
        _ => OK,
    })
    .await;
    let ports = [free_port(), free_port()];
    let mut one = instance(&reader.database, ports[0]).await;
    let mut other = instance(&reader.database, ports[1]).await;
    let asked = json!({ "url": receiver.url, "types": ["order.*"], "by": "M. Brandl" });
    let (status, _) = post(&reader.key, ports[0], "/v1/webhooks", &asked).await.unwrap();
    assert_eq!(status, 201);
    let mut quotes = Vec::new();
    for _ in 0..QUOTES {
        quotes.push(reader.stored_quote("T-100").await["number"].as_str().unwrap().to_owned());
    }
    let ordered = Arc::new(AtomicUsize::new(0));
    let mut writers = Vec::new();
    for mine in quotes.chunks(QUOTES / WRITERS).map(<[String]>::to_vec) {
        let (reader, ordered) = (reader.clone(), ordered.clone());
        writers.push(tokio::spawn(async move {
            for quote in mine {
                let draft = json!({ "quote": quote, "by": "M. Brandl" });
                insist(&reader.key, ports, "/v1/orders", &draft, "already-ordered").await;
                let orders = reader.get(&format!("/v1/orders?quote={quote}")).await.expect(200).json();
                for order in orders["items"].as_array().unwrap() {
                    let steps = format!("/v1/orders/{}/steps", order["number"].as_str().unwrap());
                    let place = json!({ "step": "place", "by": "M. Brandl" });
                    insist(&reader.key, ports, &steps, &place, "wrong-state").await;
                }
                ordered.fetch_add(1, Ordering::SeqCst);
            }
        }));
    }
    // Each dies (SIGKILL) while the writers write, and comes back.
    for (at, (victim, port)) in [(&mut one, ports[0]), (&mut other, ports[1])].into_iter().enumerate() {
        let enough = (at + 1) * QUOTES / 4;
        while ordered.load(Ordering::SeqCst) < enough {
            tokio::time::sleep(Duration::from_millis(5)).await;
        }
        victim.kill_now();
        *victim = instance(&reader.database, port).await;
    }
    for writer in writers {
        writer.await.unwrap();
    }
    let events = feed(&reader, "0").await;
    let wanted: BTreeSet<i64> = sequences(&events, "internal.crownwheel.order.");
    receiver.until(|receiver| taken(receiver) == wanted).await;
    each_order_once(&reader, &events, &quotes).await;
    in_order_for_its_paper(&receiver);
    one.stop().await;
    other.stop().await;
    reader.stop().await;
}

fn sequences(events: &[Value], prefix: &str) -> BTreeSet<i64> {
    let of_kind = events.iter().filter(|event| event["type"].as_str().unwrap().starts_with(prefix));
    of_kind.map(|event| event["sequence"].as_str().unwrap().parse().unwrap()).collect()
}

fn taken(receiver: &Receiver) -> BTreeSet<i64> {
    receiver.taken().iter().map(crate::receiver::Message::sequence).collect()
}

async fn each_order_once(reader: &Service, events: &[Value], quotes: &[String]) {
    let all: Vec<i64> =
        events.iter().map(|event| event["sequence"].as_str().unwrap().parse().unwrap()).collect();
    assert_eq!(all, (1..=i64::try_from(all.len()).unwrap()).collect::<Vec<_>>(), "no hole in the feed");
    let suppliers = async |quote: &str| -> Vec<String> {
        let orders = reader.get(&format!("/v1/orders?quote={quote}")).await.expect(200).json();
        let items = orders["items"].as_array().unwrap().clone();
        items.iter().map(|order| order["supplier"].as_str().unwrap().to_owned()).collect()
    };
    let first = suppliers(&quotes[0]).await;
    assert!(!first.is_empty());
    for quote in quotes {
        assert_eq!(suppliers(quote).await, first, "{quote} is ordered for once");
    }
    let mut steps: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for event in events.iter().filter(|event| event["subject"].as_str().unwrap().starts_with("orders/")) {
        let step = event["data"]["step"].as_str().unwrap();
        steps.entry(event["subject"].as_str().unwrap()).or_default().push(step);
    }
    assert_eq!(steps.len(), quotes.len() * first.len());
    for (order, taken) in steps {
        assert_eq!(taken, ["draft", "place"], "{order}");
    }
}

/// An event may come twice, but none comes before one of its paper that was not taken yet.
fn in_order_for_its_paper(receiver: &Receiver) {
    let mut last: BTreeMap<String, i64> = BTreeMap::new();
    let mut of_paper: BTreeMap<String, BTreeSet<i64>> = BTreeMap::new();
    for message in receiver.taken() {
        of_paper.entry(message.subject()).or_default().insert(message.sequence());
    }
    for message in receiver.taken() {
        let (subject, sequence) = (message.subject(), message.sequence());
        let before = last.entry(subject.clone()).or_insert(0);
        let next = of_paper[&subject].range(*before + 1..).next().copied();
        assert!(sequence <= *before || Some(sequence) == next, "{subject}: {sequence} after {before}");
        *before = sequence.max(*before);
    }
}
