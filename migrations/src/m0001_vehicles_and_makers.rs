//! Makers, vehicles and their engine curves.

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
const TABLES: &[&str] = &["makers", "vehicles", "engine_points"];

const UP: &[&str] = &[
    "CREATE TABLE makers (
        maker {text} NOT NULL,
        name {text} NOT NULL,
        PRIMARY KEY (maker)
    ) {clustered}",
    "CREATE TABLE vehicles (
        vehicle {text} NOT NULL,
        maker {text} NOT NULL,
        name {text} NOT NULL,
        built_from {date} CHECK (date(built_from) = built_from),
        built_to {date} CHECK (date(built_to) = built_to),
        tyre {text},
        laden_mass_kg {real} CHECK (laden_mass_kg > 0),
        rolling_resistance {real} CHECK (rolling_resistance BETWEEN 0 AND 1),
        drag_area_m2 {real} CHECK (drag_area_m2 >= 0),
        axle_ratio_tolerance_percent {real} CHECK (axle_ratio_tolerance_percent >= 0),
        PRIMARY KEY (vehicle),
        FOREIGN KEY (maker) REFERENCES makers (maker)
    ) {clustered}",
    "CREATE INDEX vehicles_by_maker ON vehicles (maker)",
    "CREATE TABLE engine_points (
        vehicle {text} NOT NULL,
        speed_rpm {whole} NOT NULL CHECK (speed_rpm > 0),
        torque_nm {real} NOT NULL CHECK (torque_nm >= 0),
        PRIMARY KEY (vehicle, speed_rpm),
        FOREIGN KEY (vehicle) REFERENCES vehicles (vehicle)
    ) {clustered}",
];
