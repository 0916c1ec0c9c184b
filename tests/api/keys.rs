//! Keys: made, shown once, listed, revoked; how they are sent; how often.

use std::process::Stdio;
use std::sync::Arc;
use std::time::Duration;

use http_api::{RateLimit, ServerOptions};
use operations::role::Role;
use serde_json::json;
use tokio::task::spawn_blocking;

use crate::harness::{DatabaseKind, Reply, Service, client};
use crate::served::{Served, binary, free_port};

tests![
    a_key_is_shown_once_and_kept_as_a_hash,
    a_key_is_revoked_only_as_it_was_read,
    the_last_owners_key_and_shared_names_are_refused,
    a_malformed_key_is_told_what_is_right,
    a_key_that_asks_too_often_waits,
    figures_are_for_the_machine_itself_or_the_owner,
    keys_are_made_and_revoked_on_the_command_line,
    a_new_database_starts_with_one_owners_key,
];

async fn a_key_is_shown_once_and_kept_as_a_hash(service: Arc<Service>) {
    let asked = json!({ "name": "till", "role": "counter", "expires_at": "2999-01-01T00:00:00Z" });
    let made = service.post("/v1/keys", &asked).await.expect(201);
    assert_eq!((made.header("location"), made.header("cache-control")), ("/v1/keys/K-000002", "no-store"));
    let made = made.json();
    let secret = made["secret"].as_str().unwrap();
    Reply::of(service.request_with(Some(secret), "GET", "/v1/units")).await.expect(200);
    let shown = service.get("/v1/keys/K-000002").await.expect(200);
    assert!(!shown.text().contains(secret), "{}", shown.text());
    let shown = shown.json();
    assert_eq!((&shown["state"], &shown["created_by"]), (&json!("valid"), &json!("first owner")));
    assert_eq!(shown["last_used_on"], chrono::Utc::now().date_naive().to_string());
    let first = service.get("/v1/keys?limit=1").await.expect(200);
    assert_eq!(first.header("link"), "</v1/keys?after=K-000001&limit=1>; rel=\"next\"");
    let listed = service.get("/v1/keys?after=K-000001").await.expect(200).json();
    assert_eq!(listed["items"], json!([shown]));
    service.get("/v1/keys/K-7").await.problem(404, "key-not-found");
    for (wrong, pointer) in [
        (json!({ "name": " ", "role": "bench" }), "/name"),
        (json!({ "name": "x", "role": "bench", "expires_at": "2020-01-01T00:00:00Z" }), "/expires_at"),
    ] {
        let problem = service.post("/v1/keys", &wrong).await.problem(422, "bad-value");
        assert_eq!(problem["errors"][0]["pointer"], pointer);
    }
    service.post("/v1/keys", &json!({ "name": "x", "role": "king" })).await.problem(422, "invalid-body");
}

async fn a_key_is_revoked_only_as_it_was_read(service: Arc<Service>) {
    let secret = service.key_for(Role::Bench).await;
    let path = "/v1/keys/K-000002/revocation";
    Reply::of(service.request("POST", path)).await.problem(428, "precondition-required");
    let stale = service.request("POST", path).header("if-match", "\"0\"");
    Reply::of(stale).await.problem(412, "precondition-failed");
    Reply::of(service.request_with(Some(&secret), "GET", "/v1/units")).await.expect(200);
    let tag = service.get("/v1/keys/K-000002").await.header("etag").to_owned();
    let revoked = Reply::of(service.request("POST", path).header("if-match", tag)).await.expect(200);
    let now = service.get("/v1/keys/K-000002").await.expect(200);
    assert_eq!((revoked.header("etag"), revoked.json()), (now.header("etag"), now.json()));
    assert_eq!((&now.json()["state"], &now.json()["revoked_by"]), (&json!("revoked"), &json!("first owner")));
    Reply::of(service.request_with(Some(&secret), "GET", "/v1/units")).await.problem(401, "key-revoked");
    Reply::of(service.request("POST", path).header("if-match", "*")).await.problem(409, "wrong-state");
}

async fn the_last_owners_key_and_shared_names_are_refused(service: Arc<Service>) {
    let path = "/v1/keys/K-000001/revocation";
    let asked = json!({ "name": "second owner", "role": "owner" });
    let revoke = || service.request("POST", path).header("if-match", "*");
    Reply::of(revoke()).await.problem(409, "last-owner-key");
    let second = service.post("/v1/keys", &asked).await.expect(201).json();
    let problem = service.post("/v1/keys", &asked).await.problem(409, "key-name-taken");
    assert!(problem["detail"].as_str().unwrap().contains("K-000002"), "{problem}");
    Reply::of(revoke()).await.expect(200);
    service.get("/v1/keys").await.problem(401, "key-revoked");
    let other = second["secret"].as_str().unwrap();
    Reply::of(service.request_with(Some(other), "GET", "/v1/keys")).await.expect(200);
}

async fn a_malformed_key_is_told_what_is_right(service: Arc<Service>) {
    for (sent, status, kind) in [
        ("Bearer", 400, "invalid-header"),
        ("Bearer a b", 400, "invalid-header"),
        ("Basic dXNlcjpwYXNz", 401, "key-missing"),
    ] {
        let request = service.request_with(None, "GET", "/v1/units").header("authorization", sent);
        let reply = Reply::of(request).await;
        assert!(reply.header("www-authenticate").starts_with("Bearer realm="), "{sent}");
        let problem = reply.problem(status, kind);
        assert!(problem["detail"].as_str().unwrap().contains("Authorization: Bearer KEY"), "{problem}");
    }
}

async fn a_key_that_asks_too_often_waits(service: Arc<Service>) {
    // A bucket that fills so slowly that the test ends before it has another token.
    let rate_limit = Some(RateLimit { requests: 2, window: Duration::from_secs(1_000_000) });
    let limited =
        Service::start_with(service.kind, ServerOptions { rate_limit, ..ServerOptions::default() }).await;
    let first = limited.get("/v1/units").await.expect(200);
    assert_eq!(first.header("ratelimit-policy"), "\"default\";q=2;w=1000000");
    assert!(first.header("ratelimit").starts_with("\"default\";r=1;t="), "{}", first.header("ratelimit"));
    limited.get("/v1/units").await.expect(200);
    let refused = limited.get("/v1/units").await;
    let wait: u32 = refused.header("retry-after").parse().unwrap();
    assert!((499_000..=500_000).contains(&wait), "{wait}");
    assert!(refused.header("ratelimit").starts_with("\"default\";r=0;t="));
    refused.problem(429, "too-many-requests");
    // What needs no key is not counted, and another key has a bucket of its own.
    limited.get("/healthz").await.expect(200);
    let bench = limited.key_for(Role::Bench).await;
    Reply::of(limited.request_with(Some(&bench), "GET", "/v1/units")).await.expect(200);
    limited.stop().await;
}

async fn figures_are_for_the_machine_itself_or_the_owner(service: Arc<Service>) {
    Reply::of(service.request_with(None, "GET", "/metrics")).await.expect(200);
    // What a proxy hands on comes from elsewhere.
    for name in ["x-forwarded-for", "forwarded", "via"] {
        let handed_on = |key| service.request_with(key, "GET", "/metrics").header(name, "for=192.0.2.1");
        Reply::of(handed_on(None)).await.problem(401, "key-missing");
        let bench = service.key_for(Role::Bench).await;
        Reply::of(handed_on(Some(&bench))).await.problem(403, "role-not-allowed");
        Reply::of(handed_on(Some(&service.key))).await.expect(200);
    }
}

/// What a command prints; it must end well.
async fn printed(words: &[&str]) -> String {
    let words: Vec<String> = words.iter().map(|word| (*word).to_owned()).collect();
    let output = spawn_blocking(move || binary().args(&words).output().unwrap()).await.unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

fn secret_in(printed: &str) -> String {
    printed.lines().find(|line| line.starts_with("cw_")).unwrap_or_else(|| panic!("{printed}")).to_owned()
}

async fn keys_are_made_and_revoked_on_the_command_line(service: Arc<Service>) {
    for (place, name) in
        [(&["--database", service.database.as_str()][..], "here"), (&service.over_http()[..], "there")]
    {
        let made = ["keys", "create", "--role", "stores", "--name", name, "--expires", "2999-01-01"];
        let text = printed(&[&made[..], place].concat()).await;
        assert!(text.contains("for the role stores") && text.contains("shown this once"), "{text}");
        let secret = secret_in(&text);
        Reply::of(service.request_with(Some(&secret), "GET", "/v1/stock")).await.expect(200);
        let list = printed(&[&["keys", "list"][..], place].concat()).await;
        assert!(list.contains(name) && list.contains("2999-01-01") && !list.contains(&secret), "{list}");
        let number = text.split(' ').next().unwrap();
        let revoked = printed(&[&["keys", "revoke", number][..], place].concat()).await;
        assert!(revoked.contains("opens nothing any more"), "{revoked}");
        Reply::of(service.request_with(Some(&secret), "GET", "/v1/stock")).await.problem(401, "key-revoked");
    }
    let refused = spawn_blocking(|| {
        binary()
            .args(["keys", "create", "--role", "king", "--name", "x", "--database", "x"])
            .output()
            .unwrap()
    });
    let refused = refused.await.unwrap();
    assert_eq!(refused.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("counter, bench, stores"));
}

async fn a_new_database_starts_with_one_owners_key(service: Arc<Service>) {
    let folder = tempfile::tempdir().unwrap();
    let database = match service.kind {
        DatabaseKind::Sqlite => folder.path().join("new.db").to_str().unwrap().to_owned(),
        DatabaseKind::Postgres => {
            spawn_blocking(|| postgres_server::shared().create_database()).await.unwrap()
        }
    };
    let start = |port: u16| {
        let printed = std::fs::File::create(folder.path().join("printed")).unwrap();
        let listen = format!("127.0.0.1:{port}");
        let mut command = binary();
        command.args(["serve", "--database", &database, "--listen", &listen]).stdout(Stdio::from(printed));
        command
    };
    let printed = || std::fs::read_to_string(folder.path().join("printed")).unwrap();
    let port = free_port();
    let served = Served::start_as_it_is(&mut start(port), port, TRACE).await;
    let secret = secret_in(&printed());
    let keys = client().get(format!("http://127.0.0.1:{port}/v1/keys")).bearer_auth(&secret).send().await;
    assert_eq!(keys.unwrap().status().as_u16(), 200);
    let log = served.stop().await;
    assert!(!log.contains(&secret), "the key stands in the log");
    let port = free_port();
    Served::start_as_it_is(&mut start(port), port, TRACE).await.stop().await;
    assert_eq!(printed(), "", "the second start makes no key");
}

const TRACE: &str = "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01";
