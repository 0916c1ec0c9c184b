//! Sound bundles go in and come out as they were.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

#[macro_use]
mod bundle_databases;
#[path = "import_and_export/left_imports.rs"]
mod left_imports;
mod small_bundle;
#[path = "import_and_export/unchecked_imports.rs"]
mod unchecked_imports;

use std::collections::{BTreeMap, BTreeSet};

use bundle_databases::contents;
use chrono::NaiveDate;
use operations::check_catalogue::check_catalogue;
use operations::export_catalogue::export_catalogue;
use operations::import_catalogue::{
    BundleSource, ImportError, ImportProgress, ImportReport, ImportRequest, ImportState, StartedImport,
    find_import, import_catalogue, start_import,
};
use operations::shop::Shop;
use small_bundle::{Bundle, add, edit, small_bundle, source};

fn day() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 6, 1).unwrap()
}

async fn import(shop: &Shop, bundle: &Bundle, request: &ImportRequest) -> ImportReport {
    import_catalogue(shop, source(bundle), request, &mut |_| {}).await.unwrap()
}

fn changes(report: &ImportReport) -> String {
    report
        .sheets
        .iter()
        .filter(|sheet| sheet.added + sheet.changed + sheet.removed + sheet.retired > 0)
        .map(|sheet| {
            let samples: Vec<String> =
                sheet.samples.iter().map(|sample| format!("{} {}", sample.change, sample.key)).collect();
            format!("{} =:{} {}\n", sheet.sheet, sheet.unchanged, samples.join(", "))
        })
        .collect()
}

on_both_databases!(
    an_export_imports_to_the_same_catalogue,
    a_second_import_changes_nothing,
    a_dry_run_says_what_would_change_and_changes_nothing,
    rows_go_only_where_their_file_is_replaced,
    an_absent_file_leaves_its_table_alone,
    progress_rises_to_the_end,
    a_started_import_tells_its_end,
    faults_of_meaning_are_stored_and_reported,
);

async fn an_export_imports_to_the_same_catalogue(shop: &Shop) {
    import(shop, &small_bundle(), &ImportRequest::on(day())).await;
    let folder = tempfile::tempdir().unwrap();
    let exported = export_catalogue(shop, folder.path(), |_| {}).await.unwrap();
    assert!(exported.iter().all(|sheet| sheet.rows > 0), "{exported:?}");
    let other = bundle_databases::sqlite().await;
    let source = BundleSource::Folder(folder.path().to_owned());
    import_catalogue(&other.shop, source, &ImportRequest::on(day()), &mut |_| {}).await.unwrap();
    assert_eq!(contents(&other.shop).await, contents(shop).await);
    let leftovers = std::fs::read_dir(folder.path())
        .unwrap()
        .filter(|entry| entry.as_ref().unwrap().path().extension().is_none_or(|ending| ending != "csv"))
        .count();
    assert_eq!(leftovers, 0);
}

async fn a_second_import_changes_nothing(shop: &Shop) {
    import(shop, &small_bundle(), &ImportRequest::on(day())).await;
    let before = contents(shop).await;
    let report = import(shop, &small_bundle(), &ImportRequest::on(day())).await;
    assert_eq!(changes(&report), "");
    assert_eq!(contents(shop).await, before);
}

async fn a_dry_run_says_what_would_change_and_changes_nothing(shop: &Shop) {
    import(shop, &small_bundle(), &ImportRequest::on(day())).await;
    let before = contents(shop).await;
    let mut bundle = small_bundle();
    edit(&mut bundle, "makers", "Vessick", "Vessick Works");
    add(&mut bundle, "makers", "TARNHOLT,Tarnholt");
    edit(&mut bundle, "prices", "VK22810,1,2026-01-01,,", "VK22810,1,2026-01-01,2026-05-31,");
    let dry = ImportRequest { dry_run: true, ..ImportRequest::on(day()) };
    let report = import(shop, &bundle, &dry).await;
    insta::allow_duplicates! { insta::assert_snapshot!(changes(&report), @"
    makers =:2 changed VESSICK, added TARNHOLT
    prices =:5 changed OSTREL VESSICK/VK22810 1 2026-01-01
    ") }
    let findings = report.findings.clone().unwrap();
    insta::allow_duplicates! { insta::assert_snapshot!(findings.iter().map(|f| format!("{}\n", f.sentence)).collect::<String>(), @"
    for position PINION of unit BN228 neither VESSICK/VK22810 nor a successor has a price, a piece on the shelf or a kit that brings it
    VESSICK/VK22810 is needed, and its last price ran out on 2026-05-31
    ") }
    assert_eq!(contents(shop).await, before);
    let done = import(shop, &bundle, &ImportRequest::on(day())).await;
    assert_eq!(done.findings, Some(findings));
    assert_eq!(changes(&done), changes(&report));
}

async fn rows_go_only_where_their_file_is_replaced(shop: &Shop) {
    import(shop, &small_bundle(), &ImportRequest::on(day())).await;
    let bundle = Bundle::from([
        ("settings.csv".to_owned(), b"setting,value\nTAX,STANDARD\n".to_vec()),
        ("engine_points.csv".to_owned(), b"vehicle,speed_rpm,torque_nm\n".to_vec()),
    ]);
    let replace = BTreeSet::from(["engine_points.csv".to_owned()]);
    let report = import(shop, &bundle, &ImportRequest { replace, ..ImportRequest::on(day()) }).await;
    insta::allow_duplicates! { insta::assert_snapshot!(changes(&report), @"engine_points =:0 removed R11 1400, removed R11 2200") }
}

async fn an_absent_file_leaves_its_table_alone(shop: &Shop) {
    import(shop, &small_bundle(), &ImportRequest::on(day())).await;
    let before = contents(shop).await;
    let bundle = Bundle::from([("bins.csv".to_owned(), b"bin,name\nB-1,Row B\n".to_vec())]);
    import(shop, &bundle, &ImportRequest::on(day())).await;
    let after = contents(shop).await;
    let changed: BTreeMap<_, _> =
        after.iter().filter(|(name, text)| before.get(*name) != Some(text)).collect();
    assert_eq!(changed.keys().map(|name| name.as_str()).collect::<Vec<_>>(), ["bins.csv"]);
    let none = import_catalogue(shop, source(&Bundle::new()), &ImportRequest::on(day()), &mut |_| {}).await;
    assert!(matches!(none, Err(ImportError::NoFiles)), "{none:?}");
}

async fn progress_rises_to_the_end(shop: &Shop) {
    let mut bundle = small_bundle();
    for row in 0..2_500 {
        add(&mut bundle, "bins", &format!("B{row},Row B"));
    }
    let mut seen: Vec<ImportProgress> = Vec::new();
    let request = ImportRequest { report_findings: false, ..ImportRequest::on(day()) };
    import_catalogue(shop, source(&bundle), &request, &mut |at| seen.push(at)).await.unwrap();
    assert!(seen.windows(2).all(|pair| pair[0].rows <= pair[1].rows && pair[0].bytes <= pair[1].bytes));
    let bytes: usize = bundle.values().map(Vec::len).sum();
    let last = seen.last().unwrap();
    assert_eq!((last.bytes, last.bytes_total), (bytes as u64, bytes as u64));
    let rows: usize = bundle.values().map(|text| csv_rows(text)).sum();
    assert_eq!(last.rows, rows as u64);
}

/// Line ends outside of quotes, without the header's.
fn csv_rows(text: &[u8]) -> usize {
    let mut quoted = false;
    let ends = text.iter().filter(|byte| {
        quoted ^= **byte == b'"';
        **byte == b'\n' && !quoted
    });
    ends.count() - 1
}

async fn a_started_import_tells_its_end(shop: &Shop) {
    let wait = async |bundle: Bundle| {
        let paper = start_import(shop, source(&bundle), ImportRequest::on(day())).await.unwrap();
        loop {
            let paper = find_import(shop, paper.id).await.unwrap().unwrap();
            if let Some(report) = &paper.report {
                return (paper.state, serde_json::from_str::<StartedImport>(report).unwrap());
            }
            tokio::time::sleep(std::time::Duration::from_millis(10)).await;
        }
    };
    let (state, outcome) = wait(small_bundle()).await;
    assert_eq!(state, ImportState::Done);
    assert!(matches!(outcome, StartedImport::Done(report) if report.sheets.len() == small_bundle().len()));
    let (state, outcome) = wait(Bundle::from([("bin.csv".to_owned(), Vec::new())])).await;
    assert_eq!(state, ImportState::Refused);
    assert!(matches!(outcome, StartedImport::Refused(refused) if refused.total == 1));
    let (state, outcome) = wait(Bundle::new()).await;
    assert_eq!(state, ImportState::Failed);
    assert!(matches!(outcome, StartedImport::Failed { .. }));
}

async fn faults_of_meaning_are_stored_and_reported(shop: &Shop) {
    let mut bundle = small_bundle();
    add(&mut bundle, "kit_lines", "NORRWALD/NK900,2,NORRWALD/NK900,1,");
    let report = import(shop, &bundle, &ImportRequest::on(day())).await;
    let findings = report.findings.unwrap();
    insta::allow_duplicates! { insta::assert_snapshot!(findings.iter().map(|f| format!("{}\n", f.sentence)).collect::<String>(), @"kit NORRWALD/NK900 names itself on line 2") }
    assert_eq!(check_catalogue(shop, day()).await.unwrap(), findings);
}
