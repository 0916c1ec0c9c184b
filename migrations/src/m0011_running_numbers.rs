//! Running numbers: of papers, and of the revisions of structure and prices.

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

const TABLES: &[&str] = &["numbers", "revisions"];

// A number is taken by an update of its row, which holds the row until the paper is stored: no gaps, no doubles. A
// sequence of the database would leave a gap wherever a transaction is rolled back.
const UP: &[&str] = &[
    "CREATE TABLE numbers (
        series {text} NOT NULL PRIMARY KEY CHECK (series IN ('quote', 'movement', 'audit')),
        last {whole} NOT NULL CHECK (last >= 0)
    ) {clustered}",
    "INSERT INTO numbers (series, last) VALUES ('quote', 0), ('movement', 0), ('audit', 0)",
    "CREATE TABLE revisions (
        name {text} NOT NULL PRIMARY KEY CHECK (name IN ('structure', 'price')),
        number {whole} NOT NULL CHECK (number >= 0)
    ) {clustered}",
    "INSERT INTO revisions (name, number) VALUES ('structure', 0), ('price', 0)",
];
