//! The three running numbers.

use sea_orm::ConnectionTrait;
use serde::{Deserialize, Serialize};

use crate::error::StoreError;
use crate::select::statement;
use crate::store::Store;

/// How often structure and prices have changed, and how far the stock ledger has come.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Revisions {
    /// Counts the changes of what units, kits and parts are.
    pub structure: i64,
    /// Counts the changes of what things cost.
    pub price: i64,
    /// Number of the last movement of the stock ledger.
    pub ledger: i64,
}

impl Store {
    /// The three running numbers as they are now.
    pub async fn revisions(&self) -> Result<Revisions, StoreError> {
        read_revisions(&self.db).await
    }
}

/// The query behind the numbers, for whoever asks inside a transaction.
pub(crate) const REVISIONS: &str = "SELECT \
     (SELECT number FROM revisions WHERE name = 'structure'), \
     (SELECT number FROM revisions WHERE name = 'price'), \
     (SELECT COALESCE(MAX(seq), 0) FROM movements)";

pub(crate) async fn read_revisions(db: &impl ConnectionTrait) -> Result<Revisions, StoreError> {
    let row = db.query_one_raw(statement(db, REVISIONS.to_owned(), vec![])).await?;
    let row = row.ok_or(StoreError::BadRow { table: "revisions", column: "number".to_owned() })?;
    Ok(Revisions {
        structure: row.try_get_by_index(0)?,
        price: row.try_get_by_index(1)?,
        ledger: row.try_get_by_index(2)?,
    })
}
