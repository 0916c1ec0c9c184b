//! Contents of kits.

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
const TABLES: &[&str] = &["kit_lines"];

const UP: &[&str] = &[
    "CREATE TABLE kit_lines (
        kit {text} NOT NULL,
        line {whole} NOT NULL CHECK (line > 0),
        part {text} NOT NULL,
        quantity {whole} NOT NULL CHECK (quantity > 0),
        option_group {text},
        PRIMARY KEY (kit, line),
        FOREIGN KEY (kit) REFERENCES parts (part),
        FOREIGN KEY (part) REFERENCES parts (part)
    ) {clustered}",
    "CREATE INDEX kit_lines_by_part ON kit_lines (part)",
];
