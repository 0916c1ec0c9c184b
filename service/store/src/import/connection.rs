//! The one connection on which a bundle is staged and merged.
//!
//! It lies below the database library's own transactions: `COPY` is not to be had through them, and SQLite's staging and
//! merging are two transactions on one connection.

use chrono::{DateTime, Utc};
use futures::TryStreamExt;
use sea_orm::QueryResult;
use sea_orm::sqlx::{
    self, AssertSqlSafe, Connection as _, Executor, Postgres, Sqlite, SqliteConnection, Transaction,
};

use crate::error::StoreError;
use crate::store::{DatabaseKind, Store};

/// How long an import waits until other writers of a SQLite file have finished, other imports among them.
const TURN_TIMEOUT: std::time::Duration = std::time::Duration::from_secs(600);
/// Number of the advisory lock that one import at a time holds; any number that nothing else uses.
const IMPORT_LOCK: i64 = 7_402_114_002;

/// A connection inside a transaction. Dropping it undoes what was not kept.
#[derive(Debug)]
pub(super) enum Connection {
    /// A connection of its own, outside the pool: its temporary tables go with it.
    Sqlite(Box<SqliteConnection>),
    /// A transaction on one connection of the pool.
    Postgres(Transaction<'static, Postgres>),
}

/// A value bound to a statement.
#[derive(Debug, Clone)]
pub(super) enum Bound {
    /// Text.
    Text(String),
    /// No text.
    NoText,
    /// A whole number.
    Whole(i64),
    /// A point in time.
    Instant(DateTime<Utc>),
}

macro_rules! bind_all {
    ($query:expr, $values:expr) => {
        $values.iter().fold($query, |query, value| match value {
            Bound::Text(text) => query.bind(text.clone()),
            Bound::NoText => query.bind(None::<String>),
            Bound::Whole(number) => query.bind(*number),
            Bound::Instant(instant) => query.bind(*instant),
        })
    };
}

impl Connection {
    /// Opens a connection for staging. On SQLite the main file is not locked until [`Connection::take_turn`].
    pub(super) async fn open(store: &Store) -> Result<Self, StoreError> {
        Ok(match store.kind() {
            DatabaseKind::Sqlite => {
                let options = store.db.get_sqlite_connection_pool().connect_options();
                let options = (*options).clone().busy_timeout(TURN_TIMEOUT).pragma("cache_size", "-65536");
                let mut connection = SqliteConnection::connect_with(&options).await?;
                connection.execute("BEGIN").await?;
                Self::Sqlite(Box::new(connection))
            }
            DatabaseKind::Postgres => Self::Postgres(store.db.get_postgres_connection_pool().begin().await?),
        })
    }

    /// Which database it is.
    pub(super) fn kind(&self) -> DatabaseKind {
        match self {
            Self::Sqlite(_) => DatabaseKind::Sqlite,
            Self::Postgres(_) => DatabaseKind::Postgres,
        }
    }

    /// Waits until no other import merges, and keeps others waiting until the end.
    pub(super) async fn take_turn(&mut self) -> Result<(), StoreError> {
        match self {
            // What was staged lies in temporary tables of this connection and outlives the change of transaction.
            Self::Sqlite(connection) => {
                connection.execute("COMMIT").await?;
                connection.execute("BEGIN IMMEDIATE").await?;
            }
            Self::Postgres(_) => {
                self.execute(&format!("SELECT pg_advisory_xact_lock({IMPORT_LOCK})"), &[]).await?;
            }
        }
        Ok(())
    }

    /// Keeps what was done since the turn was taken.
    pub(super) async fn commit(self) -> Result<(), StoreError> {
        match self {
            Self::Sqlite(mut connection) => {
                connection.execute("COMMIT").await?;
                connection.close().await?;
            }
            Self::Postgres(transaction) => transaction.commit().await?,
        }
        Ok(())
    }

    /// Leaves everything as it was.
    pub(super) async fn undo(self) -> Result<(), StoreError> {
        match self {
            Self::Sqlite(mut connection) => {
                connection.execute("ROLLBACK").await?;
                connection.close().await?;
            }
            Self::Postgres(transaction) => transaction.rollback().await?,
        }
        Ok(())
    }

    /// Runs a statement; the number of rows it touched.
    pub(super) async fn execute(&mut self, sql: &str, values: &[Bound]) -> Result<u64, StoreError> {
        let sql = AssertSqlSafe(sql.to_owned());
        Ok(match self {
            Self::Sqlite(connection) => {
                let query = bind_all!(sqlx::query::<Sqlite>(sql).persistent(false), values);
                query.execute(&mut **connection).await?.rows_affected()
            }
            Self::Postgres(transaction) => {
                let query = bind_all!(sqlx::query::<Postgres>(sql).persistent(false), values);
                query.execute(&mut **transaction).await?.rows_affected()
            }
        })
    }

    /// All rows of a query that has few.
    pub(super) async fn fetch(
        &mut self,
        sql: &str,
        values: &[Bound],
    ) -> Result<Vec<QueryResult>, StoreError> {
        let mut rows = Vec::new();
        self.for_each(sql, values, |row| {
            rows.push(row);
            Ok(())
        })
        .await?;
        Ok(rows)
    }

    /// The single whole number of a query.
    pub(super) async fn whole(&mut self, sql: &str, values: &[Bound]) -> Result<i64, StoreError> {
        let rows = self.fetch(sql, values).await?;
        let row = rows.first().ok_or(StoreError::Database(sea_orm::DbErr::RecordNotFound(sql.to_owned())))?;
        Ok(row.try_get_by_index(0)?)
    }

    /// Hands over the rows of a query one by one.
    pub(super) async fn for_each(
        &mut self,
        sql: &str,
        values: &[Bound],
        mut receive: impl FnMut(QueryResult) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        let sql = AssertSqlSafe(sql.to_owned());
        match self {
            Self::Sqlite(connection) => {
                let query = bind_all!(sqlx::query::<Sqlite>(sql).persistent(false), values);
                let mut rows = query.fetch(&mut **connection);
                while let Some(row) = rows.try_next().await? {
                    receive(row.into())?;
                }
            }
            Self::Postgres(transaction) => {
                let query = bind_all!(sqlx::query::<Postgres>(sql).persistent(false), values);
                let mut rows = query.fetch(&mut **transaction);
                while let Some(row) = rows.try_next().await? {
                    receive(row.into())?;
                }
            }
        }
        Ok(())
    }
}
