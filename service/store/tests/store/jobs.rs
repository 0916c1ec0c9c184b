//! Jobs: a step goes in with all that belongs to it, or not at all.

use catalogue::{Code, Mark, PartKey, Quantity, UnitKey};
use chrono::Utc;
use sea_orm::{ConnectionTrait, Database as Connect};
use store::{AsBuiltRow, AsBuiltSource, JobEffects, NewJobStep, PostingKind, StoreError};

use crate::databases::Database;
use crate::ledger::{booking, lot};
use crate::sheets::{SHOP, put};

on_both_databases!(
    a_step_goes_in_with_its_movements_and_its_record_or_not_at_all,
    of_many_who_step_at_once_one_is_taken,
    steps_and_records_are_only_added_to,
);

fn step(kind: &str, state: &str) -> NewJobStep {
    NewJobStep {
        kind: kind.into(),
        state: state.into(),
        by: "ruth".into(),
        at: Utc::now(),
        detail: "{}".into(),
    }
}

fn row(job: &str, line: i64) -> AsBuiltRow {
    AsBuiltRow {
        unit: UnitKey::from_stored("BN640"),
        serial: 7,
        job: job.into(),
        line,
        position: Code::from_stored("SEAL"),
        part: Some(PartKey::from_stored("VESSICK/VK101")),
        batch: "L7".into(),
        mark: Mark::default(),
        quantity: Quantity::ONE,
        source: AsBuiltSource::Fitted,
        note: String::new(),
        at: Utc::now(),
    }
}

async fn a_step_goes_in_with_its_movements_and_its_record_or_not_at_all(database: Database) {
    let store = &database.store;
    put(store, SHOP).await;
    let number = store.insert_job(step("open", "enquiry")).await.unwrap();
    assert_eq!(number, "J-000001");
    let issue = |count| {
        let kind = PostingKind::Issue { quantity: Quantity::whole(count) };
        Some(booking(Some("J-000001"), Utc::now(), &[(lot("A1", "VESSICK/VK101"), kind)]))
    };
    let effects = JobEffects { booking: issue(9), as_built: vec![row(&number, 1)] };
    let refused = store.add_job_step(&number, 1, step("issue", "building"), effects).await;
    assert!(matches!(refused, Err(StoreError::NotAvailable(_))), "{refused:?}");
    let twice = JobEffects { booking: issue(1), as_built: vec![row(&number, 1), row(&number, 1)] };
    assert!(store.add_job_step(&number, 1, step("issue", "building"), twice).await.is_err());
    assert_eq!(store.job(&number).await.unwrap().unwrap().revision, 1);
    assert_eq!(store.revisions().await.unwrap().ledger, 2);
    assert_eq!(store.as_built(&UnitKey::from_stored("BN640"), 7).await.unwrap(), []);
    let effects = JobEffects { booking: issue(1), as_built: vec![row(&number, 1)] };
    let booked = store.add_job_step(&number, 1, step("issue", "building"), effects).await.unwrap();
    assert_eq!((booked.len(), booked[0].sequence), (1, 3));
    let job = store.job(&number).await.unwrap().unwrap();
    assert_eq!((job.state.as_str(), job.revision), ("building", 2));
    assert_eq!(store.where_fitted("L7").await.unwrap().len(), 1);
    let stale = store.add_job_step(&number, 1, step("issue", "building"), JobEffects::default()).await;
    assert!(matches!(stale, Err(StoreError::JobChanged(_))), "{stale:?}");
    assert_eq!(store.job_steps(&number).await.unwrap().len(), 2);
}

async fn of_many_who_step_at_once_one_is_taken(database: Database) {
    let number = database.store.insert_job(step("open", "enquiry")).await.unwrap();
    let tasks: Vec<_> = (0..10)
        .map(|_| {
            let (store, number) = (database.store.clone(), number.clone());
            tokio::spawn(async move {
                store.add_job_step(&number, 1, step("strip", "inspection"), JobEffects::default()).await
            })
        })
        .collect();
    let mut taken = 0;
    for task in tasks {
        match task.await.unwrap() {
            Ok(_) => taken += 1,
            Err(error) => assert!(matches!(error, StoreError::JobChanged(_)), "{error}"),
        }
    }
    assert_eq!(taken, 1);
    database.store.insert_job(step("open", "enquiry")).await.unwrap();
    let listed = database.store.list_jobs(Some("enquiry"), None, 10).await.unwrap();
    assert_eq!(listed.iter().map(|job| job.number.as_str()).collect::<Vec<_>>(), ["J-000002"]);
}

async fn steps_and_records_are_only_added_to(database: Database) {
    let store = &database.store;
    let number = store.insert_job(step("open", "enquiry")).await.unwrap();
    let effects = JobEffects { booking: None, as_built: vec![row(&number, 1)] };
    store.add_job_step(&number, 1, step("close", "closed"), effects).await.unwrap();
    let db = Connect::connect(&database.url).await.unwrap();
    for statement in [
        "UPDATE job_steps SET who = 'x'",
        "DELETE FROM job_steps",
        "DELETE FROM as_built",
        "UPDATE as_built SET part = 'x'",
    ] {
        let refused = db.execute_unprepared(statement).await.unwrap_err().to_string();
        assert!(refused.contains("is only added to"), "{statement}: {refused}");
    }
}
