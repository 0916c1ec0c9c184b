//! Boxes that were counted, and claims for what was wrong with them.

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
        for table in ONLY_ADDED_TO {
            only_add_to(manager, table).await?;
        }
        Ok(())
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop_table(manager, "claim_steps").await?;
        drop_tables(manager, &["claims", "claim_lines"]).await?;
        drop_table(manager, "receipt_pieces").await?;
        drop_table(manager, "receipts").await
    }
}

const ONLY_ADDED_TO: &[&str] = &["receipts", "receipt_pieces", "claim_steps"];

// A receipt is corrected by its reversal alone: another receipt whose pieces are the same below zero. What came of an order
// is the sum over the pieces of all receipts.
const UP: &[&str] = &[
    "CREATE TABLE receipts (
        number {text} NOT NULL PRIMARY KEY,
        running {whole} NOT NULL UNIQUE CHECK (running > 0),
        order_number {text} REFERENCES orders (number),
        kit {text} REFERENCES parts (part),
        supplier {text} REFERENCES suppliers (supplier),
        counted_at {instant} NOT NULL,
        counted_by {text} NOT NULL,
        reverses {text} UNIQUE REFERENCES receipts (number),
        note {text} NOT NULL,
        body {text} NOT NULL
    ) {plain}",
    "CREATE INDEX receipts_by_order ON receipts (order_number)",
    "CREATE INDEX receipts_by_kit ON receipts (kit)",
    "CREATE INDEX receipts_by_supplier ON receipts (supplier)",
    "CREATE TABLE receipt_pieces (
        receipt {text} NOT NULL REFERENCES receipts (number),
        piece {whole} NOT NULL CHECK (piece > 0),
        order_number {text} REFERENCES orders (number),
        line {whole},
        content {whole},
        part {text} REFERENCES parts (part),
        verdict {text} NOT NULL,
        quantity {whole} NOT NULL,
        damaged {whole} NOT NULL,
        stands_for {whole} NOT NULL,
        bin {text} REFERENCES bins (bin),
        mark {text} NOT NULL,
        batch {text} NOT NULL,
        unit_value {whole} NOT NULL CHECK (unit_value >= 0),
        booked {whole} NOT NULL,
        PRIMARY KEY (receipt, piece)
    ) {clustered}",
    "CREATE INDEX receipt_pieces_by_order ON receipt_pieces (order_number, line, content)",
    "CREATE INDEX receipt_pieces_by_part ON receipt_pieces (part)",
    "CREATE INDEX receipt_pieces_by_bin ON receipt_pieces (bin)",
    "CREATE TABLE claims (
        number {text} NOT NULL PRIMARY KEY,
        running {whole} NOT NULL UNIQUE CHECK (running > 0),
        version {whole} NOT NULL CHECK (version > 0),
        supplier {text} NOT NULL REFERENCES suppliers (supplier),
        receipt {text} NOT NULL UNIQUE REFERENCES receipts (number),
        order_number {text} REFERENCES orders (number),
        state {text} NOT NULL CHECK (state IN ('open', 'sent', 'accepted', 'refused', 'settled', 'withdrawn')),
        currency {text} NOT NULL,
        created_at {instant} NOT NULL,
        created_by {text} NOT NULL
    ) {plain}",
    "CREATE INDEX claims_by_supplier ON claims (supplier)",
    "CREATE INDEX claims_by_order ON claims (order_number)",
    "CREATE TABLE claim_lines (
        claim {text} NOT NULL REFERENCES claims (number),
        line {whole} NOT NULL CHECK (line > 0),
        kind {text} NOT NULL CHECK (kind IN ('short', 'damaged', 'wrong', 'over')),
        part {text} REFERENCES parts (part),
        written {text} NOT NULL,
        order_line {whole},
        content {whole},
        quantity {whole} NOT NULL CHECK (quantity > 0),
        unit_value {whole} NOT NULL CHECK (unit_value >= 0),
        amount {whole} NOT NULL CHECK (amount >= 0),
        reason {text} NOT NULL,
        PRIMARY KEY (claim, line)
    ) {clustered}",
    "CREATE INDEX claim_lines_by_part ON claim_lines (part)",
    "CREATE TABLE claim_steps (
        claim {text} NOT NULL REFERENCES claims (number),
        step {whole} NOT NULL CHECK (step > 0),
        what {text} NOT NULL,
        state {text} NOT NULL,
        at {instant} NOT NULL,
        who {text} NOT NULL,
        detail {text} NOT NULL,
        PRIMARY KEY (claim, step)
    ) {clustered}",
];
