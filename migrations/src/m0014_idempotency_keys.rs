//! Answers kept under the key that a client gave with its request.

use sea_orm_migration::prelude::*;

use crate::dialect::{drop_tables, run};

/// The change.
#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, UP).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop_tables(manager, TABLES).await
    }
}

const TABLES: &[&str] = &["idempotency_keys"];

const UP: &[&str] = &[
    "CREATE TABLE idempotency_keys (
        route {text} NOT NULL,
        key {text} NOT NULL,
        payload_hash {text} NOT NULL,
        state {text} NOT NULL CHECK (state IN ('running', 'done')),
        status {whole} CHECK (status BETWEEN 100 AND 599),
        headers {text},
        body {text},
        created_at {instant} NOT NULL,
        expires_at {instant} NOT NULL,
        PRIMARY KEY (route, key),
        CHECK ((state = 'done') = (status IS NOT NULL AND headers IS NOT NULL AND body IS NOT NULL))
    ) {clustered}",
    "CREATE INDEX idempotency_keys_by_expiry ON idempotency_keys (expires_at)",
];
