//! The least of each part that the shelf should hold.

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
        drop_tables(manager, &["minimums"]).await
    }
}

const UP: &[&str] = &[
    "CREATE TABLE minimums (
        part {text} NOT NULL,
        bin {text},
        minimum {whole} NOT NULL CHECK (minimum > 0),
        order_up_to {whole} CHECK (order_up_to > 0),
        PRIMARY KEY (part),
        FOREIGN KEY (part) REFERENCES parts (part),
        FOREIGN KEY (bin) REFERENCES bins (bin)
    ) {clustered}",
    "CREATE INDEX minimums_by_bin ON minimums (bin)",
];
