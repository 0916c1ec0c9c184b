//! The stock ledger.

use sea_orm_migration::prelude::*;

use crate::append_only::{drop_table, only_add_to};
use crate::dialect::run;

/// The change.
#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, UP).await?;
        only_add_to(manager, "movements").await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop_table(manager, "movements").await
    }
}

const UP: &[&str] = &[
    "CREATE TABLE movements (
        seq {whole} NOT NULL PRIMARY KEY CHECK (seq > 0),
        bin {text} NOT NULL REFERENCES bins (bin),
        part {text} NOT NULL REFERENCES parts (part),
        mark {text} NOT NULL,
        kind {text} NOT NULL CHECK (kind IN ('receive', 'issue', 'return', 'adjust', 'transfer', 'scrap')),
        quantity {whole} NOT NULL,
        carrying_value {whole} NOT NULL CHECK (carrying_value >= 0),
        reason {text} NOT NULL,
        at {instant} NOT NULL,
        paper {text},
        CHECK (CASE WHEN kind IN ('receive', 'return') THEN quantity > 0
                    WHEN kind IN ('issue', 'scrap') THEN quantity < 0
                    ELSE TRUE END)
    ) {plain}",
    "CREATE INDEX movements_by_lot ON movements (part, bin, mark)",
    "CREATE INDEX movements_by_bin ON movements (bin)",
];
