//! Orders to suppliers, what each line should bring, and what was done with them.

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
        only_add_to(manager, "order_steps").await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop_table(manager, "order_steps").await?;
        drop_tables(manager, TABLES).await
    }
}

const TABLES: &[&str] = &["orders", "order_lines", "order_contents"];

// The version counts the changes: a change that was decided on another version is refused.
const UP: &[&str] = &[
    "CREATE TABLE orders (
        number {text} NOT NULL PRIMARY KEY,
        running {whole} NOT NULL UNIQUE CHECK (running > 0),
        version {whole} NOT NULL CHECK (version > 0),
        supplier {text} NOT NULL REFERENCES suppliers (supplier),
        state {text} NOT NULL CHECK (state IN
            ('draft', 'placed', 'acknowledged', 'part_received', 'received', 'closed', 'cancelled')),
        structure_revision {whole} NOT NULL CHECK (structure_revision >= 0),
        created_at {instant} NOT NULL,
        created_by {text} NOT NULL,
        note {text} NOT NULL
    ) {plain}",
    "CREATE INDEX orders_by_supplier ON orders (supplier)",
    "CREATE INDEX orders_by_state ON orders (state)",
    "CREATE TABLE order_lines (
        number {text} NOT NULL REFERENCES orders (number),
        line {whole} NOT NULL CHECK (line > 0),
        part {text} NOT NULL REFERENCES parts (part),
        quantity {whole} NOT NULL CHECK (quantity > 0),
        currency {text} NOT NULL,
        price {whole} NOT NULL CHECK (price >= 0),
        deposit {whole} NOT NULL CHECK (deposit >= 0),
        unit_value {whole} NOT NULL CHECK (unit_value >= 0),
        expected_on {date} CHECK (date(expected_on) = expected_on),
        quote {text} REFERENCES quotes (number),
        job {text},
        acknowledged_quantity {whole} CHECK (acknowledged_quantity >= 0),
        acknowledged_on {date} CHECK (date(acknowledged_on) = acknowledged_on),
        substitute {text} REFERENCES parts (part),
        PRIMARY KEY (number, line)
    ) {clustered}",
    "CREATE INDEX order_lines_by_part ON order_lines (part)",
    "CREATE INDEX order_lines_by_quote ON order_lines (quote)",
    "CREATE INDEX order_lines_by_job ON order_lines (job)",
    "CREATE INDEX order_lines_by_substitute ON order_lines (substitute)",
    "CREATE TABLE order_contents (
        number {text} NOT NULL,
        line {whole} NOT NULL,
        content {whole} NOT NULL CHECK (content > 0),
        part {text} NOT NULL REFERENCES parts (part),
        quantity {whole} NOT NULL CHECK (quantity > 0),
        option_group {text},
        through {text} NOT NULL,
        PRIMARY KEY (number, line, content),
        FOREIGN KEY (number, line) REFERENCES order_lines (number, line)
    ) {clustered}",
    "CREATE INDEX order_contents_by_part ON order_contents (part)",
    "CREATE TABLE order_steps (
        number {text} NOT NULL REFERENCES orders (number),
        step {whole} NOT NULL CHECK (step > 0),
        what {text} NOT NULL,
        state {text} NOT NULL,
        at {instant} NOT NULL,
        who {text} NOT NULL,
        detail {text} NOT NULL,
        PRIMARY KEY (number, step)
    ) {clustered}",
];
