//! Rows that went in are in, even where the catalogue cannot be checked after them.

use chrono::NaiveDate;
use operations::import_catalogue::{
    ImportRequest, ImportState, StartedImport, find_import, import_catalogue, start_import,
};
use operations::shop::Shop;
use sea_orm::{ConnectionTrait, Database};

use crate::bundle_databases::{contents, postgres_url, sqlite_url};
use crate::small_bundle::{Bundle, small_bundle, source};

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn rows_stay_in_where_the_check_breaks_on_sqlite() {
    let folder = tempfile::tempdir().unwrap();
    rows_stay_in_where_the_check_breaks(&sqlite_url(&folder)).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn rows_stay_in_where_the_check_breaks_on_postgres() {
    rows_stay_in_where_the_check_breaks(&postgres_url().await).await;
}

async fn rows_stay_in_where_the_check_breaks(url: &str) {
    let shop = &Shop::open(url).await.unwrap();
    let request = ImportRequest::on(NaiveDate::from_ymd_opt(2026, 6, 1).unwrap());
    import_catalogue(shop, source(&small_bundle()), &request, &mut |_| {}).await.unwrap();
    let before = contents(shop).await;
    // The check reads exchange rates, and bins do not need any.
    let db = Database::connect(url).await.unwrap();
    db.execute_unprepared("ALTER TABLE exchange_rates RENAME TO hidden").await.unwrap();
    let bins = Bundle::from([("bins.csv".to_owned(), b"bin,name\nB-1,Row B\n".to_vec())]);
    let paper = start_import(shop, source(&bins), request.clone()).await.unwrap();
    let ended = loop {
        let paper = find_import(shop, paper.id).await.unwrap().unwrap();
        if paper.finished_at.is_some() {
            break paper;
        }
        tokio::time::sleep(std::time::Duration::from_millis(10)).await;
    };
    let outcome: StartedImport = serde_json::from_str(&ended.report.unwrap()).unwrap();
    let StartedImport::Done(report) = outcome else { panic!("{outcome:?}") };
    assert_eq!((ended.state, report.findings), (ImportState::Done, None));
    assert!(report.check_failed.unwrap().contains("exchange_rates"));
    assert_eq!(report.sheets[0].added, 1);
    // A strict import has to know what the check would find before anything goes in.
    let strict = ImportRequest { strict: true, ..request };
    let more = Bundle::from([("bins.csv".to_owned(), b"bin,name\nB-2,Row B\n".to_vec())]);
    import_catalogue(shop, source(&more), &strict, &mut |_| {}).await.unwrap_err();
    db.execute_unprepared("ALTER TABLE hidden RENAME TO exchange_rates").await.unwrap();
    let after = contents(shop).await;
    assert!(after["bins.csv"].contains("B-1") && !after["bins.csv"].contains("B-2"), "{}", after["bins.csv"]);
    let changed = |name: &&String| before[*name] != after[*name] && *name != "running numbers";
    assert_eq!(before.keys().filter(changed).collect::<Vec<_>>(), ["bins.csv"]);
}
