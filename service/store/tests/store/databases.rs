//! Opening a fresh database of either kind.

use store::Store;

/// A store and what keeps its database alive.
pub(crate) struct Database {
    pub(crate) store: Store,
    pub(crate) url: String,
    _folder: Option<tempfile::TempDir>,
}

/// A SQLite file of its own.
pub(crate) async fn sqlite() -> Database {
    let folder = tempfile::tempdir().unwrap();
    let url = format!("sqlite:{}?mode=rwc", folder.path().join("shop.db").display());
    Database { store: Store::open(&url).await.unwrap(), url, _folder: Some(folder) }
}

/// A database of its own on the PostgreSQL server of this test run.
pub(crate) async fn postgres() -> Database {
    let url = tokio::task::spawn_blocking(|| {
        postgres_server::shared().create_database_like("shop", |url| {
            let url = url.to_owned();
            let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
            runtime.block_on(async { Store::open(&url).await.unwrap().close().await.unwrap() });
        })
    })
    .await
    .unwrap();
    Database { store: Store::open(&url).await.unwrap(), url, _folder: None }
}

/// Makes one test for each database out of a function that takes an open one.
macro_rules! on_both_databases {
    ($($name:ident),+ $(,)?) => {
        mod sqlite {
            $(#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn $name() { super::$name(crate::databases::sqlite().await).await; })+
        }
        mod postgres {
            $(#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn $name() { super::$name(crate::databases::postgres().await).await; })+
        }
    };
}
