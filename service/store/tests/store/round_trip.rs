//! What is exported goes in again as the same, whatever it is.

use catalogue::{Cell, bundle};
use proptest::test_runner::TestRunner;
use store::{ImportReport, StagedRow, Store};

use crate::any_catalogue::any_catalogue;
use crate::databases::{Database, postgres, sqlite};
use crate::sheets::{SHOP, everything, options, put, spec};

on_both_databases!(
    any_catalogue_goes_round,
    an_export_is_read_at_one_moment,
    an_export_stops_where_its_receiver_does
);

/// Random catalogues tried on each database.
const CATALOGUES: usize = 5;

type Sheets = Vec<(&'static str, Vec<Vec<Cell>>)>;

async fn any_catalogue_goes_round(database: Database) {
    let mut runner = TestRunner::deterministic();
    let mut rows = 0;
    for _ in 0..CATALOGUES {
        let (one, other) = match database.store.kind() {
            store::DatabaseKind::Sqlite => (sqlite().await, postgres().await),
            store::DatabaseKind::Postgres => (postgres().await, sqlite().await),
        };
        let made = any_catalogue(&mut runner);
        rows += made.iter().map(|(_, rows)| rows.len()).sum::<usize>();
        take_in(&one.store, &made).await;
        let out = everything(&one.store).await;
        assert_eq!(in_any_order(&out), in_any_order(&made));
        let report = take_in(&one.store, &out).await;
        assert!(report.sheets.iter().all(|change| change.added + change.changed == 0), "{report:?}");
        // The other kind of database takes it too, and gives the same in the same order.
        take_in(&other.store, &out).await;
        assert_eq!(everything(&other.store).await, out);
    }
    assert!(rows > CATALOGUES * bundle::SHEETS.len(), "{rows} rows are too few to show anything");
}

async fn take_in(store: &Store, sheets: &Sheets) -> ImportReport {
    let mut import = store.begin_import(options()).await.unwrap();
    for (name, rows) in sheets {
        let rows =
            rows.iter().enumerate().map(|(at, cells)| StagedRow { row: at as u64 + 2, cells: cells.clone() });
        import.stage(spec(name), rows.collect()).await.unwrap();
    }
    import.finish().await.unwrap_or_else(|failure| panic!("{failure:?}"))
}

fn in_any_order(sheets: &Sheets) -> Vec<(&'static str, Vec<String>)> {
    let lines = |rows: &Vec<Vec<Cell>>| {
        let mut lines: Vec<String> = rows.iter().map(|row| format!("{row:?}")).collect();
        lines.sort();
        lines
    };
    sheets.iter().map(|(name, rows)| (*name, lines(rows))).collect()
}

async fn an_export_is_read_at_one_moment(database: Database) {
    let store = &database.store;
    put(store, SHOP).await;
    let export = store.begin_export().await.unwrap();
    let count = |sheet: &'static str| {
        let export = &export;
        async move {
            let mut rows = 0;
            let mut receive = |_: Vec<Cell>| -> Result<(), store::StoreError> {
                rows += 1;
                Ok(())
            };
            export.sheet(spec(sheet), &mut receive).await.unwrap();
            rows
        }
    };
    assert_eq!(count("makers").await, 3);
    put(store, &[("makers", "maker\n TARNHOLT"), ("bins", "bin\n A3")]).await;
    assert_eq!(count("bins").await, 2);
    assert_eq!(count("makers").await, 3);
    assert_eq!(store.all_rows::<catalogue::Bin>().await.unwrap().len(), 3);
}

async fn an_export_stops_where_its_receiver_does(database: Database) {
    #[derive(Debug)]
    enum Stop {
        Store(store::StoreError),
        Full(usize),
    }
    impl From<store::StoreError> for Stop {
        fn from(error: store::StoreError) -> Self {
            Self::Store(error)
        }
    }
    put(&database.store, SHOP).await;
    let mut seen = 0;
    let mut receive = |_: Vec<Cell>| {
        seen += 1;
        if seen == 4 { Err(Stop::Full(seen)) } else { Ok(()) }
    };
    match database.store.export(spec("parts"), &mut receive).await {
        Err(Stop::Full(4)) => {}
        Err(Stop::Store(error)) => panic!("{error}"),
        other => panic!("{other:?}"),
    }
    database.store.ping().await.unwrap();
}
