//! What the bench needs, and what is likely to be found bad.

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
const TABLES: &[&str] = &["bench_values", "bench_renewals", "weak_points"];

const UP: &[&str] = &[
    "CREATE TABLE bench_values (
        unit {text} NOT NULL,
        position {text} NOT NULL,
        bench_value {text} NOT NULL,
        kind {text} NOT NULL CHECK (kind IN ('wear_limit', 'torque', 'shim_series', 'end_float',
            'preload', 'backlash')),
        name {text} NOT NULL,
        measure {text} NOT NULL CHECK (measure IN ('H87', 'SET', 'KT', 'PR', 'LTR', 'MLT', 'KGM', 'GRM',
            'MTR', 'MMT', 'NU', 'DD', 'CEL')),
        minimum {real},
        maximum {real},
        wear_limit {real},
        step {real} CHECK (step > 0),
        PRIMARY KEY (unit, position, bench_value),
        FOREIGN KEY (unit, position) REFERENCES positions (unit, position)
    ) {clustered}",
    "CREATE TABLE bench_renewals (
        unit {text} NOT NULL,
        position {text} NOT NULL,
        bench_value {text} NOT NULL,
        renews {text} NOT NULL,
        PRIMARY KEY (unit, position, bench_value, renews),
        FOREIGN KEY (unit, position, bench_value) REFERENCES bench_values (unit, position, bench_value),
        FOREIGN KEY (unit, renews) REFERENCES positions (unit, position)
    ) {clustered}",
    "CREATE INDEX bench_renewals_by_unit_renews ON bench_renewals (unit, renews)",
    "CREATE TABLE weak_points (
        unit {text} NOT NULL,
        weak_point {text} NOT NULL,
        position {text} NOT NULL,
        finding {text} NOT NULL CHECK (finding IN ('good', 'worn', 'damaged', 'repaired_before',
            'missing')),
        likelihood {real} NOT NULL CHECK (likelihood BETWEEN 0 AND 1),
        given {text},
        likelihood_otherwise {real} CHECK (likelihood_otherwise BETWEEN 0 AND 1),
        symptom {text} NOT NULL,
        vehicle_check {text} NOT NULL,
        PRIMARY KEY (unit, weak_point),
        FOREIGN KEY (unit, position) REFERENCES positions (unit, position),
        FOREIGN KEY (unit, given) REFERENCES weak_points (unit, weak_point)
    ) {clustered}",
    "CREATE INDEX weak_points_by_unit_position ON weak_points (unit, position)",
    "CREATE INDEX weak_points_by_unit_given ON weak_points (unit, given)",
];
