//! Events: what has changed, in the order in which it became visible.

use sea_orm_migration::prelude::*;
use sea_orm_migration::sea_orm::DbBackend;

use crate::append_only::{drop_table, only_add_to};
use crate::dialect::{drop_tables, run};

/// The change.
#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, UP).await?;
        let new_id =
            if manager.get_database_backend() == DbBackend::Postgres { POSTGRES_ID } else { SQLITE_ID };
        run(manager, &[&format!("INSERT INTO event_source (only_one, id) VALUES (1, {new_id})")]).await?;
        only_add_to(manager, "events").await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop_table(manager, "events").await?;
        run(manager, &["DELETE FROM numbers WHERE series = 'event'"]).await?;
        drop_tables(manager, TABLES).await
    }
}

const TABLES: &[&str] = &["event_source"];

// A random UUID of version 4 (RFC 9562, 5.4).
const POSTGRES_ID: &str = "CAST(gen_random_uuid() AS text)";
const SQLITE_ID: &str = "lower(hex(randomblob(4)) || '-' || hex(randomblob(2)) || '-4' || \
     substr(hex(randomblob(2)), 2) || '-' || substr('89ab', 1 + (random() & 3), 1) || substr(hex(randomblob(2)), 2) \
     || '-' || hex(randomblob(6)))";

// The source tells this shop's events from another one's: source and id together are unique (CloudEvents 1.0).
const UP: &[&str] = &[
    "CREATE TABLE event_source (
        only_one {whole} NOT NULL PRIMARY KEY CHECK (only_one = 1),
        id {text} NOT NULL
    ) {clustered}",
    "CREATE TABLE events (
        seq {whole} NOT NULL PRIMARY KEY CHECK (seq > 0),
        id {text} NOT NULL UNIQUE,
        kind {text} NOT NULL,
        subject {text} NOT NULL,
        at {instant} NOT NULL,
        data {text} NOT NULL
    ) {plain}",
    "CREATE INDEX events_by_subject ON events (subject, seq)",
    "CREATE INDEX events_by_kind ON events (kind, seq)",
];
