//! What one piece of each content of an order line is worth: its share of the line's price, frozen with the line.

use sea_orm_migration::prelude::*;

use crate::dialect::run;

/// The change.
#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        // Contents that were frozen before have none: their pieces share alike.
        run(manager, &["ALTER TABLE order_contents ADD COLUMN unit_value {whole} CHECK (unit_value >= 0)"])
            .await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, &["ALTER TABLE order_contents DROP COLUMN unit_value"]).await
    }
}
