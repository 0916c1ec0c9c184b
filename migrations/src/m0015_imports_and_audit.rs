//! Papers of imports, and the audit.

use sea_orm_migration::prelude::*;

use crate::append_only::{drop_table, only_add_to};
use crate::dialect::{drop_tables, run};

/// The change.
#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, UP).await?;
        only_add_to(manager, "audit").await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop_table(manager, "audit").await?;
        drop_tables(manager, &["imports"]).await
    }
}

const UP: &[&str] = &[
    "CREATE TABLE imports (
        id {text} NOT NULL PRIMARY KEY,
        state {text} NOT NULL CHECK (state IN ('waiting', 'running', 'done', 'refused', 'failed')),
        progress {whole} NOT NULL CHECK (progress >= 0),
        report {text},
        created_at {instant} NOT NULL,
        finished_at {instant},
        CHECK ((finished_at IS NULL) = (state IN ('waiting', 'running')))
    ) {plain}",
    "CREATE TABLE audit (
        seq {whole} NOT NULL PRIMARY KEY CHECK (seq > 0),
        at {instant} NOT NULL,
        who {text} NOT NULL,
        what {text} NOT NULL,
        detail {text} NOT NULL,
        hash {text} NOT NULL
    ) {plain}",
];
