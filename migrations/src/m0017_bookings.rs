//! Who booked a movement and of which batch the pieces were; running numbers of any series.

use sea_orm_migration::prelude::*;

use crate::dialect::run;

/// The change.
#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, UP).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, DOWN).await
    }
}

// The list of series is given up: SQLite cannot change a check, and every kind of paper would need the table anew.
const UP: &[&str] = &[
    "ALTER TABLE movements ADD COLUMN who {text} NOT NULL DEFAULT ''",
    "ALTER TABLE movements ADD COLUMN batch {text} NOT NULL DEFAULT ''",
    "CREATE INDEX movements_by_paper ON movements (paper)",
    "CREATE INDEX movements_by_batch ON movements (batch)",
    "CREATE TABLE numbers_of_all (
        series {text} NOT NULL PRIMARY KEY,
        last {whole} NOT NULL CHECK (last >= 0)
    ) {clustered}",
    "INSERT INTO numbers_of_all (series, last) SELECT series, last FROM numbers",
    "DROP TABLE numbers",
    "ALTER TABLE numbers_of_all RENAME TO numbers",
];

const DOWN: &[&str] = &[
    "CREATE TABLE numbers_of_three (
        series {text} NOT NULL PRIMARY KEY CHECK (series IN ('quote', 'movement', 'audit')),
        last {whole} NOT NULL CHECK (last >= 0)
    ) {clustered}",
    "INSERT INTO numbers_of_three (series, last) SELECT series, last FROM numbers \
     WHERE series IN ('quote', 'movement', 'audit')",
    "DROP TABLE numbers",
    "ALTER TABLE numbers_of_three RENAME TO numbers",
    "DROP INDEX movements_by_batch",
    "DROP INDEX movements_by_paper",
    "ALTER TABLE movements DROP COLUMN batch",
    "ALTER TABLE movements DROP COLUMN who",
];
