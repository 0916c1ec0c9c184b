//! Quotes, idempotency keys and the papers of imports.

use std::time::Duration;

use chrono::{DateTime, NaiveDate, SubsecRound, Utc};
use sea_orm::{ConnectionTrait, Database as Connect};
use store::{Claim, ImportState, NewQuote, Revisions, StoreError, StoredResponse};

use crate::databases::Database;
use crate::sheets::{SHOP, put};

on_both_databases!(
    a_quote_comes_back_as_it_was_stored,
    quote_numbers_have_no_gaps_and_no_doubles,
    quotes_are_listed_in_order,
    a_key_is_claimed_once_and_replays,
    one_of_many_claims_is_fresh,
    keys_are_forgotten,
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

async fn a_key_is_claimed_once_and_replays(database: Database) {
    let store = &database.store;
    let route = "POST /v1/quotes";
    assert_eq!(store.claim("k1", route, "h1", DAY).await.unwrap(), Claim::Fresh);
    assert_eq!(store.claim("k1", route, "h1", DAY).await.unwrap(), Claim::Running);
    assert_eq!(store.claim("k1", route, "h2", DAY).await.unwrap(), Claim::Mismatch);
    // A key belongs to its route.
    assert_eq!(store.claim("k1", "POST /v1/imports", "h2", DAY).await.unwrap(), Claim::Fresh);
    let response = StoredResponse {
        status: 201,
        headers: vec![("Location".into(), "/v1/quotes/Q-000001".into()), ("ETag".into(), "\"1\"".into())],
        body: "{\"number\":\"Q-000001\"}".into(),
    };
    store.complete("k1", route, &response).await.unwrap();
    assert_eq!(store.claim("k1", route, "h1", DAY).await.unwrap(), Claim::Replay(response.clone()));
    assert_eq!(store.claim("k1", route, "h2", DAY).await.unwrap(), Claim::Mismatch);
    let again = store.complete("k1", route, &response).await.unwrap_err();
    assert!(matches!(&again, StoreError::KeyNotClaimed(key) if key == "k1"), "{again}");
    store.abandon("k1", route).await.unwrap();
    assert_eq!(store.claim("k1", route, "h1", DAY).await.unwrap(), Claim::Replay(response));
    store.abandon("k1", "POST /v1/imports").await.unwrap();
    assert_eq!(store.claim("k1", "POST /v1/imports", "h3", DAY).await.unwrap(), Claim::Fresh);
}

async fn one_of_many_claims_is_fresh(database: Database) {
    let tasks: Vec<_> = (0..30)
        .map(|_| {
            let store = database.store.clone();
            tokio::spawn(async move { store.claim("k", "r", "h", DAY).await.unwrap() })
        })
        .collect();
    let mut fresh = 0;
    for task in tasks {
        match task.await.unwrap() {
            Claim::Fresh => fresh += 1,
            Claim::Running => {}
            other => panic!("{other:?}"),
        }
    }
    assert_eq!(fresh, 1);
}

async fn keys_are_forgotten(database: Database) {
    let store = &database.store;
    let response = StoredResponse { status: 200, headers: vec![], body: String::new() };
    assert_eq!(store.claim("short", "r", "h", Duration::ZERO).await.unwrap(), Claim::Fresh);
    store.complete("short", "r", &response).await.unwrap();
    assert_eq!(store.claim("short", "r", "other", DAY).await.unwrap(), Claim::Fresh);
    // One whose process died an hour ago is free again; one that is done is kept for its time.
    assert_eq!(store.claim("done", "r", "h", DAY).await.unwrap(), Claim::Fresh);
    store.complete("done", "r", &response).await.unwrap();
    let db = Connect::connect(&database.url).await.unwrap();
    let hour_ago = (Utc::now() - chrono::TimeDelta::hours(1)).trunc_subsecs(6).to_rfc3339();
    db.execute_unprepared(&format!("UPDATE idempotency_keys SET created_at = '{hour_ago}'")).await.unwrap();
    assert_eq!(store.claim("short", "r", "other", DAY).await.unwrap(), Claim::Fresh);
    assert_eq!(store.claim("done", "r", "h", Duration::MAX).await.unwrap(), Claim::Replay(response));
    assert_eq!(store.claim("ever", "r", "h", Duration::MAX).await.unwrap(), Claim::Fresh);
    assert_eq!(store.claim("ever", "r", "h", Duration::MAX).await.unwrap(), Claim::Running);
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
