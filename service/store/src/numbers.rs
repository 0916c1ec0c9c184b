//! Running numbers without gaps or doubles.

use chrono::{DateTime, SubsecRound, Utc};
use sea_orm::ConnectionTrait;

use crate::error::StoreError;
use crate::select::statement;

/// Takes the next number of a series inside a transaction. The series is held until the transaction ends, and a
/// transaction that fails gives its number back.
pub(crate) async fn take_number(db: &impl ConnectionTrait, series: &str) -> Result<i64, StoreError> {
    let sql = "UPDATE numbers SET last = last + 1 WHERE series = $1 RETURNING last";
    let row = db.query_one_raw(statement(db, sql.to_owned(), vec![series.into()])).await?;
    let row = row.ok_or(StoreError::BadRow { table: "numbers", column: series.to_owned() })?;
    Ok(row.try_get_by_index(0)?)
}

/// An instant as both databases keep it: PostgreSQL knows no more than microseconds.
pub(crate) fn kept(instant: DateTime<Utc>) -> DateTime<Utc> {
    instant.trunc_subsecs(6)
}
