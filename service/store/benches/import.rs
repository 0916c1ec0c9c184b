//! How quickly parts go in, beside the quickest way that each database has of its own, in the same run:
//! `cargo bench -p store --bench import [-- PARTS]`.
//!
//! The peers load the same rows without any check into a table with the same key: `COPY` on PostgreSQL, a prepared
//! statement in one transaction on SQLite; each with the index there from the start, and with the index made last.

#![expect(clippy::unwrap_used, clippy::print_stdout, reason = "a benchmark talks, and ends by panicking")]

use std::path::Path;
use std::time::{Duration, Instant};

use catalogue::{Cell, SheetSpec, bundle};
use sea_orm::sqlx::{AssertSqlSafe, Executor};
use sea_orm::{Database, DatabaseConnection};
use store::{ImportOptions, StagedRow, Store};

const BATCH: usize = 5_000;

fn main() {
    // `cargo bench` and `cargo test --benches` pass words of their own.
    let parts = std::env::args().filter_map(|word| word.parse().ok()).next().unwrap_or(100_000);
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build().unwrap();
    runtime.block_on(async {
        let folder = tempfile::tempdir().unwrap();
        let file = |name: &str| format!("sqlite:{}?mode=rwc", folder.path().join(name).display());
        sqlite_peer(&folder.path().join("peer.db"), parts);
        ours("SQLite", &file("shop.db"), parts).await;
        let server = postgres_server::Server::start();
        copy_peer(&server.create_database(), parts).await;
        ours("PostgreSQL", &server.create_database(), parts).await;
    });
}

fn spec(name: &str) -> &'static SheetSpec {
    bundle::SHEETS.iter().find(|spec| spec.name == name).unwrap()
}

/// A part of the synthetic catalogue; numbers are spread, as they are in a list of several makers.
fn part(at: usize) -> Vec<Cell> {
    let number = at.wrapping_mul(2_654_435_761) % 4_294_967_291;
    let text = |text: &str| Cell::Text(text.to_owned());
    vec![
        Cell::Text(format!("MAKER{}/P{number:010}", at % 7)),
        Cell::Text(format!("MAKER{}", at % 7)),
        Cell::Text(format!("P {number:010}")),
        Cell::Text(format!("Deep groove ball bearing {}", at % 100)),
        text("wear"),
        text("bearing"),
        text("BEARINGS"),
        text("H87"),
        Cell::Null,
        Cell::Null,
        Cell::Real(0.35),
        Cell::Null,
        Cell::Flag(false),
    ]
}

fn tell(what: &str, rows: usize, time: Duration) {
    println!("{what:45} {:8.0} thousand rows a second", rows as f64 / time.as_secs_f64() / 1e3);
}

async fn ours(name: &str, url: &str, parts: usize) {
    let store = Store::open(url).await.unwrap();
    for round in ["into an empty table", "unchanged", "every tenth changed"] {
        let options = ImportOptions {
            replace: ["parts".to_owned()].into(),
            dry_run: false,
            fault_limit: 10,
            at_price_revision: None,
            at_structure_revision: None,
            who: "bench".into(),
            note: String::new(),
        };
        let begun = Instant::now();
        let mut import = store.begin_import(options).await.unwrap();
        let makers = (0..7).map(|at| StagedRow {
            row: at + 2,
            cells: vec![Cell::Text(format!("MAKER{at}")), Cell::Text("Maker".into())],
        });
        import.stage(spec("makers"), makers.collect()).await.unwrap();
        let mut at = 0;
        while at < parts {
            let end = (at + BATCH).min(parts);
            let rows = (at..end).map(|at| {
                let mut cells = part(at);
                if round.contains("changed") && !round.starts_with("un") && at % 10 == 0 {
                    cells[3] = Cell::Text("Renamed".into());
                }
                StagedRow { row: at as u64 + 2, cells }
            });
            import.stage(spec("parts"), rows.collect()).await.unwrap();
            at = end;
        }
        let staged = begun.elapsed();
        let report = import.finish().await.unwrap();
        tell(&format!("{name}: import {round}"), parts, begun.elapsed());
        println!("    staged after {staged:.2?}; {:?}", report.sheets[1].added + report.sheets[1].changed);
    }
    store.close().await.unwrap();
}

const PEER_COLUMNS: &str = "part text, maker text, number text, name text, kind text, class text, price_group text, \
     measure text, renewal text, gtin text, mass_kg double precision, surplus_credit bigint, retired boolean";

async fn copy_peer(url: &str, parts: usize) {
    let db: DatabaseConnection = Database::connect(url).await.unwrap();
    let pool = db.get_postgres_connection_pool();
    for (name, first, last) in [
        ("PostgreSQL: COPY, index first", "CREATE UNIQUE INDEX k ON peer (part)", "SELECT 1"),
        ("PostgreSQL: COPY, index last", "SELECT 1", "CREATE UNIQUE INDEX k ON peer (part)"),
    ] {
        pool.execute("DROP TABLE IF EXISTS peer").await.unwrap();
        pool.execute(AssertSqlSafe(format!("CREATE TABLE peer ({PEER_COLUMNS})"))).await.unwrap();
        pool.execute(first).await.unwrap();
        let begun = Instant::now();
        let mut transaction = pool.begin().await.unwrap();
        let mut copying = transaction.copy_in_raw("COPY peer FROM STDIN").await.unwrap();
        let mut text = String::new();
        for at in 0..parts {
            for (place, cell) in part(at).iter().enumerate() {
                if place > 0 {
                    text.push('\t');
                }
                match cell {
                    Cell::Text(value) => text.push_str(value),
                    Cell::Real(value) => text.push_str(&value.to_string()),
                    Cell::Flag(value) => text.push(if *value { 't' } else { 'f' }),
                    Cell::Null | Cell::Integer(_) | Cell::Date(_) => text.push_str("\\N"),
                }
            }
            text.push('\n');
            if text.len() > 1_000_000 {
                copying.send(text.as_bytes()).await.unwrap();
                text.clear();
            }
        }
        copying.send(text.as_bytes()).await.unwrap();
        copying.finish().await.unwrap();
        transaction.execute(last).await.unwrap();
        transaction.commit().await.unwrap();
        tell(name, parts, begun.elapsed());
    }
    db.close().await.unwrap();
}

/// Straight on SQLite's own interface: a driver that hands every row to another thread would be no fair peer.
fn sqlite_peer(file: &Path, parts: usize) {
    for (name, first, last) in [
        ("SQLite: prepared statement, index first", "CREATE UNIQUE INDEX k ON peer (part)", "SELECT 1"),
        ("SQLite: prepared statement, index last", "SELECT 1", "CREATE UNIQUE INDEX k ON peer (part)"),
    ] {
        let mut db = rusqlite::Connection::open(file).unwrap();
        db.execute_batch("PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; DROP TABLE IF EXISTS peer")
            .unwrap();
        db.execute_batch(&format!("CREATE TABLE peer ({PEER_COLUMNS}); {first}")).unwrap();
        let begun = Instant::now();
        let transaction = db.transaction().unwrap();
        let mut insert =
            transaction.prepare("INSERT INTO peer VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)").unwrap();
        for at in 0..parts {
            let values = part(at).into_iter().map(|cell| match cell {
                Cell::Text(value) => value.into(),
                Cell::Real(value) => value.into(),
                Cell::Flag(value) => value.into(),
                Cell::Integer(value) => value.into(),
                Cell::Null | Cell::Date(_) => rusqlite::types::Value::Null,
            });
            insert.execute(rusqlite::params_from_iter(values)).unwrap();
        }
        drop(insert);
        transaction.execute_batch(last).unwrap();
        transaction.commit().unwrap();
        tell(name, parts, begun.elapsed());
    }
}
