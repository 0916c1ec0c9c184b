//! The open database.

use std::str::FromStr;
use std::sync::Arc;
use std::time::Duration;

use migrations::{Migrator, MigratorTrait};
use sea_orm::sqlx::sqlite::{SqliteJournalMode, SqliteSynchronous};
use sea_orm::{
    ConnectOptions, ConnectionTrait, Database, DatabaseConnection, DatabaseTransaction, DbErr,
    IsolationLevel, SqliteTransactionMode, TransactionOptions, TransactionTrait,
};
use tokio::sync::Mutex;

use crate::caller::Caller;
use crate::error::StoreError;
use crate::idempotency::HeldKey;

/// How long a writer waits for another one to finish.
const BUSY_TIMEOUT: Duration = Duration::from_secs(15);
/// Connections that are kept at most.
const CONNECTIONS_MAX: u32 = 8;
/// Number of the advisory lock under which PostgreSQL's tables are changed; any number that nothing else uses.
const MIGRATION_LOCK: i64 = 7_402_114_001;
/// SQLite's file system for databases in memory that several connections share.
const MEMORY_FILES: &str = "memdb";

/// Which database lies behind a store.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DatabaseKind {
    /// A SQLite file.
    Sqlite,
    /// A PostgreSQL server.
    Postgres,
}

/// The tables and queries of one database. Cloning is cheap; all clones share its connections.
#[derive(Debug, Clone)]
pub struct Store {
    pub(crate) db: DatabaseConnection,
    kind: DatabaseKind,
    in_memory: bool,
    caller: Arc<Caller>,
    held_key: Option<Arc<HeldKey>>,
    /// Held while a bundle is merged, so that two imports of this process do not wait on each other inside the database.
    pub(crate) import_turn: Arc<Mutex<()>>,
}

impl Store {
    /// Opens the database of an address and brings its tables up to date: `sqlite:PATH` (with `?mode=rwc` to make the
    /// file where it is absent), `sqlite::memory:` (gone when the store is), `postgres://USER@HOST/DATABASE`.
    ///
    /// Several processes may open one database at the same time; one of them changes the tables, the others wait.
    pub async fn open(url: &str) -> Result<Self, StoreError> {
        let (kind, in_memory, options) = connect_options(url)?;
        let db = Database::connect(options).await?;
        let caller = Arc::new(Caller::at_the_terminal());
        let store = Self { db, kind, in_memory, caller, held_key: None, import_turn: Arc::default() };
        store.migrate().await?;
        Ok(store)
    }

    /// Which database it is.
    pub fn kind(&self) -> DatabaseKind {
        self.kind
    }

    /// The same store in other hands: what is written down says that they did it.
    #[must_use]
    pub fn acting_as(&self, caller: Caller) -> Self {
        Self { caller: Arc::new(caller), ..self.clone() }
    }

    /// In whose hands it is.
    pub fn caller(&self) -> &Caller {
        &self.caller
    }

    /// The same store for a request whose key is held: what it makes is noted at the key in the same transaction.
    #[must_use]
    pub fn under(&self, key: HeldKey) -> Self {
        Self { held_key: Some(Arc::new(key)), ..self.clone() }
    }

    /// The key that is held.
    pub(crate) fn held_key(&self) -> Option<&HeldKey> {
        self.held_key.as_deref()
    }

    /// Asks the database whether it is there.
    pub async fn ping(&self) -> Result<(), StoreError> {
        Ok(self.db.ping().await?)
    }

    /// Closes all connections, those of the clones too.
    pub async fn close(self) -> Result<(), StoreError> {
        Ok(self.db.close().await?)
    }

    /// How SQLite itself names the database of a store on SQLite.
    pub(crate) fn sqlite_address(&self) -> String {
        let options = self.db.get_sqlite_connection_pool().connect_options();
        let file = options.get_filename().display();
        if self.in_memory { format!("file:{file}?vfs={MEMORY_FILES}") } else { file.to_string() }
    }

    /// A transaction that sees one state of the database from its first query on.
    pub(crate) async fn begin_reading(&self) -> Result<DatabaseTransaction, StoreError> {
        let isolation_level = (self.kind == DatabaseKind::Postgres).then_some(IsolationLevel::RepeatableRead);
        let options = TransactionOptions { isolation_level, ..TransactionOptions::default() };
        Ok(self.db.begin_with_options(options).await?)
    }

    /// A transaction that means to write. On SQLite it takes the write lock at once: a transaction that reads first
    /// and then finds another writer before it cannot go on.
    pub(crate) async fn begin_writing(&self) -> Result<DatabaseTransaction, StoreError> {
        let sqlite_transaction_mode = Some(SqliteTransactionMode::Immediate);
        let options = TransactionOptions { sqlite_transaction_mode, ..TransactionOptions::default() };
        Ok(self.db.begin_with_options(options).await?)
    }

    async fn migrate(&self) -> Result<(), StoreError> {
        if Migrator::get_pending_migrations_read_only(&self.db).await.map_err(newer)?.is_empty() {
            return Ok(());
        }
        // One transaction for all of it, opened by taking the lock: the others wait, then find nothing left to do.
        let transaction = self.begin_writing().await?;
        if self.kind == DatabaseKind::Postgres {
            transaction
                .execute_unprepared(&format!("SELECT pg_advisory_xact_lock({MIGRATION_LOCK})"))
                .await?;
        }
        Migrator::up(&transaction, None).await.map_err(newer)?;
        transaction.commit().await?;
        Ok(())
    }
}

/// The migration library says in words alone that it does not know a migration that was applied.
fn newer(error: DbErr) -> StoreError {
    match error {
        DbErr::Custom(text) => StoreError::NewerDatabase(text),
        DbErr::Migration(text) => StoreError::NewerDatabase(text),
        error => error.into(),
    }
}

/// The kind of database behind an address, whether it is one in memory, and how to connect to it.
fn connect_options(url: &str) -> Result<(DatabaseKind, bool, ConnectOptions), StoreError> {
    let refuse = || StoreError::Address(url.to_owned());
    let kind = match url.split_once(':').map(|(scheme, _)| scheme) {
        Some("sqlite") => DatabaseKind::Sqlite,
        Some("postgres" | "postgresql") => DatabaseKind::Postgres,
        _ => return Err(refuse()),
    };
    let in_memory = kind == DatabaseKind::Sqlite && (url.contains(":memory:") || url.contains("mode=memory"));
    let url = if in_memory { shared_memory_url() } else { url.to_owned() };
    let well_formed = match kind {
        DatabaseKind::Sqlite => sea_orm::sqlx::sqlite::SqliteConnectOptions::from_str(&url).is_ok(),
        DatabaseKind::Postgres => sea_orm::sqlx::postgres::PgConnectOptions::from_str(&url).is_ok(),
    };
    if !well_formed {
        return Err(refuse());
    }
    let mut options = ConnectOptions::new(url);
    options.max_connections(CONNECTIONS_MAX).sqlx_logging(false);
    if in_memory {
        // The database lives as long as one connection does.
        options.min_connections(1).idle_timeout(None).max_lifetime(None);
    }
    options.map_sqlx_sqlite_opts(move |options| {
        let journal = if in_memory { SqliteJournalMode::Memory } else { SqliteJournalMode::Wal };
        options
            .journal_mode(journal)
            .synchronous(SqliteSynchronous::Full)
            .foreign_keys(true)
            .busy_timeout(BUSY_TIMEOUT)
    });
    Ok((kind, in_memory, options))
}

/// The address of a database in memory that all connections of one pool share: SQLite's `memdb` file system shares a
/// name that begins with a slash.
fn shared_memory_url() -> String {
    format!("sqlite:///crownwheel-{}?vfs={MEMORY_FILES}&mode=rwc", uuid::Uuid::now_v7())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::select::statement;

    #[tokio::test]
    async fn an_address_of_no_known_database_is_refused() {
        for address in ["", "mysql://h/d", "crownwheel.db", "sqlite:x.db?mode=what", "postgres://h:no/d"] {
            let refused = Store::open(address).await;
            assert!(matches!(refused, Err(StoreError::Address(_))), "{address}: {refused:?}");
        }
    }

    #[tokio::test]
    async fn what_is_committed_is_on_the_disk_before_it_is_acknowledged() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("shop.db");
        let store = Store::open(&format!("sqlite:{}?mode=rwc", file.display())).await.unwrap();
        // Every connection of the pool, held at once so that each is another one.
        let mut held = Vec::new();
        for _ in 0..3 {
            let connection = store.begin_reading().await.unwrap();
            for (pragma, wanted) in [("synchronous", "2"), ("journal_mode", "wal"), ("foreign_keys", "1")] {
                let sql = format!("SELECT CAST({pragma} AS TEXT) FROM pragma_{pragma}");
                let row =
                    connection.query_one_raw(statement(&connection, sql, vec![])).await.unwrap().unwrap();
                assert_eq!(row.try_get_by_index::<String>(0).unwrap(), wanted, "{pragma}");
            }
            held.push(connection);
        }
        drop(held);
        store.close().await.unwrap();
    }

    #[tokio::test]
    async fn each_store_in_memory_is_its_own_and_its_connections_share_it() {
        let store = Store::open("sqlite::memory:").await.unwrap();
        let one = store.begin_reading().await.unwrap();
        let two = store.begin_reading().await.unwrap();
        for transaction in [one, two] {
            transaction.execute_unprepared("SELECT count(*) FROM parts").await.unwrap();
        }
        let other = Store::open("sqlite::memory:").await.unwrap();
        other.db.execute_unprepared("DELETE FROM numbers").await.unwrap();
        let left = store.db.execute_unprepared("UPDATE numbers SET last = last").await.unwrap();
        assert_eq!(left.rows_affected(), 3);
        store.ping().await.unwrap();
        store.close().await.unwrap();
    }
}
