//! The one connection on which a bundle is staged and merged.
//!
//! It lies below the database library's own transactions: `COPY` is not to be had through them, and SQLite's staging and
//! merging are two transactions on one connection. SQLite is worked on its own interface ([`super::sqlite_link`]): a
//! driver that carries every value to another thread takes longer over that than the database over the rows.

use chrono::{DateTime, Utc};
use futures::TryStreamExt;
use sea_orm::sqlx::{self, AssertSqlSafe, Postgres, Transaction};
use tokio::sync::{mpsc, oneshot};
use tokio::task::{JoinHandle, spawn_blocking};

use super::row::Row;
use super::sqlite_link;
use crate::error::StoreError;
use crate::store::{DatabaseKind, Store};

/// Number of the advisory lock that one import at a time holds; any number that nothing else uses.
const IMPORT_LOCK: i64 = 7_402_114_002;
/// Batches of rows of a query on SQLite that wait to be looked at.
const BATCHES_WAITING: usize = 2;

/// A connection inside a transaction. Dropping it undoes what was not kept.
#[derive(Debug)]
pub(super) struct Connection {
    kind: DatabaseKind,
    state: State,
}

#[derive(Debug)]
enum State {
    /// Nothing is going on.
    Free(Link),
    /// Something handed over is still being worked on; what came of it is told at the next call.
    Busy(Working),
    /// Whoever worked on it ended without giving it back.
    Gone,
}

/// Work that gives the connection back.
pub(super) type Working = JoinHandle<(Link, Result<(), StoreError>)>;

/// The connection itself.
#[derive(Debug)]
pub(super) enum Link {
    /// A connection of its own, outside the pool: its temporary tables go with it.
    Sqlite(Box<rusqlite::Connection>),
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
        let link = match store.kind() {
            DatabaseKind::Sqlite => {
                let address = store.sqlite_address();
                let opened = spawn_blocking(move || sqlite_link::open(&address)).await;
                Link::Sqlite(Box::new(opened.map_err(|_| StoreError::ImportBroken)??))
            }
            DatabaseKind::Postgres => Link::Postgres(store.db.get_postgres_connection_pool().begin().await?),
        };
        Ok(Self { kind: store.kind(), state: State::Free(link) })
    }

    /// Which database it is.
    pub(super) fn kind(&self) -> DatabaseKind {
        self.kind
    }

    /// Waits until no other import merges, and keeps others waiting until the end.
    pub(super) async fn take_turn(&mut self) -> Result<(), StoreError> {
        match self.kind {
            // What was staged lies in temporary tables of this connection and outlives the change of transaction.
            DatabaseKind::Sqlite => {
                self.execute("COMMIT", &[]).await?;
                self.execute("BEGIN IMMEDIATE", &[]).await?;
            }
            DatabaseKind::Postgres => {
                self.execute(&format!("SELECT pg_advisory_xact_lock({IMPORT_LOCK})"), &[]).await?;
            }
        }
        Ok(())
    }

    /// Keeps what was done since the turn was taken. SQLite's file is whole when this returns: whoever closes the store may
    /// copy it.
    pub(super) async fn commit(self) -> Result<(), StoreError> {
        self.end(true).await
    }

    /// Leaves everything as it was.
    pub(super) async fn undo(self) -> Result<(), StoreError> {
        self.end(false).await
    }

    /// Ends the transaction, with what was done kept or not, and the connection with it.
    async fn end(mut self, kept: bool) -> Result<(), StoreError> {
        self.settle().await?;
        match self.state {
            State::Free(Link::Sqlite(connection)) => {
                let ended = spawn_blocking(move || sqlite_link::end(&connection, kept));
                ended.await.map_err(|_| StoreError::ImportBroken)?
            }
            State::Free(Link::Postgres(transaction)) if kept => Ok(transaction.commit().await?),
            State::Free(Link::Postgres(transaction)) => Ok(transaction.rollback().await?),
            State::Busy(_) | State::Gone => Err(StoreError::ImportBroken),
        }
    }

    /// Hands over work and does not wait for it; what comes of it is told at the next call.
    pub(super) async fn hand_over(&mut self, work: impl FnOnce(Link) -> Working) -> Result<(), StoreError> {
        self.settle().await?;
        match std::mem::replace(&mut self.state, State::Gone) {
            State::Free(link) => {
                self.state = State::Busy(work(link));
                Ok(())
            }
            State::Busy(_) | State::Gone => Err(StoreError::ImportBroken),
        }
    }

    /// Waits for what was handed over.
    async fn settle(&mut self) -> Result<(), StoreError> {
        let State::Busy(working) = &mut self.state else { return Ok(()) };
        match working.await {
            Ok((link, outcome)) => {
                self.state = State::Free(link);
                outcome
            }
            Err(_) => {
                self.state = State::Gone;
                Err(StoreError::ImportBroken)
            }
        }
    }

    /// The transaction; nothing on SQLite.
    async fn transaction(&mut self) -> Result<Option<&mut Transaction<'static, Postgres>>, StoreError> {
        self.settle().await?;
        match &mut self.state {
            State::Free(Link::Postgres(transaction)) => Ok(Some(transaction)),
            State::Free(Link::Sqlite(_)) => Ok(None),
            State::Busy(_) | State::Gone => Err(StoreError::ImportBroken),
        }
    }

    /// Hands over work on SQLite's connection, on a thread that may wait.
    async fn work(
        &mut self,
        work: impl FnOnce(&mut rusqlite::Connection) -> Result<(), StoreError> + Send + 'static,
    ) -> Result<(), StoreError> {
        self.hand_over(|link| {
            spawn_blocking(move || match link {
                Link::Sqlite(mut connection) => {
                    let outcome = work(&mut connection);
                    (Link::Sqlite(connection), outcome)
                }
                other @ Link::Postgres(_) => (other, Err(StoreError::ImportBroken)),
            })
        })
        .await
    }

    /// Runs a statement; the number of rows it touched.
    pub(super) async fn execute(&mut self, sql: &str, values: &[Bound]) -> Result<u64, StoreError> {
        let sql = sql.to_owned();
        if let Some(transaction) = self.transaction().await? {
            let query = bind_all!(sqlx::query::<Postgres>(AssertSqlSafe(sql)).persistent(false), values);
            return Ok(query.execute(&mut **transaction).await?.rows_affected());
        }
        let values = values.to_vec();
        let (tell, told) = oneshot::channel();
        self.work(move |connection| {
            // Nobody listens where the import was dropped.
            let _ = tell.send(sqlite_link::execute(connection, &sql, &values)?);
            Ok(())
        })
        .await?;
        self.settle().await?;
        told.await.map_err(|_| StoreError::ImportBroken)
    }

    /// All rows of a query that has few.
    pub(super) async fn fetch(&mut self, sql: &str, values: &[Bound]) -> Result<Vec<Row>, StoreError> {
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
        row.whole(0)
    }

    /// Hands over the rows of a query one by one.
    pub(super) async fn for_each(
        &mut self,
        sql: &str,
        values: &[Bound],
        mut receive: impl FnMut(Row) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        let sql = sql.to_owned();
        if let Some(transaction) = self.transaction().await? {
            let query = bind_all!(sqlx::query::<Postgres>(AssertSqlSafe(sql)).persistent(false), values);
            let mut rows = query.fetch(&mut **transaction);
            while let Some(row) = rows.try_next().await? {
                receive(Row::Postgres(row.into()))?;
            }
            return Ok(());
        }
        let values = values.to_vec();
        let (send, mut sent) = mpsc::channel(BATCHES_WAITING);
        self.work(move |connection| {
            sqlite_link::query(connection, &sql, &values, |rows| send.blocking_send(rows).is_ok())
        })
        .await?;
        while let Some(rows) = sent.recv().await {
            for row in rows {
                receive(Row::Sqlite(row))?;
            }
        }
        self.settle().await
    }
}
