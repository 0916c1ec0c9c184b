//! Units, the vehicles that carry them, their variants and positions.

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
const TABLES: &[&str] = &["units", "vehicle_units", "variants", "positions"];

const UP: &[&str] = &[
    "CREATE TABLE units (
        unit {text} NOT NULL,
        code {text} NOT NULL,
        maker {text} NOT NULL,
        name {text} NOT NULL,
        kind {text} NOT NULL CHECK (kind IN ('gearbox', 'drop_box', 'axle', 'winch_drive')),
        mass_kg {real} CHECK (mass_kg > 0),
        PRIMARY KEY (unit),
        FOREIGN KEY (maker) REFERENCES makers (maker)
    ) {clustered}",
    "CREATE INDEX units_by_maker ON units (maker)",
    "CREATE TABLE vehicle_units (
        vehicle {text} NOT NULL,
        unit {text} NOT NULL,
        role {text} NOT NULL CHECK (role IN ('gearbox', 'drop_box', 'front_axle', 'rear_axle',
            'winch_drive')),
        driven {flag} NOT NULL CHECK (driven IN (FALSE, TRUE)),
        PRIMARY KEY (vehicle, unit, role),
        FOREIGN KEY (vehicle) REFERENCES vehicles (vehicle),
        FOREIGN KEY (unit) REFERENCES units (unit)
    ) {clustered}",
    "CREATE INDEX vehicle_units_by_unit ON vehicle_units (unit)",
    "CREATE TABLE variants (
        unit {text} NOT NULL,
        variant {text} NOT NULL,
        option_group {text} NOT NULL,
        name {text} NOT NULL,
        serial_from {whole} CHECK (serial_from >= 0),
        serial_to {whole} CHECK (serial_to >= 0),
        built_from {date} CHECK (date(built_from) = built_from),
        built_to {date} CHECK (date(built_to) = built_to),
        how_to_tell {text},
        PRIMARY KEY (unit, variant),
        FOREIGN KEY (unit) REFERENCES units (unit)
    ) {clustered}",
    "CREATE TABLE positions (
        unit {text} NOT NULL,
        position {text} NOT NULL,
        name {text} NOT NULL,
        subassembly {text} NOT NULL,
        assembly_order {whole} NOT NULL CHECK (assembly_order > 0),
        quantity {whole} NOT NULL CHECK (quantity > 0),
        renewal {text} CHECK (renewal IN ('always_at_overhaul', 'on_condition', 'single_use')),
        variant {text},
        only_with {text},
        PRIMARY KEY (unit, position),
        FOREIGN KEY (unit) REFERENCES units (unit),
        FOREIGN KEY (unit, variant) REFERENCES variants (unit, variant),
        FOREIGN KEY (only_with) REFERENCES parts (part)
    ) {clustered}",
    "CREATE INDEX positions_by_unit_variant ON positions (unit, variant)",
    "CREATE INDEX positions_by_only_with ON positions (only_with)",
];
