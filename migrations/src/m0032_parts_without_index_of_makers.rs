//! No index of parts by their maker: a shop has a dozen makers, a few per cent of a parts list each, so nothing is found
//! quicker by it, and each import pays for it. Only taking away a maker looks through the parts now.

use sea_orm_migration::prelude::*;

use crate::dialect::run;

/// The change.
#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, &["DROP INDEX parts_by_maker"]).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, &["CREATE INDEX parts_by_maker ON parts (maker)"]).await
    }
}
