//! The stock ledger: movements, only added to.

use catalogue::{Code, Mark, Money, PartKey, Quantity};
use chrono::{DateTime, Utc};
use sea_orm::{ColumnTrait, DeriveActiveEnum, EntityTrait, EnumIter, QueryFilter, QueryOrder, QuerySelect};

use crate::error::StoreError;
use crate::store::Store;

/// Why pieces moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, EnumIter, DeriveActiveEnum)]
#[sea_orm(rs_type = "String", db_type = "Text")]
pub enum MovementKind {
    /// They came from a supplier.
    #[sea_orm(string_value = "receive")]
    Receive,
    /// They went into a job.
    #[sea_orm(string_value = "issue")]
    Issue,
    /// They came back from a job.
    #[sea_orm(string_value = "return")]
    Return,
    /// A count found more or fewer, or another value.
    #[sea_orm(string_value = "adjust")]
    Adjust,
    /// They went to or came from another bin.
    #[sea_orm(string_value = "transfer")]
    Transfer,
    /// They were thrown away.
    #[sea_orm(string_value = "scrap")]
    Scrap,
}

/// A movement of the stock ledger.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Movement {
    /// Its running number: the ledger sequence.
    pub sequence: i64,
    /// The bin.
    pub bin: Code,
    /// The part.
    pub part: PartKey,
    /// The mark etched on a matched set.
    pub mark: Mark,
    /// Why pieces moved.
    pub kind: MovementKind,
    /// How many came; below zero: how many went.
    pub quantity: Quantity,
    /// Carrying value of one piece of the lot after it.
    pub carrying_value: Money,
    /// The reason in words.
    pub reason: String,
    /// When it was booked.
    pub at: DateTime<Utc>,
    /// The paper it was booked for.
    pub paper: Option<String>,
}

mod table {
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, Eq, DeriveEntityModel)]
    #[sea_orm(table_name = "movements")]
    pub(super) struct Model {
        #[sea_orm(primary_key, auto_increment = false)]
        pub(super) seq: i64,
        pub(super) bin: String,
        pub(super) part: String,
        pub(super) mark: String,
        pub(super) kind: super::MovementKind,
        pub(super) quantity: i64,
        pub(super) carrying_value: i64,
        pub(super) reason: String,
        pub(super) at: DateTimeUtc,
        pub(super) paper: Option<String>,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(super) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

impl Store {
    /// The movements after a sequence number, the oldest first, at most so many.
    pub async fn list_movements(&self, after: i64, limit: u64) -> Result<Vec<Movement>, StoreError> {
        use table::Column;
        let query =
            table::Entity::find().filter(Column::Seq.gt(after)).order_by_asc(Column::Seq).limit(limit);
        Ok(query.all(&self.db).await?.into_iter().map(movement_of).collect())
    }
}

fn movement_of(row: table::Model) -> Movement {
    Movement {
        sequence: row.seq,
        bin: Code::from_stored(row.bin),
        part: PartKey::from_stored(row.part),
        mark: Mark(row.mark),
        kind: row.kind,
        quantity: Quantity::from_raw(row.quantity),
        carrying_value: Money::from_raw(row.carrying_value),
        reason: row.reason,
        at: row.at,
        paper: row.paper,
    }
}
