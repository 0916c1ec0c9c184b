//! Imports whose service stopped while they were under way get an end.

use chrono::{NaiveDate, TimeDelta, Utc};
use operations::import_catalogue::{
    ImportPaper, ImportRequest, ImportState, StartedImport, close_left_imports, find_import,
    import_catalogue, start_import,
};
use operations::shop::Shop;

use crate::small_bundle::{Bundle, small_bundle, source};

fn request() -> ImportRequest {
    ImportRequest::on(NaiveDate::from_ymd_opt(2026, 6, 1).unwrap())
}

async fn end_of(shop: &Shop, paper: &ImportPaper) -> (ImportState, Option<StartedImport>) {
    let paper = shop.store().find_import(paper.id).await.unwrap().unwrap();
    (paper.state, paper.report.map(|report| serde_json::from_str(&report).unwrap()))
}

on_both_databases!(
    one_that_was_just_seen_is_let_be,
    one_that_nobody_runs_is_closed_as_failed,
    one_whose_rows_went_in_is_closed_as_done,
    one_that_this_process_runs_is_let_be,
);

async fn one_that_was_just_seen_is_let_be(shop: &Shop) {
    let paper = shop.store().create_import().await.unwrap();
    assert_eq!(find_import(shop, paper.id).await.unwrap().unwrap().state, ImportState::Waiting);
    let since = Utc::now() + TimeDelta::milliseconds(1);
    tokio::time::sleep(std::time::Duration::from_millis(5)).await;
    shop.store().note_import_progress(paper.id, 7).await.unwrap();
    close_left_imports(shop, since).await.unwrap();
    assert_eq!(end_of(shop, &paper).await, (ImportState::Running, None));
    let since = Utc::now() + TimeDelta::milliseconds(1);
    tokio::time::sleep(std::time::Duration::from_millis(5)).await;
    shop.store().see_import(paper.id).await.unwrap();
    close_left_imports(shop, since).await.unwrap();
    assert_eq!(end_of(shop, &paper).await, (ImportState::Running, None));
}

async fn one_that_nobody_runs_is_closed_as_failed(shop: &Shop) {
    let paper = shop.store().create_import().await.unwrap();
    shop.store().note_import_progress(paper.id, 7).await.unwrap();
    close_left_imports(shop, Utc::now() + TimeDelta::seconds(1)).await.unwrap();
    let (state, outcome) = end_of(shop, &paper).await;
    assert_eq!(state, ImportState::Failed);
    let Some(StartedImport::Failed { detail }) = outcome else { panic!("{outcome:?}") };
    assert!(detail.contains("the catalogue is as it was"), "{detail}");
    assert!(shop.store().see_import(paper.id).await.is_err(), "what has ended is not run any longer");
}

async fn one_whose_rows_went_in_is_closed_as_done(shop: &Shop) {
    let paper = shop.store().create_import().await.unwrap();
    let request = ImportRequest { paper: Some(paper.id), ..request() };
    let report = import_catalogue(shop, source(&small_bundle()), &request, &mut |_| {}).await.unwrap();
    let other = shop.store().create_import().await.unwrap();
    close_left_imports(shop, Utc::now() + TimeDelta::seconds(1)).await.unwrap();
    let (state, outcome) = end_of(shop, &paper).await;
    let Some(StartedImport::Done(told)) = outcome else { panic!("{outcome:?}") };
    assert_eq!((state, told.structure_revision), (ImportState::Done, report.structure_revision));
    let counts = |sheets: &[operations::import_catalogue::SheetReport]| -> Vec<(String, u64)> {
        sheets.iter().map(|sheet| (sheet.sheet.clone(), sheet.added)).collect()
    };
    assert_eq!(counts(&told.sheets), counts(&report.sheets));
    assert_eq!(end_of(shop, &other).await.0, ImportState::Failed, "another one's rows did not go in");
}

async fn one_that_this_process_runs_is_let_be(shop: &Shop) {
    let bundle: Bundle = small_bundle();
    let paper = start_import(shop, source(&bundle), request()).await.unwrap();
    // Whenever this comes: the import has ended by itself, or is left to.
    close_left_imports(shop, Utc::now() + TimeDelta::hours(1)).await.unwrap();
    loop {
        match end_of(shop, &paper).await {
            (ImportState::Waiting | ImportState::Running, _) => {
                tokio::time::sleep(std::time::Duration::from_millis(10)).await;
            }
            (state, outcome) => {
                assert!(matches!(outcome, Some(StartedImport::Done(_))), "{state:?} {outcome:?}");
                break;
            }
        }
    }
}
