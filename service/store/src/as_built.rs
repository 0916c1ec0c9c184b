//! What is inside the serial numbers that left the shop, only added to.

use catalogue::{Code, Mark, PartKey, Quantity, UnitKey};
use chrono::{DateTime, Utc};
use sea_orm::{
    ActiveModelTrait, ActiveValue::Set, ColumnTrait, ConnectionTrait, DatabaseTransaction, DeriveActiveEnum,
    EntityTrait, EnumIter, FromQueryResult, QueryFilter, QueryOrder,
};

use crate::error::StoreError;
use crate::numbers::kept;
use crate::select::{key_list, keys_in, statement};
use crate::store::Store;

/// How a part came to stand at its position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, EnumIter, DeriveActiveEnum)]
#[sea_orm(rs_type = "String", db_type = "Text")]
pub enum AsBuiltSource {
    /// The job fitted it.
    #[sea_orm(string_value = "fitted")]
    Fitted,
    /// It went back in.
    #[sea_orm(string_value = "kept")]
    Kept,
    /// Nothing stands there any more.
    #[sea_orm(string_value = "gone")]
    Gone,
}

/// What stands at a position since a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AsBuiltRow {
    /// The unit.
    pub unit: UnitKey,
    /// Its serial number.
    pub serial: i64,
    /// The job.
    pub job: String,
    /// Place of the row among the job's rows of this serial number, from 1.
    pub line: i64,
    /// The position.
    pub position: Code,
    /// The part; `None`: nothing stands there any more.
    pub part: Option<PartKey>,
    /// The maker's batch; empty: not known.
    pub batch: String,
    /// The mark etched on a matched set; empty: none.
    pub mark: Mark,
    /// How many.
    pub quantity: Quantity,
    /// How it came to stand there.
    pub source: AsBuiltSource,
    /// What the bench noted, such as the shims chosen.
    pub note: String,
    /// When the job was closed.
    pub at: DateTime<Utc>,
}

mod table {
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, Eq, DeriveEntityModel)]
    #[sea_orm(table_name = "as_built")]
    pub(super) struct Model {
        #[sea_orm(primary_key, auto_increment = false)]
        pub(super) unit: String,
        #[sea_orm(primary_key, auto_increment = false)]
        pub(super) serial: i64,
        #[sea_orm(primary_key, auto_increment = false)]
        pub(super) job: String,
        #[sea_orm(primary_key, auto_increment = false)]
        pub(super) line: i64,
        pub(super) position: String,
        pub(super) part: Option<String>,
        pub(super) batch: String,
        pub(super) mark: String,
        pub(super) quantity: i64,
        pub(super) source: super::AsBuiltSource,
        pub(super) note: String,
        pub(super) at: DateTimeUtc,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(super) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

use table::Column;

impl Store {
    /// All that jobs have written of a serial number, the earliest job first.
    pub async fn as_built(&self, unit: &UnitKey, serial: i64) -> Result<Vec<AsBuiltRow>, StoreError> {
        let query = table::Entity::find()
            .filter(Column::Unit.eq(unit.as_str()))
            .filter(Column::Serial.eq(serial))
            .order_by_asc(Column::At)
            .order_by_asc(Column::Job)
            .order_by_asc(Column::Line);
        Ok(query.all(&self.db).await?.into_iter().map(row_of).collect())
    }

    /// Where pieces of a batch were fitted, the earliest first.
    pub async fn where_fitted(&self, batch: &str) -> Result<Vec<AsBuiltRow>, StoreError> {
        let query = table::Entity::find()
            .filter(Column::Batch.eq(batch))
            .filter(Column::Source.eq(AsBuiltSource::Fitted))
            .order_by_asc(Column::At)
            .order_by_asc(Column::Job)
            .order_by_asc(Column::Unit)
            .order_by_asc(Column::Serial)
            .order_by_asc(Column::Line);
        Ok(query.all(&self.db).await?.into_iter().map(row_of).collect())
    }

    /// Where any of some parts stands inside, as far as the shop knows: the rows of the last job that wrote of the
    /// position, by unit, serial number and position.
    pub async fn records_of_parts(&self, parts: &[PartKey]) -> Result<Vec<AsBuiltRow>, StoreError> {
        let sql = format!(
            "SELECT t.* FROM as_built t JOIN {} k ON t.part = k.\"key\" WHERE NOT EXISTS (SELECT 1 FROM as_built n \
             WHERE n.unit = t.unit AND n.serial = t.serial AND n.position = t.position \
             AND (n.at > t.at OR (n.at = t.at AND n.job > t.job)))",
            keys_in(self.kind(), "$1")
        );
        let values = vec![key_list(parts.iter().map(PartKey::as_str))];
        let transaction = self.begin_reading().await?;
        let mut rows = Vec::new();
        for row in transaction.query_all_raw(statement(&transaction, sql, values)).await? {
            rows.push(row_of(table::Model::from_query_result(&row, "")?));
        }
        transaction.commit().await?;
        // Sorted here and not by the database: one order for both.
        rows.sort_by(|a: &AsBuiltRow, b| {
            (&a.unit, a.serial, &a.position, a.line).cmp(&(&b.unit, b.serial, &b.position, b.line))
        });
        Ok(rows)
    }
}

/// Writes what is inside serial numbers.
pub(crate) async fn insert_as_built(
    transaction: &DatabaseTransaction,
    rows: &[AsBuiltRow],
) -> Result<(), StoreError> {
    for row in rows {
        let row = table::ActiveModel {
            unit: Set(row.unit.to_string()),
            serial: Set(row.serial),
            job: Set(row.job.clone()),
            line: Set(row.line),
            position: Set(row.position.to_string()),
            part: Set(row.part.as_ref().map(ToString::to_string)),
            batch: Set(row.batch.clone()),
            mark: Set(row.mark.0.clone()),
            quantity: Set(row.quantity.raw()),
            source: Set(row.source),
            note: Set(row.note.clone()),
            at: Set(kept(row.at)),
        };
        row.insert(transaction).await?;
    }
    Ok(())
}

fn row_of(row: table::Model) -> AsBuiltRow {
    AsBuiltRow {
        unit: UnitKey::from_stored(row.unit),
        serial: row.serial,
        job: row.job,
        line: row.line,
        position: Code::from_stored(row.position),
        part: row.part.map(PartKey::from_stored),
        batch: row.batch,
        mark: Mark(row.mark),
        quantity: Quantity::from_raw(row.quantity),
        source: row.source,
        note: row.note,
        at: row.at,
    }
}
