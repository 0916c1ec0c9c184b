//! Papers of suppliers and of the ordering system, as they were sent.

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
        only_add_to(manager, "received_papers").await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop_table(manager, "received_papers").await
    }
}

// A sender's number of a kind of paper is taken once: the same paper sent again is known by its digest.
const UP: &[&str] = &[
    "CREATE TABLE received_papers (
        number {text} NOT NULL PRIMARY KEY,
        running {whole} NOT NULL UNIQUE CHECK (running > 0),
        kind {text} NOT NULL CHECK (kind IN
            ('order', 'order_response', 'despatch_advice', 'receipt_advice', 'catalogue')),
        sender {text} NOT NULL,
        sent_number {text} NOT NULL,
        digest {text} NOT NULL,
        media_type {text} NOT NULL,
        body {text} NOT NULL,
        not_understood {text} NOT NULL,
        outcome {text} NOT NULL,
        made {text} NOT NULL,
        order_number {text} REFERENCES orders (number),
        received_at {instant} NOT NULL,
        who {text} NOT NULL,
        UNIQUE (kind, sender, sent_number)
    ) {plain}",
    "CREATE INDEX received_papers_by_order ON received_papers (order_number)",
];
