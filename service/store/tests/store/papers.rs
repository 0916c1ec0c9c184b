//! Quotes, idempotency keys and the papers of imports.

use std::time::Duration;

use chrono::{DateTime, NaiveDate, SubsecRound, Utc};
use sea_orm::{ConnectionTrait, Database as Connect};
use store::{
    AuditFilter, Caller, Claim, HeldKey, ImportState, JobEffects, NewJobStep, NewQuote, Revisions,
    StoreError, StoredResponse,
};

use crate::databases::Database;
use crate::sheets::{SHOP, put};

on_both_databases!(
    a_quote_comes_back_as_it_was_stored,
    quote_numbers_have_no_gaps_and_no_doubles,
    quotes_are_listed_in_order,
    a_key_is_claimed_once_and_replays,
    one_of_many_claims_is_fresh,
    keys_are_forgotten,
    what_a_request_made_is_never_made_again,
    who_lost_the_claim_keeps_nothing,
    a_change_and_its_entry_of_the_audit_are_kept_together,
    the_paper_of_an_import_goes_from_waiting_to_its_end,
);

const DAY: Duration = Duration::from_secs(86_400);

fn quote(answer: &str) -> NewQuote {
    NewQuote {
        created_at: "2026-11-25T10:11:12.123456789Z".parse::<DateTime<Utc>>().unwrap(),
        valid_until: NaiveDate::from_ymd_opt(2026, 12, 24).unwrap(),
        revisions: Revisions { structure: 1, price: 2, ledger: 3 },
        engine: "0.1.0".into(),
        request: "{\"units\":[\"BN-640\"]}".into(),
        frozen: "{}".into(),
        answer: answer.into(),
        parts: ["VESSICK/VK20", "VESSICK/GONE"].map(catalogue::PartKey::from_stored).into(),
    }
}

async fn a_quote_comes_back_as_it_was_stored(database: Database) {
    put(&database.store, SHOP).await;
    let body = "{\"total\":\"12.50\",\"text\":\"Zahnräder ⚙ \\\\ \\\"\"}\n";
    let number = database.store.insert_quote(quote(body)).await.unwrap();
    assert_eq!(number, "Q-000001");
    let stored = database.store.quote(&number).await.unwrap().unwrap();
    assert_eq!(stored.answer, body);
    assert_eq!(stored.created_at, quote("").created_at.trunc_subsecs(6));
    assert_eq!(stored.revisions, Revisions { structure: 1, price: 2, ledger: 3 });
    assert_eq!((stored.request, stored.engine.as_str()), (quote("").request, "0.1.0"));
    assert_eq!(stored.valid_until, quote("").valid_until);
    assert_eq!(database.store.quote("Q-000002").await.unwrap(), None);
}

async fn quote_numbers_have_no_gaps_and_no_doubles(database: Database) {
    // Some transactions fail after they took their number.
    let db = Connect::connect(&database.url).await.unwrap();
    let tasks: Vec<_> = (0..40)
        .map(|at| {
            let store = database.store.clone();
            tokio::spawn(async move { store.insert_quote(quote(&at.to_string())).await })
        })
        .collect();
    let mut numbers = Vec::new();
    for task in tasks {
        numbers.push(task.await.unwrap().unwrap());
    }
    db.execute_unprepared("INSERT INTO quotes SELECT 'Q-000041', 41, created_at, valid_until, 1, 1, 1, 'x', '', '', '' FROM quotes WHERE running = 1").await.unwrap();
    assert!(database.store.insert_quote(quote("taken")).await.is_err());
    db.execute_unprepared("DELETE FROM quotes WHERE running = 41").await.unwrap();
    numbers.push(database.store.insert_quote(quote("last")).await.unwrap());
    numbers.sort();
    let wanted: Vec<String> = (1..=41).map(|number| format!("Q-{number:06}")).collect();
    assert_eq!(numbers, wanted);
}

async fn quotes_are_listed_in_order(database: Database) {
    for at in 0..3 {
        database.store.insert_quote(quote(&at.to_string())).await.unwrap();
    }
    let db = Connect::connect(&database.url).await.unwrap();
    db.execute_unprepared("UPDATE numbers SET last = 999998 WHERE series = 'quote'").await.unwrap();
    for at in 0..2 {
        database.store.insert_quote(quote(&at.to_string())).await.unwrap();
    }
    let numbers =
        |entries: Vec<store::QuoteEntry>| entries.into_iter().map(|entry| entry.number).collect::<Vec<_>>();
    assert_eq!(numbers(database.store.list_quotes(None, 2).await.unwrap()), ["Q-000001", "Q-000002"]);
    assert_eq!(
        numbers(database.store.list_quotes(Some("Q-000002"), 9).await.unwrap()),
        ["Q-000003", "Q-999999", "Q-1000000"]
    );
    assert!(database.store.list_quotes(Some("Q-7"), 9).await.unwrap().is_empty());
}

/// The key that a claim holds, which must be fresh.
fn fresh(claim: Claim) -> HeldKey {
    match claim {
        Claim::Fresh(held) => held,
        other => panic!("{other:?}"),
    }
}

async fn a_key_is_claimed_once_and_replays(database: Database) {
    let store = &database.store;
    let route = "POST /v1/quotes";
    let held = fresh(store.claim("k1", route, "h1", DAY).await.unwrap());
    assert_eq!(store.claim("k1", route, "h1", DAY).await.unwrap(), Claim::Running);
    assert_eq!(store.claim("k1", route, "h2", DAY).await.unwrap(), Claim::Mismatch);
    // A key belongs to its route, and to whoever sends it.
    let import = fresh(store.claim("k1", "POST /v1/imports", "h2", DAY).await.unwrap());
    let other = Caller { key: Some("K-000009".into()), name: "counter".into() };
    fresh(store.acting_as(other).claim("k1", route, "h2", DAY).await.unwrap());
    let response = StoredResponse {
        status: 201,
        headers: vec![("Location".into(), "/v1/quotes/Q-000001".into()), ("ETag".into(), "\"1\"".into())],
        body: "{\"number\":\"Q-000001\"}".into(),
    };
    store.complete(&held, &response).await.unwrap();
    assert_eq!(store.claim("k1", route, "h1", DAY).await.unwrap(), Claim::Replay(response.clone()));
    assert_eq!(store.claim("k1", route, "h2", DAY).await.unwrap(), Claim::Mismatch);
    let again = store.complete(&held, &response).await.unwrap_err();
    assert!(matches!(&again, StoreError::KeyNotClaimed(key) if key == "k1"), "{again}");
    assert!(!store.abandon(&held).await.unwrap());
    assert_eq!(store.claim("k1", route, "h1", DAY).await.unwrap(), Claim::Replay(response));
    assert!(store.abandon(&import).await.unwrap());
    fresh(store.claim("k1", "POST /v1/imports", "h3", DAY).await.unwrap());
}

async fn one_of_many_claims_is_fresh(database: Database) {
    let tasks: Vec<_> = (0..30)
        .map(|_| {
            let store = database.store.clone();
            tokio::spawn(async move { store.claim("k", "r", "h", DAY).await.unwrap() })
        })
        .collect();
    let mut count = 0;
    for task in tasks {
        match task.await.unwrap() {
            Claim::Fresh(_) => count += 1,
            Claim::Running => {}
            other => panic!("{other:?}"),
        }
    }
    assert_eq!(count, 1);
}

async fn keys_are_forgotten(database: Database) {
    let store = &database.store;
    let response = StoredResponse { status: 200, headers: vec![], body: String::new() };
    let short = fresh(store.claim("short", "r", "h", Duration::ZERO).await.unwrap());
    store.complete(&short, &response).await.unwrap();
    fresh(store.claim("short", "r", "other", DAY).await.unwrap());
    // One whose process died an hour ago is free again; one that is done is kept for its time.
    let done = fresh(store.claim("done", "r", "h", DAY).await.unwrap());
    store.complete(&done, &response).await.unwrap();
    age(&database, "created_at").await;
    fresh(store.claim("short", "r", "other", DAY).await.unwrap());
    assert_eq!(store.claim("done", "r", "h", Duration::MAX).await.unwrap(), Claim::Replay(response));
    fresh(store.claim("ever", "r", "h", Duration::MAX).await.unwrap());
    assert_eq!(store.claim("ever", "r", "h", Duration::MAX).await.unwrap(), Claim::Running);
}

/// Makes an instant of all keys an hour old.
async fn age(database: &Database, column: &str) {
    let db = Connect::connect(&database.url).await.unwrap();
    let hour_ago = (Utc::now() - chrono::TimeDelta::hours(1)).trunc_subsecs(6).to_rfc3339();
    db.execute_unprepared(&format!("UPDATE idempotency_keys SET {column} = '{hour_ago}'")).await.unwrap();
}

async fn what_a_request_made_is_never_made_again(database: Database) {
    let store = &database.store;
    let held = fresh(store.claim("k", "POST /v1/quotes", "h", DAY).await.unwrap());
    let number = store.under(held.clone()).insert_quote(quote("1")).await.unwrap();
    // It may still be answering.
    assert_eq!(store.claim("k", "POST /v1/quotes", "h", DAY).await.unwrap(), Claim::Running);
    assert!(!store.abandon(&held).await.unwrap(), "it has made something");
    // Its process died in between: neither time nor anything else makes the key free again.
    age(&database, "created_at").await;
    age(&database, "made_at").await;
    let claim = store.claim("k", "POST /v1/quotes", "h", DAY).await.unwrap();
    assert_eq!(claim, Claim::Made(vec![format!("quotes/{number}")]));
    assert_eq!(store.claim("k", "POST /v1/quotes", "other", DAY).await.unwrap(), Claim::Mismatch);
}

async fn who_lost_the_claim_keeps_nothing(database: Database) {
    let store = &database.store;
    let slow = fresh(store.claim("k", "POST /v1/quotes", "h", DAY).await.unwrap());
    // It takes so long that it is taken for dead, and the request is sent again.
    age(&database, "created_at").await;
    let quick = fresh(store.claim("k", "POST /v1/quotes", "h", DAY).await.unwrap());
    assert_eq!(store.under(quick).insert_quote(quote("1")).await.unwrap(), "Q-000001");
    let lost = store.under(slow.clone()).insert_quote(quote("2")).await.unwrap_err();
    assert!(matches!(&lost, StoreError::ClaimLost(key) if key == "k"), "{lost}");
    assert!(!store.abandon(&slow).await.unwrap());
    assert_eq!(store.list_quotes(None, 9).await.unwrap().len(), 1, "nothing of the slow one was kept");
    let entries = store.list_audit(&AuditFilter::default(), 0, 9).await.unwrap();
    assert_eq!(entries.len(), 1);
}

async fn a_change_and_its_entry_of_the_audit_are_kept_together(database: Database) {
    let counter = Caller { key: Some("K-000004".into()), name: "counter one".into() };
    let store = &database.store.acting_as(counter);
    let step = |kind: &str, state: &str| NewJobStep {
        kind: kind.into(),
        state: state.into(),
        by: "Ruth".into(),
        at: Utc::now(),
        detail: "{}".into(),
    };
    let job = store.insert_job(step("enquire", "enquiry")).await.unwrap();
    store.add_job_step(&job, 1, step("quote", "quoted"), JobEffects::default()).await.unwrap();
    // A step that was decided on another revision changes nothing, so it is no change.
    let late = store.add_job_step(&job, 1, step("approve", "approved"), JobEffects::default()).await;
    assert!(matches!(late, Err(StoreError::JobChanged(_))), "{late:?}");
    let of_job = AuditFilter { subject: Some(format!("jobs/{job}")), ..AuditFilter::default() };
    let entries = store.list_audit(&of_job, 0, 9).await.unwrap();
    let told: Vec<_> = entries.iter().map(|entry| (entry.sequence, entry.what.as_str())).collect();
    assert_eq!(told, [(1, "job.opened"), (2, "job.changed")]);
    assert!(
        entries.iter().all(|entry| entry.key.as_deref() == Some("K-000004") && entry.who == "counter one")
    );
    let detail: serde_json::Value = serde_json::from_str(&entries[1].detail).unwrap();
    assert_eq!(
        detail["changes"],
        serde_json::json!([
            { "field": "state", "from": "enquiry", "to": "quoted" },
            { "field": "revision", "from": "1", "to": "2" },
        ])
    );
    let nobody = AuditFilter { key: Some("K-000005".into()), ..AuditFilter::default() };
    assert!(store.list_audit(&nobody, 0, 9).await.unwrap().is_empty());
    let later = AuditFilter { from: Some(Utc::now() + chrono::TimeDelta::days(1)), ..AuditFilter::default() };
    assert!(store.list_audit(&later, 0, 9).await.unwrap().is_empty());
    assert_eq!(store.list_audit(&AuditFilter::default(), 1, 9).await.unwrap().len(), 1);
}

async fn the_paper_of_an_import_goes_from_waiting_to_its_end(database: Database) {
    let store = &database.store;
    let paper = store.create_import().await.unwrap();
    assert_eq!((paper.state, paper.progress, paper.finished_at), (ImportState::Waiting, 0, None));
    assert_eq!(store.find_import(paper.id).await.unwrap().unwrap(), paper);
    store.note_import_progress(paper.id, 12_000).await.unwrap();
    let running = store.find_import(paper.id).await.unwrap().unwrap();
    assert_eq!((running.state, running.progress), (ImportState::Running, 12_000));
    store.finish_import(paper.id, ImportState::Refused, "{\"faults\":[]}").await.unwrap();
    let ended = store.find_import(paper.id).await.unwrap().unwrap();
    assert_eq!((ended.state, ended.progress), (ImportState::Refused, 12_000));
    assert_eq!(ended.report.as_deref(), Some("{\"faults\":[]}"));
    assert!(ended.finished_at.unwrap() >= ended.created_at);
    let late = store.note_import_progress(paper.id, 1).await.unwrap_err();
    assert!(matches!(late, StoreError::ImportNotFound(id) if id == paper.id));
    let nobody = uuid::Uuid::now_v7();
    assert_eq!(store.find_import(nobody).await.unwrap(), None);
}
