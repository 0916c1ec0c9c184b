//! Keys that requests carry, known by their hashes alone.

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
        run(manager, &["DELETE FROM numbers WHERE series = 'key'"]).await?;
        drop_tables(manager, &["access_keys"]).await
    }
}

// The roles are not listed here: SQLite cannot change a check, and the service reads no role that it does not know.
const UP: &[&str] = &[
    "CREATE TABLE access_keys (
        number {text} NOT NULL PRIMARY KEY,
        running {whole} NOT NULL UNIQUE,
        name {text} NOT NULL CHECK (name <> ''),
        role {text} NOT NULL,
        hash {text} NOT NULL UNIQUE CHECK (length(hash) = 64),
        created_at {instant} NOT NULL,
        created_by {text} NOT NULL,
        expires_at {instant},
        revoked_at {instant},
        revoked_by {text},
        last_used_on {date},
        CHECK ((revoked_at IS NULL) = (revoked_by IS NULL))
    ) {plain}",
    "CREATE UNIQUE INDEX access_keys_by_name ON access_keys (name) WHERE revoked_at IS NULL",
];
