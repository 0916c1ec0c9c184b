//! Migrations go up and down with rows in the tables, and four processes may start at once.

use migrations::{Migrator, MigratorTrait};
use sea_orm::{ConnectionTrait, Database as Connect};
use store::{Store, StoreError};

use crate::databases::Database;
use crate::sheets::{SHOP, everything, put};

on_both_databases!(down_and_up_again_with_rows, four_starts_at_once, a_newer_database_is_not_opened);

async fn down_and_up_again_with_rows(database: Database) {
    put(&database.store, SHOP).await;
    let before = everything(&database.store).await;
    let db = Connect::connect(&database.url).await.unwrap();
    Migrator::down(&db, None).await.unwrap();
    assert!(db.execute_unprepared("SELECT count(*) FROM parts").await.is_err());
    assert_eq!(Migrator::get_applied_migrations(&db).await.unwrap().len(), 0);
    Migrator::up(&db, None).await.unwrap();
    assert_eq!(database.store.revisions().await.unwrap(), store::Revisions::default());
    put(&database.store, SHOP).await;
    assert_eq!(everything(&database.store).await, before);
}

async fn four_starts_at_once(database: Database) {
    let db = Connect::connect(&database.url).await.unwrap();
    Migrator::down(&db, None).await.unwrap();
    db.execute_unprepared("DROP TABLE seaql_migrations").await.unwrap();
    let starts = (0..4).map(|_| {
        let url = database.url.clone();
        tokio::spawn(async move { Store::open(&url).await })
    });
    for start in starts.collect::<Vec<_>>() {
        let store = start.await.unwrap().unwrap();
        assert_eq!(store.revisions().await.unwrap().structure, 0);
    }
}

async fn a_newer_database_is_not_opened(database: Database) {
    let db = Connect::connect(&database.url).await.unwrap();
    db.execute_unprepared("INSERT INTO seaql_migrations (version, applied_at) VALUES ('m9999_later', 1)")
        .await
        .unwrap();
    let opened = Store::open(&database.url).await;
    assert!(matches!(opened, Err(StoreError::NewerDatabase(_))), "{opened:?}");
}
