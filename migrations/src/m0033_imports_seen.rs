//! When the service that runs an import was last seen at it: what nobody has run for a while was left behind.

use sea_orm_migration::prelude::*;

use crate::dialect::run;

/// The change.
#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, &["ALTER TABLE imports ADD COLUMN seen_at {instant}"]).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, &["ALTER TABLE imports DROP COLUMN seen_at"]).await
    }
}
