//! Reservations over HTTP: however many ask at once, no more is reserved than there is.

use std::collections::BTreeSet;
use std::process::{Child, Command};
use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::{Reply, Service, client, client_with};

tests![
    what_is_reserved_is_not_available_to_others,
    a_reservation_is_given_back_once,
    sixty_four_who_want_the_last_pieces_at_once,
];

const RESERVATIONS: &str = "/v1/reservations";

fn wanted(job: &str, quantity: &str) -> Value {
    json!({ "job": job, "by": "Ruth", "lines": [{ "part": "VESSICK/OIL-1", "quantity": quantity }] })
}

/// Opens some jobs: J-000001 and on.
async fn open_jobs(service: &Service, count: usize) {
    for at in 0..count {
        let enquiry = json!({ "by": "Ruth", "request": { "units": [{ "unit": "T-100" }] } });
        service.post_once("/v1/jobs", &format!("job-{at}"), &enquiry).await.expect(201);
    }
}

async fn oil(service: &Service) -> (String, String, String) {
    let stock = service.get("/v1/stock?part=OIL-1&empty=true").await.expect(200).json();
    let lot = &stock["items"][0];
    let text = |field: &str| lot[field].as_str().unwrap().to_owned();
    (text("balance"), text("reserved"), text("available"))
}

async fn what_is_reserved_is_not_available_to_others(service: Arc<Service>) {
    open_jobs(&service, 3).await;
    let made = service.post_once(RESERVATIONS, "1", &wanted("j-000001", "7.5")).await.expect(201);
    assert_eq!(made.header("location"), "/v1/reservations?job=J-000001");
    let first = made.json()["items"][0].clone();
    assert_eq!((&first["number"], &first["state"]), (&json!("RS-000001"), &json!("live")));
    assert_eq!(oil(&service).await, ("10".into(), "7.5".into(), "2.5".into()));
    let problem =
        service.post_once(RESERVATIONS, "2", &wanted("J-000002", "3")).await.problem(409, "not-available");
    let figures = json!({ "part": "VESSICK/OIL1", "wanted": "3", "balance": "10", "reserved": "7.5",
        "available": "2.5" });
    assert_eq!(problem["shortage"], figures);
    let scrap = json!({ "by": "Ruth", "postings": [{ "part": "OIL-1", "bin": "A-1", "kind": "scrap",
        "quantity": "3", "reason": "old" }] });
    service.post_once("/v1/stock/movements", "3", &scrap).await.problem(409, "not-available");
    let listed = service.get("/v1/reservations?job=j-000001").await.expect(200).json();
    assert_eq!(listed["items"], json!([first]));
    let asked = json!({ "units": [{ "unit": "T-100" }], "as_of": crate::harness::DAY });
    let answer = service.post("/v1/requirements", &asked).await.expect(200).json();
    assert_eq!(answer["sourcing"]["from_stock"][0]["quantity"], "2.5", "what is reserved is left alone");
    for (at, (field, value)) in
        [("quantity", json!("0")), ("part", json!("NONE")), ("bin", json!("a b"))].into_iter().enumerate()
    {
        let mut body = wanted("J-000003", "1");
        body["lines"][0][field] = value;
        let reply = service.post_once(RESERVATIONS, &format!("w{at}"), &body).await;
        assert_eq!(reply.json()["errors"][0]["pointer"], format!("/lines/0/{field}"), "{}", reply.text());
    }
    let forever =
        json!({ "job": "J-000003", "by": "R", "hold_hours": 0, "lines": wanted("J", "1")["lines"] });
    service.post_once(RESERVATIONS, "0h", &forever).await.problem(422, "bad-value");
}

async fn a_reservation_is_given_back_once(service: Arc<Service>) {
    open_jobs(&service, 1).await;
    service.post_once(RESERVATIONS, "1", &wanted("J-000001", "10")).await.expect(201);
    let release = "/v1/reservations/rs-000001/release";
    let freed = service.post(release, &json!({ "by": "Olaf" })).await.expect(200).json();
    assert_eq!((&freed["state"], &freed["ended_by"]), (&json!("released"), &json!("Olaf")));
    service.post(release, &json!({ "by": "Olaf" })).await.problem(409, "reservation-ended");
    let none = "/v1/reservations/RS-000002/release";
    service.post(none, &json!({ "by": "Olaf" })).await.problem(404, "reservation-not-found");
    assert_eq!(oil(&service).await, ("10".into(), "0".into(), "10".into()));
    assert_eq!(service.get(RESERVATIONS).await.expect(200).json()["items"], json!([]));
    let all = service.get("/v1/reservations?ended=true&part=OIL-1").await.expect(200).json();
    assert_eq!(all["items"][0]["state"], "released");
}

/// A second service over the same database, in a process of its own; killed when it goes out of scope.
struct SecondProcess {
    child: Child,
    url: String,
}

impl SecondProcess {
    async fn start(database: &str) -> Self {
        let port = std::net::TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
        let child = Command::new(env!("CARGO_BIN_EXE_crownwheel"))
            .arg("serve")
            .env("CROWNWHEEL_DATABASE", database)
            .env("CROWNWHEEL_LISTEN", format!("127.0.0.1:{port}"))
            .env("RUST_LOG", "error")
            .spawn()
            .unwrap();
        let process = Self { child, url: format!("http://127.0.0.1:{port}") };
        for _ in 0..600 {
            if client().get(format!("{}/readyz", process.url)).send().await.is_ok() {
                return process;
            }
            tokio::time::sleep(std::time::Duration::from_millis(50)).await;
        }
        panic!("the second service does not start");
    }
}

impl Drop for SecondProcess {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

async fn sixty_four_who_want_the_last_pieces_at_once(service: Arc<Service>) {
    open_jobs(&service, 4).await;
    let second = SecondProcess::start(&service.database).await;
    let receive = json!({ "by": "Ruth", "postings": [
        { "part": "OIL-1", "bin": "A-1", "kind": "receive", "quantity": "10", "carrying_value": "5" } ] });
    service.post_once("/v1/stock/movements", "fill", &receive).await.expect(201);
    // Twenty litres; each of 64 wants one, every other one asks the other process.
    let asking: Vec<_> = (0..64)
        .map(|turn| {
            let url = if turn % 2 == 0 { service.url.clone() } else { second.url.clone() };
            let client = client_with(&service.key);
            tokio::spawn(async move {
                let request = client.post(format!("{url}{RESERVATIONS}"));
                let request =
                    request.header("idempotency-key", format!("\"client {turn}\"").replace(' ', "-"));
                Reply::of(request.json(&wanted(&format!("J-{:06}", turn % 4 + 1), "1"))).await
            })
        })
        .collect();
    let mut numbers = BTreeSet::new();
    let mut refused = 0;
    for task in asking {
        let reply = task.await.unwrap();
        if reply.status == 201 {
            numbers.insert(reply.json()["items"][0]["number"].as_str().unwrap().to_owned());
            continue;
        }
        let problem = reply.problem(409, "not-available");
        let figures = json!({ "part": "VESSICK/OIL1", "wanted": "1", "balance": "20", "reserved": "20",
            "available": "0" });
        assert_eq!(problem["shortage"], figures);
        refused += 1;
    }
    assert_eq!((numbers.len(), refused), (20, 44));
    assert_eq!(oil(&service).await, ("20".into(), "20".into(), "0".into()));
    let live = service.get("/v1/reservations?limit=500").await.expect(200).json();
    let open: Vec<&str> =
        live["items"].as_array().unwrap().iter().map(|one| one["open"].as_str().unwrap()).collect();
    assert_eq!(open, vec!["1"; 20]);
    let movements = service.get("/v1/stock/movements").await.expect(200).json();
    let sequences: Vec<i64> =
        movements["items"].as_array().unwrap().iter().map(|one| one["sequence"].as_i64().unwrap()).collect();
    assert_eq!(sequences, [1, 2], "reserving moves nothing");
}
