//! The audit of every change, and what a request with a key has made.

use sea_orm_migration::prelude::*;

use crate::dialect::run;

/// The change.
#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, UP).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, DOWN).await
    }
}

// Answers of before belong to nobody's key and are forgotten within a day.
const UP: &[&str] = &[
    "ALTER TABLE audit ADD COLUMN key {text}",
    "ALTER TABLE audit ADD COLUMN subject {text} NOT NULL DEFAULT ''",
    "CREATE INDEX audit_by_subject ON audit (subject, seq)",
    "CREATE INDEX audit_by_key ON audit (key, seq)",
    "ALTER TABLE idempotency_keys ADD COLUMN claim {text}",
    "ALTER TABLE idempotency_keys ADD COLUMN made {text}",
    "ALTER TABLE idempotency_keys ADD COLUMN made_at {instant}",
];

const DOWN: &[&str] = &[
    "ALTER TABLE idempotency_keys DROP COLUMN made_at",
    "ALTER TABLE idempotency_keys DROP COLUMN made",
    "ALTER TABLE idempotency_keys DROP COLUMN claim",
    "DROP INDEX audit_by_key",
    "DROP INDEX audit_by_subject",
    "ALTER TABLE audit DROP COLUMN subject",
    "ALTER TABLE audit DROP COLUMN key",
];
