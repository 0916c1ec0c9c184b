//! Parts, their features, what makers state of them, and their companions.

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
const TABLES: &[&str] = &["parts", "features", "fit_statements", "companions"];

const UP: &[&str] = &[
    "CREATE TABLE parts (
        part {text} NOT NULL,
        maker {text} NOT NULL,
        number {text} NOT NULL,
        name {text} NOT NULL,
        kind {text} NOT NULL CHECK (kind IN ('hard', 'wear', 'consumable', 'set', 'kit')),
        class {text} NOT NULL CHECK (class IN ('gear', 'shaft', 'housing', 'bearing', 'seal', 'gasket',
            'o_ring', 'lock_plate', 'nut', 'bolt', 'snap_ring', 'synchro_ring', 'hub', 'spacer', 'shim',
            'thrust_washer', 'flange', 'fork', 'spring', 'fluid', 'sealant', 'other')),
        price_group {text} NOT NULL,
        measure {text} NOT NULL CHECK (measure IN ('H87', 'SET', 'KT', 'PR', 'LTR', 'MLT', 'KGM', 'GRM',
            'MTR', 'MMT', 'NU', 'DD', 'CEL')),
        renewal {text} CHECK (renewal IN ('always_at_overhaul', 'on_condition', 'single_use')),
        gtin {text},
        mass_kg {real} CHECK (mass_kg > 0),
        surplus_credit {whole} CHECK (surplus_credit >= 0),
        retired {flag} NOT NULL CHECK (retired IN (FALSE, TRUE)),
        PRIMARY KEY (part),
        FOREIGN KEY (maker) REFERENCES makers (maker)
    ) {clustered}",
    "CREATE UNIQUE INDEX parts_by_gtin ON parts (gtin) WHERE gtin IS NOT NULL",
    "CREATE INDEX parts_by_maker ON parts (maker)",
    "CREATE TABLE features (
        part {text} NOT NULL,
        feature {text} NOT NULL,
        kind {text} NOT NULL CHECK (kind IN ('gear', 'spline_shaft', 'spline_hub', 'bore', 'journal',
            'bearing_bore', 'bearing_outside', 'seal', 'seal_seat', 'seal_bore', 'thread_outside',
            'thread_inside', 'thrust_face', 'dog_teeth', 'cone')),
        designation {text},
        tooth_count {whole} CHECK (tooth_count > 0),
        module_mm {real} CHECK (module_mm > 0),
        pressure_angle_deg {real} CHECK (pressure_angle_deg > 0),
        helix_angle_deg {real} CHECK (helix_angle_deg >= 0),
        hand {text} CHECK (hand IN ('left', 'right')),
        profile_shift {real},
        outside_diameter_mm {real} CHECK (outside_diameter_mm > 0),
        inside_diameter_mm {real} CHECK (inside_diameter_mm > 0),
        diameter_mm {real} CHECK (diameter_mm > 0),
        tolerance {text},
        length_mm {real} CHECK (length_mm > 0),
        pitch_mm {real} CHECK (pitch_mm > 0),
        cone_angle_deg {real} CHECK (cone_angle_deg > 0),
        carrying_teeth {whole} CHECK (carrying_teeth > 0),
        basis {text} NOT NULL CHECK (basis IN ('stated', 'measured')),
        uncertainty_mm {real} CHECK (uncertainty_mm >= 0),
        measured_by {text},
        measured_on {date} CHECK (date(measured_on) = measured_on),
        PRIMARY KEY (part, feature),
        FOREIGN KEY (part) REFERENCES parts (part)
    ) {clustered}",
    "CREATE TABLE fit_statements (
        maker {text} NOT NULL,
        part_a {text} NOT NULL,
        part_b {text} NOT NULL,
        verdict {text} NOT NULL CHECK (verdict IN ('fits', 'does_not_fit')),
        document {text} NOT NULL,
        stated_on {date} NOT NULL CHECK (date(stated_on) = stated_on),
        PRIMARY KEY (maker, part_a, part_b),
        FOREIGN KEY (maker) REFERENCES makers (maker),
        FOREIGN KEY (part_a) REFERENCES parts (part),
        FOREIGN KEY (part_b) REFERENCES parts (part)
    ) {clustered}",
    "CREATE INDEX fit_statements_by_part_a ON fit_statements (part_a)",
    "CREATE INDEX fit_statements_by_part_b ON fit_statements (part_b)",
    "CREATE TABLE companions (
        part {text} NOT NULL,
        companion {text} NOT NULL,
        quantity {whole} NOT NULL CHECK (quantity > 0),
        PRIMARY KEY (part, companion),
        FOREIGN KEY (part) REFERENCES parts (part),
        FOREIGN KEY (companion) REFERENCES parts (part)
    ) {clustered}",
    "CREATE INDEX companions_by_companion ON companions (companion)",
];
