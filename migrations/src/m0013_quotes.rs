//! Stored quotes, and the parts they speak of.

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

const TABLES: &[&str] = &["quotes", "quote_parts"];

const UP: &[&str] = &[
    "CREATE TABLE quotes (
        number {text} NOT NULL PRIMARY KEY,
        running {whole} NOT NULL UNIQUE CHECK (running > 0),
        created_at {instant} NOT NULL,
        valid_until {date} NOT NULL CHECK (date(valid_until) = valid_until),
        structure_revision {whole} NOT NULL,
        price_revision {whole} NOT NULL,
        ledger_sequence {whole} NOT NULL,
        engine {text} NOT NULL,
        request {text} NOT NULL,
        frozen {text} NOT NULL,
        answer {text} NOT NULL
    ) {plain}",
    "CREATE TABLE quote_parts (
        number {text} NOT NULL REFERENCES quotes (number),
        part {text} NOT NULL REFERENCES parts (part),
        PRIMARY KEY (number, part)
    ) {clustered}",
    "CREATE INDEX quote_parts_by_part ON quote_parts (part)",
];
