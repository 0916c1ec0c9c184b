//! What may stand at a position, and where positions meet.

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
const TABLES: &[&str] = &["candidates", "set_positions", "joints"];

const UP: &[&str] = &[
    "CREATE TABLE candidates (
        unit {text} NOT NULL,
        position {text} NOT NULL,
        part {text} NOT NULL,
        role {text} NOT NULL CHECK (role IN ('original', 'alternative', 'upgrade')),
        quantity {whole} CHECK (quantity > 0),
        variant {text},
        PRIMARY KEY (unit, position, part),
        FOREIGN KEY (unit, position) REFERENCES positions (unit, position),
        FOREIGN KEY (part) REFERENCES parts (part),
        FOREIGN KEY (unit, variant) REFERENCES variants (unit, variant)
    ) {clustered}",
    "CREATE INDEX candidates_by_part ON candidates (part)",
    "CREATE INDEX candidates_by_unit_variant ON candidates (unit, variant)",
    "CREATE TABLE set_positions (
        unit {text} NOT NULL,
        part {text} NOT NULL,
        position {text} NOT NULL,
        PRIMARY KEY (unit, part, position),
        FOREIGN KEY (unit, position, part) REFERENCES candidates (unit, position, part)
    ) {clustered}",
    "CREATE INDEX set_positions_by_unit_position_part ON set_positions (unit, position, part)",
    "CREATE TABLE joints (
        joint {text} NOT NULL,
        kind {text} NOT NULL CHECK (kind IN ('mesh', 'spline', 'bearing_seat', 'plain_seat', 'seal',
            'thread', 'stack', 'dog_clutch', 'cone')),
        unit_a {text} NOT NULL,
        position_a {text} NOT NULL,
        feature_a {text} NOT NULL,
        unit_b {text} NOT NULL,
        position_b {text} NOT NULL,
        feature_b {text} NOT NULL,
        centre_distance_mm {real} CHECK (centre_distance_mm > 0),
        backlash_min_mm {real} CHECK (backlash_min_mm >= 0),
        backlash_max_mm {real} CHECK (backlash_max_mm >= 0),
        PRIMARY KEY (joint),
        FOREIGN KEY (unit_a, position_a) REFERENCES positions (unit, position),
        FOREIGN KEY (unit_b, position_b) REFERENCES positions (unit, position)
    ) {clustered}",
    "CREATE INDEX joints_by_unit_a_position_a ON joints (unit_a, position_a)",
    "CREATE INDEX joints_by_unit_b_position_b ON joints (unit_b, position_b)",
];
