//! Bins and what lies in them.

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

/// Tables in the order in which they are made.
const TABLES: &[&str] = &["bins", "stock"];

const UP: &[&str] = &[
    "CREATE TABLE bins (
        bin {text} NOT NULL,
        name {text} NOT NULL,
        PRIMARY KEY (bin)
    ) {clustered}",
    "CREATE TABLE stock (
        bin {text} NOT NULL,
        part {text} NOT NULL,
        mark {text} NOT NULL,
        quantity {whole} NOT NULL CHECK (quantity >= 0),
        carrying_value {whole} NOT NULL CHECK (carrying_value >= 0),
        reserved {whole} NOT NULL DEFAULT 0,
        PRIMARY KEY (bin, part, mark),
        FOREIGN KEY (bin) REFERENCES bins (bin),
        FOREIGN KEY (part) REFERENCES parts (part),
        CHECK (reserved BETWEEN 0 AND quantity)
    ) {clustered}",
    "CREATE INDEX stock_by_part ON stock (part)",
];
