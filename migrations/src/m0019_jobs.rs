//! Jobs, the steps they have gone through, and what they leave inside a serial number.

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
        only_add_to(manager, "job_steps").await?;
        only_add_to(manager, "as_built").await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop_table(manager, "as_built").await?;
        drop_table(manager, "job_steps").await?;
        drop_tables(manager, &["jobs"]).await
    }
}

// A job is what its steps have made of it; the row beside them holds only what lists are made from.
const UP: &[&str] = &[
    "CREATE TABLE jobs (
        number {text} NOT NULL PRIMARY KEY,
        running {whole} NOT NULL UNIQUE CHECK (running > 0),
        state {text} NOT NULL,
        revision {whole} NOT NULL CHECK (revision > 0),
        opened_at {instant} NOT NULL,
        changed_at {instant} NOT NULL
    ) {plain}",
    "CREATE INDEX jobs_by_state ON jobs (state, running)",
    "CREATE TABLE job_steps (
        job {text} NOT NULL REFERENCES jobs (number),
        step {whole} NOT NULL CHECK (step > 0),
        kind {text} NOT NULL,
        state {text} NOT NULL,
        who {text} NOT NULL,
        at {instant} NOT NULL,
        detail {text} NOT NULL,
        PRIMARY KEY (job, step)
    ) {plain}",
    // What stands at a position is what the last job that wrote of it wrote. A row without a part says that nothing stands
    // there any more. Units and parts may leave the catalogue; the record stays.
    "CREATE TABLE as_built (
        unit {text} NOT NULL,
        serial {whole} NOT NULL CHECK (serial >= 0),
        job {text} NOT NULL REFERENCES jobs (number),
        line {whole} NOT NULL CHECK (line > 0),
        position {text} NOT NULL,
        part {text},
        batch {text} NOT NULL,
        mark {text} NOT NULL,
        quantity {whole} NOT NULL CHECK (quantity >= 0),
        source {text} NOT NULL CHECK (source IN ('fitted', 'kept', 'gone')),
        note {text} NOT NULL,
        at {instant} NOT NULL,
        PRIMARY KEY (unit, serial, job, line),
        CHECK ((part IS NULL) = (source = 'gone'))
    ) {plain}",
    "CREATE INDEX as_built_by_part ON as_built (part)",
    "CREATE INDEX as_built_by_batch ON as_built (batch)",
    "CREATE INDEX as_built_by_job ON as_built (job)",
];
