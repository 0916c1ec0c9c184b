//! Supersession notices.

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
const TABLES: &[&str] = &["supersessions", "supersession_needs"];

const UP: &[&str] = &[
    "CREATE TABLE supersessions (
        notice {text} NOT NULL,
        old {text} NOT NULL,
        new {text} NOT NULL,
        quantity {whole} NOT NULL CHECK (quantity > 0),
        shape {text} NOT NULL CHECK (shape IN ('one_to_one', 'all_of', 'one_of', 'merge')),
        interchange {text} NOT NULL CHECK (interchange IN ('two_way', 'new_for_old', 'none')),
        effective_from {date} NOT NULL CHECK (date(effective_from) = effective_from),
        use_old_until_gone {flag} NOT NULL CHECK (use_old_until_gone IN (FALSE, TRUE)),
        unit {text},
        variant {text},
        serial_from {whole} CHECK (serial_from >= 0),
        serial_to {whole} CHECK (serial_to >= 0),
        built_from {date} CHECK (date(built_from) = built_from),
        built_to {date} CHECK (date(built_to) = built_to),
        PRIMARY KEY (notice, old, new),
        FOREIGN KEY (old) REFERENCES parts (part),
        FOREIGN KEY (new) REFERENCES parts (part),
        FOREIGN KEY (unit) REFERENCES units (unit),
        FOREIGN KEY (unit, variant) REFERENCES variants (unit, variant)
    ) {clustered}",
    "CREATE INDEX supersessions_by_old ON supersessions (old)",
    "CREATE INDEX supersessions_by_new ON supersessions (new)",
    "CREATE INDEX supersessions_by_unit_variant ON supersessions (unit, variant)",
    "CREATE TABLE supersession_needs (
        notice {text} NOT NULL,
        line {whole} NOT NULL CHECK (line > 0),
        unit {text} NOT NULL,
        position {text} NOT NULL,
        part {text},
        PRIMARY KEY (notice, line),
        FOREIGN KEY (unit, position) REFERENCES positions (unit, position),
        FOREIGN KEY (part) REFERENCES parts (part)
    ) {clustered}",
    "CREATE INDEX supersession_needs_by_unit_position ON supersession_needs (unit, position)",
    "CREATE INDEX supersession_needs_by_part ON supersession_needs (part)",
];
