//! The questions over HTTP: processor time of server and database for each request, beside a fixed answer of 4 KB and
//! beside recursive SQL, both through the same web stack.

use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use actix_web::{App, HttpResponse, HttpServer, web};
use operations::access_keys::{AskedKey, replace_key};
use operations::role::Role;
use operations::shop::Shop;
use reqwest::Client;
use reqwest::header::{AUTHORIZATION, HeaderMap};
use serde_json::json;

use crate::DAY;
use crate::peer::Peer;
use crate::processor_time;
use crate::question::{Kind, Question};

/// The variable that makes this program the web server of the peer, on the database that it names.
pub(crate) const PEER: &str = "QUESTIONS_PEER";
/// The variable with the peer's port.
const PORT: &str = "QUESTIONS_PORT";
/// How long a way is asked before it is the next one's turn.
const TURN: Duration = Duration::from_millis(700);
/// Turns of each way.
const TURNS: usize = 4;

/// A process that is ended with this value.
struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        let _killed = self.0.kill();
        let _ended = self.0.wait();
    }
}

/// One way of asking: requests that are sent in turn, and what they have cost.
struct Way {
    name: String,
    process: u32,
    requests: Vec<(String, Option<String>)>,
    sent: usize,
    seconds: f64,
}

/// Starts both servers on a database and tells what a request costs.
pub(crate) async fn bench(name: &str, url: &str, questions: &[Question], server: &postgres_server::Server) {
    let _ = rustls::crypto::ring::default_provider().install_default();
    let client = Client::builder().default_headers(headers(url).await).build().unwrap();
    let (service_port, peer_port) = (free_port(), free_port());
    let mut command = Command::new(env!("CARGO_BIN_EXE_crownwheel"));
    command.args(["serve", "--database", url, "--listen", &format!("127.0.0.1:{service_port}")]);
    command.args(["--rate-limit", "0"]);
    let service = started(command.env("RUST_LOG", "error"), service_port, &client).await;
    let mut command = Command::new(std::env::current_exe().unwrap());
    let peer = started(command.env(PEER, url).env(PORT, peer_port.to_string()), peer_port, &client).await;
    let (service_url, peer_url) =
        (format!("http://127.0.0.1:{service_port}"), format!("http://127.0.0.1:{peer_port}"));
    let mut ways = vec![way("fixed 4 KB answer", &peer, vec![(format!("{peer_url}/fixed"), None)])];
    for question in questions {
        let subjects = question.subjects.iter();
        let of_service = subjects.clone().map(|subject| request(&service_url, question.kind, subject));
        ways.push(way(&format!("{}, service", question.name()), &service, of_service.collect()));
        let of_peer = subjects
            .map(|subject| (format!("{peer_url}/{}/{}", word(question.kind), escaped(subject)), None));
        ways.push(way(&format!("{}, SQL", question.name()), &peer, of_peer.collect()));
    }
    let folder = server.url("").split("host=").nth(1).unwrap_or_default().to_owned();
    let folder = if name == "PostgreSQL" { folder } else { String::new() };
    for turn in 0..=TURNS {
        for way in &mut ways {
            // The first turn warms up.
            way.take_turn(&client, &folder, turn > 0).await;
        }
    }
    report(name, &ways);
}

/// What every request carries: a key for the role that may ask all questions.
async fn headers(url: &str) -> HeaderMap {
    let shop = Shop::open(url).await.unwrap();
    let asked = AskedKey { name: "questions".to_owned(), role: Role::Counter, expires_at: None };
    let key = replace_key(&shop, &asked).await.unwrap().secret;
    shop.close().await.unwrap();
    HeaderMap::from_iter([(AUTHORIZATION, format!("Bearer {key}").parse().unwrap())])
}

impl Way {
    async fn take_turn(&mut self, client: &Client, folder: &str, counts: bool) {
        let used = || {
            let database = if folder.is_empty() { 0.0 } else { processor_time::of_server(folder) };
            processor_time::of_process(self.process) + database
        };
        let before = used();
        let (begun, mut sent) = (Instant::now(), 0);
        while begun.elapsed() < TURN {
            let (url, body) = &self.requests[(self.sent + sent) % self.requests.len()];
            let request = match body {
                Some(body) => client.post(url).header("content-type", "application/json").body(body.clone()),
                None => client.get(url),
            };
            let reply = request.send().await.unwrap();
            assert!(reply.status().is_success(), "{url}: {}", reply.status());
            let _body = reply.bytes().await.unwrap();
            sent += 1;
        }
        if counts {
            self.seconds += used() - before;
            self.sent += sent;
        }
    }

    fn cost(&self) -> f64 {
        self.seconds / self.sent as f64
    }
}

fn report(name: &str, ways: &[Way]) {
    println!("\nover HTTP on {name}: processor time of server and database a request, the ways in turn");
    let fixed = ways[0].cost();
    for (at, way) in ways.iter().enumerate() {
        let against = match at {
            0 => String::new(),
            at if at % 2 == 1 => format!("  service / SQL {:8.2}", way.cost() / ways[at + 1].cost()),
            _ => String::new(),
        };
        println!(
            "{:28} {:>10.0} microseconds, {:8.1} fixed answers, {:>6} requests{against}",
            way.name,
            way.cost() * 1e6,
            way.cost() / fixed,
            way.sent
        );
    }
}

fn way(name: &str, running: &Running, requests: Vec<(String, Option<String>)>) -> Way {
    Way { name: name.to_owned(), process: running.0.id(), requests, sent: 0, seconds: 0.0 }
}

fn request(url: &str, kind: Kind, subject: &str) -> (String, Option<String>) {
    let part = escaped(subject);
    match kind {
        Kind::Current => (format!("{url}/v1/parts/{part}/current-numbers?as_of={DAY}"), None),
        Kind::Uses => (format!("{url}/v1/parts/{part}/where-used"), None),
        Kind::Rebuild => {
            let asked = json!({ "units": [{ "unit": subject }], "as_of": DAY });
            (format!("{url}/v1/requirements"), Some(asked.to_string()))
        }
    }
}

fn word(kind: Kind) -> &'static str {
    match kind {
        Kind::Current => "current",
        Kind::Rebuild => "rebuild",
        Kind::Uses => "uses",
    }
}

fn escaped(key: &str) -> String {
    key.replace('/', "%2F")
}

fn free_port() -> u16 {
    std::net::TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port()
}

async fn started(command: &mut Command, port: u16, client: &Client) -> Running {
    let running = Running(command.stdin(Stdio::null()).stdout(Stdio::null()).spawn().unwrap());
    for _ in 0..400 {
        if client.get(format!("http://127.0.0.1:{port}/healthz")).send().await.is_ok() {
            return running;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    panic!("nothing answers at port {port}");
}

/// The web server of the peer: the same stack, and nothing between a request and the SQL.
pub(crate) async fn serve_peer(url: &str) {
    let peer = web::Data::new(Peer::open(url).await);
    let port: u16 = std::env::var(PORT).unwrap().parse().unwrap();
    let fixed = web::Data::new("x".repeat(4096));
    let server = HttpServer::new(move || {
        App::new()
            .app_data(peer.clone())
            .app_data(fixed.clone())
            .route("/healthz", web::get().to(|| async { "alive" }))
            .route("/fixed", web::get().to(|fixed: web::Data<String>| async move { fixed.to_string() }))
            .route("/{kind}/{key}", web::get().to(ask))
    });
    server.workers(1).bind(("127.0.0.1", port)).unwrap().run().await.unwrap();
}

async fn ask(peer: web::Data<Peer>, path: web::Path<(String, String)>) -> HttpResponse {
    let (kind, key) = path.into_inner();
    let kind = match kind.as_str() {
        "current" => Kind::Current,
        "rebuild" => Kind::Rebuild,
        _ => Kind::Uses,
    };
    HttpResponse::Ok().content_type("application/json").body(kind.ask_peer(&peer, &key).await)
}
