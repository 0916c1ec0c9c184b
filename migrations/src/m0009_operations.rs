//! Operations, their fluids and outside work, and cautions.

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
const TABLES: &[&str] = &["operations", "operation_scope", "fluids", "outside_work", "cautions"];

const UP: &[&str] = &[
    "CREATE TABLE operations (
        unit {text} NOT NULL,
        operation {text} NOT NULL,
        name {text} NOT NULL,
        overhaul {flag} NOT NULL CHECK (overhaul IN (FALSE, TRUE)),
        hours {whole} NOT NULL CHECK (hours >= 0),
        PRIMARY KEY (unit, operation),
        FOREIGN KEY (unit) REFERENCES units (unit)
    ) {clustered}",
    "CREATE TABLE operation_scope (
        unit {text} NOT NULL,
        operation {text} NOT NULL,
        position {text} NOT NULL,
        effect {text} NOT NULL CHECK (effect IN ('disturbs', 'renews')),
        PRIMARY KEY (unit, operation, position),
        FOREIGN KEY (unit, operation) REFERENCES operations (unit, operation),
        FOREIGN KEY (unit, position) REFERENCES positions (unit, position)
    ) {clustered}",
    "CREATE INDEX operation_scope_by_unit_position ON operation_scope (unit, position)",
    "CREATE TABLE fluids (
        unit {text} NOT NULL,
        operation {text} NOT NULL,
        part {text} NOT NULL,
        quantity {whole} NOT NULL CHECK (quantity > 0),
        grade {text} NOT NULL,
        purpose {text} NOT NULL,
        PRIMARY KEY (unit, operation, part),
        FOREIGN KEY (unit, operation) REFERENCES operations (unit, operation),
        FOREIGN KEY (part) REFERENCES parts (part)
    ) {clustered}",
    "CREATE INDEX fluids_by_part ON fluids (part)",
    "CREATE TABLE outside_work (
        unit {text} NOT NULL,
        work {text} NOT NULL,
        name {text} NOT NULL,
        operation {text},
        position {text},
        finding {text} CHECK (finding IN ('good', 'worn', 'damaged', 'repaired_before', 'missing')),
        supplier {text} NOT NULL,
        price {whole} NOT NULL CHECK (price >= 0),
        currency {text} NOT NULL,
        lead_days {whole} NOT NULL CHECK (lead_days >= 0),
        PRIMARY KEY (unit, work),
        FOREIGN KEY (unit) REFERENCES units (unit),
        FOREIGN KEY (unit, operation) REFERENCES operations (unit, operation),
        FOREIGN KEY (unit, position) REFERENCES positions (unit, position),
        FOREIGN KEY (supplier) REFERENCES suppliers (supplier)
    ) {clustered}",
    "CREATE INDEX outside_work_by_unit_operation ON outside_work (unit, operation)",
    "CREATE INDEX outside_work_by_unit_position ON outside_work (unit, position)",
    "CREATE INDEX outside_work_by_supplier ON outside_work (supplier)",
    "CREATE TABLE cautions (
        caution {text} NOT NULL,
        hazard {text} NOT NULL CHECK (hazard IN ('lifting', 'press', 'heat', 'spring', 'solvent',
            'vehicle_on_stands', 'changed_gearing', 'brakes')),
        text {text} NOT NULL,
        unit {text},
        operation {text},
        position {text},
        PRIMARY KEY (caution),
        FOREIGN KEY (unit) REFERENCES units (unit),
        FOREIGN KEY (unit, operation) REFERENCES operations (unit, operation),
        FOREIGN KEY (unit, position) REFERENCES positions (unit, position)
    ) {clustered}",
    "CREATE INDEX cautions_by_unit_operation ON cautions (unit, operation)",
    "CREATE INDEX cautions_by_unit_position ON cautions (unit, position)",
];
