//! Running numbers without gaps or doubles.

use chrono::{DateTime, SubsecRound, Utc};
use sea_orm::ConnectionTrait;

use crate::error::StoreError;
use crate::select::statement;

/// Takes the next number of a series inside a transaction. The series is held until the transaction ends, and a
/// transaction that fails gives its number back. A series begins when its first number is taken.
pub(crate) async fn take_number(db: &impl ConnectionTrait, series: &str) -> Result<i64, StoreError> {
    take_numbers(db, series, 1).await
}

/// Takes so many numbers of a series at once; returns the first.
pub(crate) async fn take_numbers(
    db: &impl ConnectionTrait,
    series: &str,
    count: i64,
) -> Result<i64, StoreError> {
    let sql = "INSERT INTO numbers (series, last) VALUES ($1, $2) \
               ON CONFLICT (series) DO UPDATE SET last = numbers.last + $2 RETURNING last";
    let row = db.query_one_raw(statement(db, sql.to_owned(), vec![series.into(), count.into()])).await?;
    let row = row.ok_or(StoreError::BadRow { table: "numbers", column: series.to_owned() })?;
    Ok(row.try_get_by_index::<i64>(0)? - count + 1)
}

/// An instant as both databases keep it: PostgreSQL knows no more than microseconds.
pub(crate) fn kept(instant: DateTime<Utc>) -> DateTime<Utc> {
    instant.trunc_subsecs(6)
}
