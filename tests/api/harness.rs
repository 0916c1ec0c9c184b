//! A service of its own for each test, on a database of its own, at a free port.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::Duration;

use http_api::{Server, ServerOptions};
use operations::access_keys::{AskedKey, create_first_key, create_key};
use operations::import_catalogue::{BundleSource, ImportRequest, import_catalogue};
use operations::role::Role;
use operations::shop::Shop;
use reqwest::header::{AUTHORIZATION, HeaderMap};
use reqwest::{Client, Method, RequestBuilder};
use serde_json::Value;
use tempfile::TempDir;
use tokio::sync::OnceCell;

/// The day for which most tests ask, so that their answers stay the same.
pub(crate) const DAY: &str = "2026-06-01";

/// Which database a test runs on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum DatabaseKind {
    /// A SQLite file.
    Sqlite,
    /// A PostgreSQL server.
    Postgres,
}

impl DatabaseKind {
    /// Its name.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Sqlite => "sqlite",
            Self::Postgres => "postgres",
        }
    }
}

/// A running service with the small catalogue in it.
pub(crate) struct Service {
    /// Where it listens.
    pub(crate) url: String,
    /// The address of its database.
    pub(crate) database: String,
    /// Which database it is.
    pub(crate) kind: DatabaseKind,
    /// The shop behind it, for what cannot be brought about from the outside.
    pub(crate) shop: Shop,
    /// The owner's key that every request carries.
    pub(crate) key: String,
    client: Client,
    handle: actix_handle::Handle,
    running: std::sync::Mutex<Option<tokio::task::JoinHandle<Result<(), http_api::ServeError>>>>,
    _folder: TempDir,
}

/// The server's handle without naming the web framework here.
mod actix_handle {
    use std::future::Future;
    use std::pin::Pin;

    /// Stops the server.
    pub(crate) type Handle = Box<dyn Fn() -> Pin<Box<dyn Future<Output = ()> + Send>> + Send + Sync>;
}

/// What came back.
#[derive(Debug)]
pub(crate) struct Reply {
    /// The status.
    pub(crate) status: u16,
    /// The header fields.
    pub(crate) headers: HeaderMap,
    /// The body.
    pub(crate) body: Vec<u8>,
}

impl Service {
    /// Starts a service on a fresh database.
    pub(crate) async fn start(kind: DatabaseKind) -> Self {
        Self::start_with(kind, ServerOptions::default()).await
    }

    /// Starts a service on a fresh database with the demo catalogue.
    pub(crate) async fn start_demo(kind: DatabaseKind) -> Self {
        Self::start_on(Catalogue::Demo, kind, ServerOptions::default()).await
    }

    /// Starts a service that is run in another way.
    pub(crate) async fn start_with(kind: DatabaseKind, options: ServerOptions) -> Self {
        Self::start_on(Catalogue::Small, kind, options).await
    }

    async fn start_on(catalogue: Catalogue, kind: DatabaseKind, options: ServerOptions) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let database = database_of(catalogue, kind, folder.path()).await;
        let shop = Shop::open(&database).await.unwrap();
        let key = create_first_key(&shop).await.unwrap().unwrap().secret;
        let options =
            ServerOptions { listen: "127.0.0.1:0".to_owned(), workers: Some(1), signals: false, ..options };
        let server = Server::start(shop.clone(), &options).unwrap();
        let url = format!("http://{}", server.addresses()[0]);
        let stopper = server.handle();
        let running = std::sync::Mutex::new(Some(tokio::spawn(server.run())));
        let handle: actix_handle::Handle = Box::new(move || {
            let stop = stopper.stop(true);
            Box::pin(stop)
        });
        let client = client_with(&key);
        Self { url, database, kind, shop, key, client, handle, running, _folder: folder }
    }

    /// Stops it and lets its database go.
    pub(crate) async fn stop(&self) {
        (self.handle)().await;
        let running = self.running.lock().unwrap().take();
        if let Some(running) = running {
            running.await.unwrap().unwrap();
        }
        self.shop.close().await.unwrap();
    }

    /// A request, to be added to.
    pub(crate) fn request(&self, method: &str, path: &str) -> RequestBuilder {
        self.client.request(Method::from_bytes(method.as_bytes()).unwrap(), format!("{}{path}", self.url))
    }

    /// A request that carries another key, or none.
    pub(crate) fn request_with(&self, key: Option<&str>, method: &str, path: &str) -> RequestBuilder {
        let method = Method::from_bytes(method.as_bytes()).unwrap();
        let request = client().request(method, format!("{}{path}", self.url));
        match key {
            Some(key) => request.bearer_auth(key),
            None => request,
        }
    }

    /// What a command of the terminal is asked with to ask this service with the owner's key.
    pub(crate) fn over_http(&self) -> [&str; 4] {
        ["--url", &self.url, "--key", &self.key]
    }

    /// A key for a role.
    pub(crate) async fn key_for(&self, role: Role) -> String {
        let name = format!("{role} {}", uuid::Uuid::now_v7());
        create_key(&self.shop, &AskedKey { name, role, expires_at: None }).await.unwrap().secret
    }

    /// What is at a path.
    pub(crate) async fn get(&self, path: &str) -> Reply {
        Reply::of(self.request("GET", path)).await
    }

    /// What comes of a JSON body sent to a path.
    pub(crate) async fn post(&self, path: &str, body: &Value) -> Reply {
        Reply::of(self.request("POST", path).json(body)).await
    }

    /// What comes of a JSON body sent to a path under a key.
    pub(crate) async fn post_once(&self, path: &str, key: &str, body: &Value) -> Reply {
        let request = self.request("POST", path).header("idempotency-key", format!("\"{key}\""));
        Reply::of(request.json(body)).await
    }

    /// A stored quote of a unit, for the tests' day.
    pub(crate) async fn stored_quote(&self, unit: &str) -> Value {
        let key = uuid::Uuid::now_v7().to_string();
        let asked = serde_json::json!({ "units": [{ "unit": unit }], "as_of": DAY });
        let reply = self.post_once("/v1/quotes", &key, &asked).await;
        reply.expect(201).json()
    }

    /// Takes the demo catalogue in.
    pub(crate) async fn load_demo(&self) {
        let files: serde_json::Map<String, Value> = terminal::demo_bundle::demo_bundle()
            .into_iter()
            .map(|(name, text)| (name, Value::String(String::from_utf8(text).unwrap())))
            .collect();
        let import = self.import(serde_json::json!({ "files": files })).await;
        assert_eq!(import["state"], "done", "{}", import["result"]);
    }

    /// Takes files into the catalogue and waits until that is done.
    pub(crate) async fn import(&self, body: Value) -> Value {
        let key = uuid::Uuid::now_v7().to_string();
        let begun = self.post_once("/v1/imports", &key, &body).await.expect(202);
        let location = begun.header("location").to_owned();
        for _ in 0..600 {
            let import = self.get(&location).await.expect(200).json();
            if !import["finished_at"].is_null() {
                return import;
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        panic!("the import at {location} does not end");
    }
}

impl Reply {
    /// Sends a request.
    pub(crate) async fn of(request: RequestBuilder) -> Self {
        let response = request.send().await.unwrap();
        let (status, headers) = (response.status().as_u16(), response.headers().clone());
        Self { status, headers, body: response.bytes().await.unwrap().to_vec() }
    }

    /// The body as text.
    pub(crate) fn text(&self) -> String {
        String::from_utf8(self.body.clone()).unwrap()
    }

    /// The body as JSON.
    pub(crate) fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|error| panic!("{error}: {}", self.text()))
    }

    /// A header field; empty where it is not there.
    pub(crate) fn header(&self, name: &str) -> &str {
        self.headers.get(name).map_or("", |value| value.to_str().unwrap())
    }

    /// The reply, if it has this status.
    #[track_caller]
    pub(crate) fn expect(self, status: u16) -> Self {
        assert_eq!(self.status, status, "{}", self.text());
        self
    }

    /// The problem that the reply is (RFC 9457).
    #[track_caller]
    pub(crate) fn problem(self, status: u16, kind: &str) -> Value {
        assert_eq!(self.status, status, "{}", self.text());
        assert_eq!(self.header("content-type"), "application/problem+json");
        let problem = self.json();
        assert_eq!(problem["type"], format!("/problems/{kind}"), "{problem}");
        assert_eq!(problem["status"], status, "{problem}");
        for field in ["title", "detail", "instance", "trace_id"] {
            assert!(problem[field].as_str().is_some_and(|text| !text.is_empty()), "{field}: {problem}");
        }
        problem
    }
}

/// A client without a key.
pub(crate) fn client() -> Client {
    client_of(HeaderMap::new())
}

/// A client whose every request carries a key.
pub(crate) fn client_with(key: &str) -> Client {
    client_of(HeaderMap::from_iter([(AUTHORIZATION, format!("Bearer {key}").parse().unwrap())]))
}

fn client_of(headers: HeaderMap) -> Client {
    let _ = rustls::crypto::ring::default_provider().install_default();
    Client::builder()
        .timeout(Duration::from_secs(120))
        .default_headers(headers)
        .redirect(reqwest::redirect::Policy::none())
        .build()
        .unwrap()
}

/// The folder of the small catalogue.
pub(crate) fn small_catalogue() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/api/small_catalogue")
}

/// The files of the small catalogue by name.
pub(crate) fn small_bundle() -> BTreeMap<String, String> {
    let files = std::fs::read_dir(small_catalogue()).unwrap().map(|entry| entry.unwrap());
    files
        .map(|file| (file.file_name().into_string().unwrap(), std::fs::read_to_string(file.path()).unwrap()))
        .collect()
}

/// What a fresh database holds.
#[derive(Debug, Clone, Copy)]
enum Catalogue {
    /// The small catalogue of the tests.
    Small,
    /// The demo.
    Demo,
}

impl Catalogue {
    /// Its name as a template.
    fn word(self) -> &'static str {
        match self {
            Self::Small => "small_catalogue",
            Self::Demo => "demo_catalogue",
        }
    }

    fn bundle(self) -> BundleSource {
        match self {
            Self::Small => BundleSource::Folder(small_catalogue()),
            Self::Demo => BundleSource::Texts(terminal::demo_bundle::demo_bundle()),
        }
    }
}

/// A fresh database with a catalogue in it: a copy of one that is made once.
async fn database_of(catalogue: Catalogue, kind: DatabaseKind, folder: &Path) -> String {
    match kind {
        DatabaseKind::Sqlite => {
            static SMALL: OnceCell<(TempDir, PathBuf)> = OnceCell::const_new();
            static DEMO: OnceCell<(TempDir, PathBuf)> = OnceCell::const_new();
            let template = match catalogue {
                Catalogue::Small => &SMALL,
                Catalogue::Demo => &DEMO,
            };
            let (_, made) = template
                .get_or_init(|| async {
                    let folder = tempfile::tempdir().unwrap();
                    let file = folder.path().join("made.db");
                    fill(&format!("sqlite:{}?mode=rwc", file.display()), catalogue).await;
                    (folder, file)
                })
                .await;
            let file = folder.join("shop.db");
            std::fs::copy(made, &file).unwrap();
            format!("sqlite:{}?mode=rw", file.display())
        }
        DatabaseKind::Postgres => {
            let runtime = tokio::runtime::Handle::current();
            let made = tokio::task::spawn_blocking(move || {
                postgres_server::shared().create_database_like(catalogue.word(), |url| {
                    runtime.block_on(fill(url, catalogue));
                })
            });
            made.await.unwrap()
        }
    }
}

async fn fill(url: &str, catalogue: Catalogue) {
    let shop = Shop::open(url).await.unwrap();
    let request = ImportRequest { report_findings: false, ..ImportRequest::on(DAY.parse().unwrap()) };
    let imported = import_catalogue(&shop, catalogue.bundle(), &request, &mut |_| ()).await;
    imported.unwrap_or_else(|error| panic!("{error:?}"));
    shop.close().await.unwrap();
}
