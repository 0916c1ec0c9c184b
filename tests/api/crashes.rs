//! The binary killed at random under load, again and again: what was acknowledged is there when it starts again, the
//! ledger still balances, and no number is lost or doubled.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::Duration;

use serde_json::{Value, json};

use crate::harness::{Reply, Service, client_with};
use crate::served::{Served, binary, free_port};

tests![what_was_acknowledged_outlives_fifty_kills];

/// How often the process is killed.
const KILLS: usize = 50;
/// How many write at once.
const CLIENTS: usize = 4;
/// Most writes that are acknowledged before a kill that waits for a number of them; the number comes by chance.
const WRITES_MAX: u64 = 24;
/// Most milliseconds that a kill comes later than what it waits for.
const MORE_MS_MAX: u64 = 20;
const TRACE: &str = "00-5bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01";

/// What was acknowledged since a start, counted.
#[derive(Debug, Default)]
struct Progress {
    writes: AtomicU64,
    issues: AtomicU64,
    receipts: AtomicU64,
}

/// What a kill waits for.
#[derive(Debug, Clone, Copy)]
enum Awaited {
    /// So many writes, of whatever kind.
    Writes(u64),
    /// A job from its enquiry to the first part that is issued.
    Issue,
    /// An order, and a box that was counted.
    Receipt,
}

impl Awaited {
    /// Every other kill comes after a number of writes by chance. That alone would leave it to the speed of the machine how far
    /// a job comes, so the kills between wait for the longest chains.
    fn before(kill: usize) -> Self {
        match kill % 4 {
            0 => Self::Issue,
            2 => Self::Receipt,
            _ => Self::Writes(1 + by_chance(WRITES_MAX)),
        }
    }

    fn has_come(self, progress: &Progress) -> bool {
        match self {
            Self::Writes(number) => progress.writes.load(Ordering::SeqCst) >= number,
            Self::Issue => progress.issues.load(Ordering::SeqCst) > 0,
            Self::Receipt => progress.receipts.load(Ordering::SeqCst) > 0,
        }
    }
}

/// Something that was acknowledged: where it is to be found, and what was told of it.
#[derive(Debug, Clone)]
struct Acknowledged {
    path: String,
    told: Value,
}

/// The service in a process of its own, on the test's database.
struct Process {
    served: Served,
    url: String,
    client: reqwest::Client,
}

impl Process {
    async fn start(database: &str, key: &str) -> Self {
        let port = free_port();
        let mut command = binary();
        command.args(["serve"]).env("CROWNWHEEL_DATABASE", database).env("RUST_LOG", "error");
        command.env("CROWNWHEEL_LISTEN", format!("127.0.0.1:{port}"));
        let served = Served::start(&mut command, port, TRACE).await;
        Self { served, url: format!("http://127.0.0.1:{port}"), client: client_with(key) }
    }

    async fn get(&self, path: &str) -> Value {
        Reply::of(self.client.get(format!("{}{path}", self.url))).await.expect(200).json()
    }

    /// All items of a list that comes in pieces; `key` is what the next piece goes on behind.
    async fn all(&self, path: &str, key: &str) -> Vec<Value> {
        let (mut items, mut after) = (Vec::new(), String::new());
        loop {
            let piece = self.get(&format!("{path}limit=500{after}")).await["items"].clone();
            let piece = piece.as_array().unwrap().clone();
            let Some(last) = piece.last() else { return items };
            after = format!("&after={}", last[key].to_string().replace('"', ""));
            items.extend(piece);
        }
    }
}

/// One who writes until the process is gone.
struct Writer {
    url: String,
    client: reqwest::Client,
    gone: Arc<AtomicBool>,
    progress: Arc<Progress>,
    acknowledged: Vec<Acknowledged>,
}

impl Writer {
    /// Sends something once; what came back, if anything did.
    async fn send(&self, path: &str, body: &Value, tag: &str) -> Option<(u16, String, String)> {
        let request = self.client.post(format!("{}{path}", self.url)).json(body);
        let request = request.header("idempotency-key", format!("\"{}\"", uuid::Uuid::now_v7()));
        let request = if tag.is_empty() { request } else { request.header("if-match", tag) };
        let reply = request.send().await.ok()?;
        let (status, tag) = (reply.status().as_u16(), reply.headers().get("etag").cloned());
        let text = reply.text().await.ok()?;
        Some((status, tag.map_or(String::new(), |tag| tag.to_str().unwrap().to_owned()), text))
    }

    /// Sends something that must be done where it is answered at all.
    async fn does(&self, path: &str, body: Value, tag: &str) -> Option<(Value, String)> {
        let (status, tag, text) = self.send(path, &body, tag).await?;
        assert!(status == 201 || status == 200, "{path}: {status} {text}");
        self.progress.writes.fetch_add(1, Ordering::SeqCst);
        Some((serde_json::from_str(&text).unwrap(), tag))
    }

    fn keep(&mut self, path: String, told: Value) {
        self.acknowledged.push(Acknowledged { path, told });
    }

    /// Pieces come in without a paper.
    async fn shelve(&mut self) -> Option<()> {
        let receive = json!({ "by": "Ruth", "postings": [
            { "part": "VESSICK/S-1", "bin": "A-1", "kind": "receive", "quantity": "2", "carrying_value": "7" },
            { "part": "VESSICK/B1A", "bin": "A-1", "kind": "receive", "quantity": "1", "carrying_value": "30" },
        ] });
        let (booked, _) = self.does("/v1/stock/movements", receive, "").await?;
        for movement in booked["items"].as_array().unwrap() {
            let before = movement["sequence"].as_i64().unwrap() - 1;
            self.keep(format!("/v1/stock/movements?limit=1&after={before}"), movement.clone());
        }
        Some(())
    }

    /// A job with all its steps up to the first part that is issued.
    async fn build(&mut self) -> Option<()> {
        let enquiry = json!({ "by": "Ruth", "request": { "units": [{ "unit": "T-100", "serial": "77" }] } });
        let (job, tag) = self.does("/v1/jobs", enquiry, "").await?;
        let number = job["number"].as_str().unwrap().to_owned();
        let path = format!("/v1/jobs/{number}");
        self.keep(path.clone(), job);
        let reserve =
            json!({ "job": number, "by": "Ruth", "lines": [{ "part": "VESSICK/S-1", "quantity": "1" }] });
        let (reserved, _) = self.does("/v1/reservations", reserve, "").await?;
        for one in reserved["items"].as_array().unwrap() {
            self.keep(format!("/v1/reservations?ended=true&job={number}"), one.clone());
        }
        let mut tag = tag;
        for step in [
            json!({ "step": "strip", "by": "Olaf" }),
            json!({ "step": "decide", "by": "Ruth" }),
            json!({ "step": "approve", "by": "Ruth", "price": "300", "approved_by": "The district" }),
            json!({ "step": "build", "by": "Olaf" }),
        ] {
            let (stood, next) = self.does(&format!("{path}/steps"), step, &tag).await?;
            self.keep(path.clone(), stood);
            tag = next;
        }
        let issue = json!({ "by": "Olaf", "lines": [
            { "part": "VESSICK/S-1", "bin": "A-1", "quantity": "1", "position": "SEAL" }
        ] });
        let (issued, _) = self.does(&format!("{path}/issues"), issue, &tag).await?;
        self.keep(path.clone(), issued);
        self.progress.issues.fetch_add(1, Ordering::SeqCst);
        Some(())
    }

    /// An order, and a box.
    async fn buy(&mut self) -> Option<()> {
        let order = json!({ "by": "M. Brandl", "supplier": "PELLWORTH",
            "lines": [{ "part": "VESSICK/K-100", "quantity": "1" }] });
        let (orders, _) = self.does("/v1/orders", order, "").await?;
        let order = orders["items"][0].clone();
        self.keep(format!("/v1/orders/{}", order["number"].as_str().unwrap()), order);
        let counted = json!({ "kit": "VESSICK/K-100", "supplier": "PELLWORTH", "bin": "A-1", "by": "R. Haller",
            "counted": [{ "part": "VESSICK/B1A", "quantity": "2" }, { "part": "VESSICK/S-1", "quantity": "1" }] });
        let (receipt, _) = self.does("/v1/receipts", counted, "").await?;
        self.keep(format!("/v1/receipts/{}", receipt["number"].as_str().unwrap()), receipt);
        self.progress.receipts.fetch_add(1, Ordering::SeqCst);
        Some(())
    }

    /// Writes whatever the shop writes down, beginning somewhere, until the process is gone.
    async fn write(mut self, first: usize) -> Vec<Acknowledged> {
        for turn in first.. {
            let went_on = match turn % 3 {
                // What is issued in a job was received before.
                0 => match self.shelve().await {
                    Some(()) => self.build().await,
                    None => None,
                },
                1 => self.buy().await,
                _ => self.shelve().await,
            };
            if went_on.is_none() {
                break;
            }
        }
        assert!(self.gone.load(Ordering::SeqCst), "the process ended by itself, or lost a connection");
        self.acknowledged
    }
}

/// A number below a limit by chance: the tail of such an id is random.
fn by_chance(limit: u64) -> u64 {
    u64::try_from(uuid::Uuid::now_v7().as_u128() % u128::from(limit)).unwrap()
}

async fn what_was_acknowledged_outlives_fifty_kills(service: Arc<Service>) {
    let database = service.database.clone();
    // The process is alone on its database, so that it has to recover by itself.
    service.shop.close().await.unwrap();
    let mut all: Vec<Acknowledged> = Vec::new();
    for kill in 0..KILLS {
        let process = Process::start(&database, &service.key).await;
        if let Some(last) = all.last() {
            found(&process, last).await;
        }
        let (gone, progress) = (Arc::new(AtomicBool::new(false)), Arc::new(Progress::default()));
        let writers: Vec<_> = (0..CLIENTS)
            .map(|place| {
                let writer = Writer {
                    url: process.url.clone(),
                    client: client_with(&service.key),
                    gone: gone.clone(),
                    progress: progress.clone(),
                    acknowledged: Vec::new(),
                };
                tokio::spawn(writer.write(kill + place))
            })
            .collect();
        let (awaited, more_ms) = (Awaited::before(kill), by_chance(MORE_MS_MAX));
        let waited = tokio::time::timeout(Duration::from_secs(60), async {
            while !awaited.has_come(&progress) && !writers.iter().any(|writer| writer.is_finished()) {
                tokio::time::sleep(Duration::from_millis(1)).await;
            }
            tokio::time::sleep(Duration::from_millis(more_ms)).await;
        });
        waited.await.unwrap_or_else(|_| panic!("kill {kill}: not within a minute: {awaited:?}"));
        gone.store(true, Ordering::SeqCst);
        process.served.kill().await;
        for writer in writers {
            let acknowledged = writer.await;
            all.extend(acknowledged.unwrap_or_else(|error| panic!("kill {kill}, {awaited:?}: {error}")));
        }
    }
    assert!(all.len() >= KILLS, "the kills fell into a service under load: {}", all.len());
    let process = Process::start(&database, &service.key).await;
    for one in &all {
        found(&process, one).await;
    }
    the_ledger_balances(&process).await;
    what_is_in_jobs_left_the_shelf(&process).await;
    numbers_run_without_gaps(&process).await;
    process.served.stop().await;
}

/// What was acknowledged is told again; a job may have gone on since, an order and a lot too.
async fn found(process: &Process, one: &Acknowledged) {
    let now = process.get(&one.path).await;
    let now = match now.get("items") {
        Some(items) => items.as_array().unwrap().iter().find(|item| same(item, &one.told)).cloned(),
        None => Some(now),
    };
    let now = now.unwrap_or_else(|| panic!("{} is lost: {}", one.path, one.told));
    let (steps, told) = (now.get("steps"), one.told.get("steps"));
    match (steps.and_then(Value::as_array), told.and_then(Value::as_array)) {
        (Some(steps), Some(told)) => assert!(steps.starts_with(told), "{}: {now}", one.path),
        _ => assert!(same(&now, &one.told), "{}: {now} is not {}", one.path, one.told),
    }
}

fn same(now: &Value, told: &Value) -> bool {
    ["number", "sequence", "part", "quantity", "by", "at", "counted_at", "result"]
        .iter()
        .all(|field| now[field] == told[field])
}

/// Every balance is what its movements come to, and what is reserved is what open reservations come to.
async fn the_ledger_balances(process: &Process) {
    let thousandths = |value: &Value| {
        let (whole, part) = value.as_str().unwrap().split_once('.').unwrap_or((value.as_str().unwrap(), ""));
        let sign = if whole.starts_with('-') { -1 } else { 1 };
        whole.parse::<i64>().unwrap() * 1000 + sign * format!("{part:0<3}").parse::<i64>().unwrap()
    };
    let lot = |row: &Value| format!("{}|{}|{}", row["part"], row["bin"], row["mark"]);
    let movements = process.all("/v1/stock/movements?", "sequence").await;
    let mut sums: BTreeMap<String, i64> = BTreeMap::new();
    for (sequence, movement) in (1_i64..).zip(&movements) {
        assert_eq!(movement["sequence"], sequence, "the ledger has no gaps");
        *sums.entry(lot(movement)).or_default() += thousandths(&movement["quantity"]);
    }
    let mut reserved: BTreeMap<String, i64> = BTreeMap::new();
    for one in process.all("/v1/reservations?", "number").await {
        *reserved.entry(lot(&one)).or_default() += thousandths(&one["open"]);
    }
    let lots = process.get("/v1/stock?empty=true&limit=500").await;
    let lots = lots["items"].as_array().unwrap();
    assert_eq!(lots.len(), sums.len());
    for held in lots {
        assert_eq!(thousandths(&held["balance"]), sums[&lot(held)], "{held}");
        let open = reserved.get(&lot(held)).copied().unwrap_or(0);
        assert_eq!(thousandths(&held["reserved"]), open, "{held}");
    }
}

/// A job's step and its movement are there together or not at all.
async fn what_is_in_jobs_left_the_shelf(process: &Process) {
    let mut issues = 0;
    for job in process.all("/v1/jobs?", "number").await {
        let number = job["number"].as_str().unwrap();
        let job = process.get(&format!("/v1/jobs/{number}")).await;
        let moved = process.get(&format!("/v1/stock/movements?paper={number}")).await;
        let (issued, moved) = (job["issued"].as_array().unwrap(), moved["items"].as_array().unwrap());
        assert_eq!(issued.len(), moved.len(), "{job} {moved:?}");
        issues += issued.len();
    }
    // Every fourth kill waited for one.
    assert!(issues >= KILLS / 4, "only {issues} jobs came as far as that");
}

async fn numbers_run_without_gaps(process: &Process) {
    for (path, prefix) in [
        ("/v1/jobs?", "J"),
        ("/v1/orders?", "PO"),
        ("/v1/receipts?", "RC"),
        ("/v1/reservations?ended=true&", "RS"),
    ] {
        let found = process.all(path, "number").await;
        assert!(found.len() >= 10, "{prefix}: {}", found.len());
        for (running, one) in (1..).zip(&found) {
            assert_eq!(one["number"], format!("{prefix}-{running:06}"), "numbers have no gaps or doubles");
        }
    }
}
