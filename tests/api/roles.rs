//! Who may do what: every operation of the OpenAPI document, tried with every role, with keys that open nothing, and without.

use std::sync::Arc;

use operations::access_keys::{AskedKey, create_key, revoke_key};
use operations::role::Role;
use serde_json::Value;

use crate::exchange::{Place, places};
use crate::harness::{Reply, Service};
use crate::routes::filled;

tests![
    every_operation_with_every_role,
    every_operation_without_a_key_that_opens_it,
    the_document_says_who_may,
    head_is_as_closed_as_get,
];

/// What may be asked without a key; the figures only from the machine itself, as the tests do.
const OPEN: &[&str] =
    &["get_health", "get_readiness", "get_openapi", "list_problems", "get_problem", "get_metrics"];

/// The operation as the document describes it.
fn described(place: &Place) -> Value {
    let document: Value = serde_json::from_str(&http_api::openapi_json().unwrap()).unwrap();
    document["paths"][&place.path][place.method.to_lowercase()].clone()
}

/// The roles that the last sentence of an operation's description names.
fn roles_in_words(operation: &Value) -> Vec<Role> {
    let text = operation["description"].as_str().unwrap();
    let sentence = text.rsplit("For the role").next().unwrap();
    let named = |role: &&Role| {
        let words = role.in_words();
        sentence
            .trim_start_matches('s')
            .trim_end_matches([' ', '.'])
            .split([',', ' '])
            .any(|word| word == words)
            || (words.contains(' ') && sentence.contains(words))
    };
    Role::ALL.iter().filter(named).copied().collect()
}

/// Sends an operation with nothing in it: whether it is let through is decided before it is read.
async fn sent(service: &Service, key: Option<&str>, place: &Place) -> Reply {
    Reply::of(service.request_with(key, &place.method, &filled(&place.path))).await
}

async fn every_operation_with_every_role(service: Arc<Service>) {
    let (mut let_through, mut refused) = (0, 0);
    for role in Role::ALL {
        let key = service.key_for(*role).await;
        for (id, place) in places() {
            let operation = described(&place);
            let may = OPEN.contains(&id.as_str()) || roles_in_words(&operation).contains(role);
            let reply = sent(&service, Some(&key), &place).await;
            if may {
                assert!(![401, 403].contains(&reply.status), "{id} as {role}: {}", reply.text());
                let_through += 1;
            } else {
                assert!(reply.header("www-authenticate").contains("error=\"insufficient_scope\""), "{id}");
                let problem = reply.problem(403, "role-not-allowed");
                let detail = problem["detail"].as_str().unwrap();
                assert!(detail.contains("For the role"), "{id} as {role} is not told who may: {detail}");
                refused += 1;
            }
        }
    }
    assert!(let_through > 300 && refused > 100, "{let_through} let through, {refused} refused");
    let owner: Vec<Role> = Role::ALL.iter().filter(|role| **role == Role::Owner).copied().collect();
    assert_eq!(owner, [Role::Owner]);
}

async fn every_operation_without_a_key_that_opens_it(service: Arc<Service>) {
    let revoked = asked("revoked", None);
    let revoked = create_key(&service.shop, &revoked).await.unwrap();
    revoke_key(&service.shop, &revoked.sheet.number, |_| true).await.unwrap();
    // Made with an end that has come before it is sent.
    let end = chrono::Utc::now() + chrono::TimeDelta::milliseconds(100);
    let expired = create_key(&service.shop, &asked("expired", Some(end))).await.unwrap();
    while chrono::Utc::now() <= end {
        tokio::time::sleep(std::time::Duration::from_millis(20)).await;
    }
    let unknown = format!("cw_{}", "0".repeat(64));
    for (id, place) in places() {
        let open = OPEN.contains(&id.as_str());
        for (key, kind, error) in [
            (None, "key-missing", None),
            (Some(unknown.as_str()), "key-unknown", Some("invalid_token")),
            (Some(revoked.secret.as_str()), "key-revoked", Some("invalid_token")),
            (Some(expired.secret.as_str()), "key-expired", Some("invalid_token")),
        ] {
            let reply = sent(&service, key, &place).await;
            if open {
                assert_ne!(reply.status, 401, "{id}: {}", reply.text());
                continue;
            }
            let challenge = reply.header("www-authenticate").to_owned();
            assert!(challenge.starts_with("Bearer realm=\"crownwheel\""), "{id} {kind}: {challenge}");
            match error {
                Some(error) => {
                    assert!(challenge.contains(&format!("error=\"{error}\"")), "{id}: {challenge}")
                }
                None => assert!(!challenge.contains("error"), "{id}: {challenge}"),
            }
            reply.problem(401, kind);
        }
    }
}

fn asked(name: &str, expires_at: Option<chrono::DateTime<chrono::Utc>>) -> AskedKey {
    AskedKey { name: name.to_owned(), role: Role::Owner, expires_at }
}

async fn the_document_says_who_may(_: Arc<Service>) {
    let document: Value = serde_json::from_str(&http_api::openapi_json().unwrap()).unwrap();
    assert_eq!(document["components"]["securitySchemes"]["key"]["scheme"], "bearer");
    for (id, place) in places() {
        let operation = described(&place);
        let statuses = operation["responses"].as_object().unwrap();
        let refusals = ["401", "403", "429"].iter().filter(|status| statuses.contains_key(**status)).count();
        if OPEN.contains(&id.as_str()) && id != "get_metrics" {
            assert_eq!((operation["security"].to_string().as_str(), refusals), ("[]", 0), "{id}");
        } else {
            assert!(operation["security"].to_string().contains("{\"key\":[]}"), "{id}");
            assert_eq!(refusals, 3, "{id}");
        }
        if !OPEN.contains(&id.as_str()) {
            let roles = roles_in_words(&operation);
            assert!(roles.contains(&Role::Owner), "{id}: {roles:?}");
        }
    }
}

async fn head_is_as_closed_as_get(service: Arc<Service>) {
    let bench = service.key_for(Role::Bench).await;
    let head = Reply::of(service.request_with(Some(&bench), "HEAD", "/v1/keys")).await;
    assert_eq!((head.status, head.body.len()), (403, 0));
    assert_eq!(Reply::of(service.request_with(None, "HEAD", "/v1/units")).await.status, 401);
    // What is not there, or cannot be done with it, is no secret.
    Reply::of(service.request_with(None, "GET", "/v1/nothing")).await.problem(404, "not-found");
    Reply::of(service.request_with(None, "DELETE", "/v1/units")).await.problem(405, "method-not-allowed");
}
