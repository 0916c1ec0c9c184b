//! The audit: who did what, only added to.

use chrono::{DateTime, Utc};
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, QueryOrder, QuerySelect};

use crate::error::StoreError;
use crate::store::Store;

/// An entry of the audit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AuditEntry {
    /// Its running number.
    pub sequence: i64,
    /// When it was done.
    pub at: DateTime<Utc>,
    /// Who did it.
    pub who: String,
    /// What was done.
    pub what: String,
    /// Its particulars, as JSON.
    pub detail: String,
    /// SHA-256 of what was changed, in hexadecimal.
    pub hash: String,
}

mod table {
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, Eq, DeriveEntityModel)]
    #[sea_orm(table_name = "audit")]
    pub(super) struct Model {
        #[sea_orm(primary_key, auto_increment = false)]
        pub(super) seq: i64,
        pub(super) at: DateTimeUtc,
        pub(super) who: String,
        pub(super) what: String,
        pub(super) detail: String,
        pub(super) hash: String,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(super) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

impl Store {
    /// The entries after a number, the oldest first, at most so many.
    pub async fn list_audit(&self, after: i64, limit: u64) -> Result<Vec<AuditEntry>, StoreError> {
        use table::Column;
        let query =
            table::Entity::find().filter(Column::Seq.gt(after)).order_by_asc(Column::Seq).limit(limit);
        let entry = |row: table::Model| AuditEntry {
            sequence: row.seq,
            at: row.at,
            who: row.who,
            what: row.what,
            detail: row.detail,
            hash: row.hash,
        };
        Ok(query.all(&self.db).await?.into_iter().map(entry).collect())
    }
}
