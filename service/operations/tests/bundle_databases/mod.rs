//! A shop over a fresh database of either kind.

use std::collections::BTreeMap;

use catalogue::bundle;
use operations::export_catalogue::export_sheet;
use operations::shop::Shop;
use store::Store;

/// A shop and what keeps its database alive.
pub(crate) struct Database {
    pub(crate) shop: Shop,
    _folder: Option<tempfile::TempDir>,
}

/// Over a SQLite file of its own.
pub(crate) async fn sqlite() -> Database {
    let folder = tempfile::tempdir().unwrap();
    Database { shop: Shop::open(&sqlite_url(&folder)).await.unwrap(), _folder: Some(folder) }
}

/// Over a database of its own on the PostgreSQL server of this test run.
pub(crate) async fn postgres() -> Database {
    Database { shop: Shop::open(&postgres_url().await).await.unwrap(), _folder: None }
}

/// Where a SQLite file in a folder lies.
pub(crate) fn sqlite_url(folder: &tempfile::TempDir) -> String {
    format!("sqlite:{}?mode=rwc", folder.path().join("shop.db").display())
}

/// Where a fresh database on the PostgreSQL server of this test run lies.
pub(crate) async fn postgres_url() -> String {
    tokio::task::spawn_blocking(|| {
        postgres_server::shared().create_database_like("shop", |url| {
            let url = url.to_owned();
            let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
            runtime.block_on(async { Store::open(&url).await.unwrap().close().await.unwrap() });
        })
    })
    .await
    .unwrap()
}

/// All that the catalogue holds, as texts, and the running numbers.
pub(crate) async fn contents(shop: &Shop) -> BTreeMap<String, String> {
    let mut texts = BTreeMap::new();
    for spec in bundle::SHEETS {
        let (_, text) = export_sheet(shop, spec, Vec::new()).await.unwrap();
        texts.insert(format!("{}.csv", spec.name), String::from_utf8(text).unwrap());
    }
    texts.insert("running numbers".to_owned(), format!("{:?}", shop.store().revisions().await.unwrap()));
    texts
}

/// Makes one test for each database out of a function that takes a shop.
macro_rules! on_both_databases {
    ($($name:ident),+ $(,)?) => {
        mod sqlite {
            $(#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn $name() {
                let database = crate::bundle_databases::sqlite().await;
                super::$name(&database.shop).await;
            })+
        }
        mod postgres {
            $(#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn $name() {
                let database = crate::bundle_databases::postgres().await;
                super::$name(&database.shop).await;
            })+
        }
    };
}
