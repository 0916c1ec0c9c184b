//! Reservations of what lies on the shelf.

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
        run(manager, &["UPDATE stock SET reserved = 0"]).await?;
        drop_tables(manager, TABLES).await
    }
}

const TABLES: &[&str] = &["reservations"];

// `stock.reserved` is the sum of `open` over the reservations of a lot that have not ended.
const UP: &[&str] = &[
    "CREATE TABLE reservations (
        number {text} NOT NULL PRIMARY KEY,
        running {whole} NOT NULL UNIQUE CHECK (running > 0),
        job {text} NOT NULL,
        bin {text} NOT NULL REFERENCES bins (bin),
        part {text} NOT NULL REFERENCES parts (part),
        mark {text} NOT NULL,
        quantity {whole} NOT NULL CHECK (quantity > 0),
        open {whole} NOT NULL CHECK (open BETWEEN 0 AND quantity),
        who {text} NOT NULL,
        at {instant} NOT NULL,
        expires_at {instant},
        ended_at {instant},
        ended {text} CHECK (ended IN ('released', 'expired', 'issued')),
        ended_by {text},
        CHECK ((ended_at IS NULL) = (ended IS NULL)),
        CHECK ((ended_at IS NULL) = (open > 0))
    ) {plain}",
    "CREATE INDEX reservations_by_lot ON reservations (part, bin, mark)",
    "CREATE INDEX reservations_by_bin ON reservations (bin)",
    "CREATE INDEX reservations_by_job ON reservations (job)",
    "CREATE INDEX reservations_by_expiry ON reservations (expires_at) WHERE ended_at IS NULL",
];
