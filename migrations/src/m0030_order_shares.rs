//! For whom the pieces of an order line are, where one line serves several jobs or the shelf; and what a line was for before
//! a substitute was taken.

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
        drop_tables(manager, &["order_shares", "order_replaced_parts"]).await
    }
}

// A share without a job is the shelf's. Its content is of the line's frozen contents; a substitute may have put others in
// their place, so it is no reference.
const UP: &[&str] = &[
    "CREATE TABLE order_shares (
        number {text} NOT NULL,
        line {whole} NOT NULL,
        share {whole} NOT NULL CHECK (share > 0),
        content {whole} NOT NULL CHECK (content > 0),
        part {text} NOT NULL REFERENCES parts (part),
        job {text} REFERENCES jobs (number),
        quote {text} REFERENCES quotes (number),
        quantity {whole} NOT NULL CHECK (quantity > 0),
        PRIMARY KEY (number, line, share),
        FOREIGN KEY (number, line) REFERENCES order_lines (number, line)
    ) {clustered}",
    "CREATE INDEX order_shares_by_part ON order_shares (part)",
    "CREATE INDEX order_shares_by_job ON order_shares (job)",
    "CREATE INDEX order_shares_by_quote ON order_shares (quote)",
    "CREATE TABLE order_replaced_parts (
        number {text} NOT NULL,
        line {whole} NOT NULL,
        place {whole} NOT NULL CHECK (place > 0),
        part {text} NOT NULL REFERENCES parts (part),
        PRIMARY KEY (number, line, place),
        FOREIGN KEY (number, line) REFERENCES order_lines (number, line)
    ) {clustered}",
    "CREATE INDEX order_replaced_parts_by_part ON order_replaced_parts (part)",
];
