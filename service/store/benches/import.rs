//! How quickly parts go in, beside the quickest way that each database has of its own, in the same run:
//! `cargo bench -p store --bench import [-- PARTS [ROUNDS]]`.
//!
//! The peers load the same rows without any question: `COPY` on PostgreSQL, a prepared statement in one transaction on
//! SQLite. *naked* is a table with one unique index and no other rule, made before the rows or after them; *our table* is
//! the one that the migrations make, with its indexes, checks and references, as somebody would load it by hand. A peer's
//! time covers making the rows, as ours does, and ends with the commit; every SQLite has the same cache.
//!
//! All take turns, in a new database each round, and the medians are compared. An import into an empty table is held
//! against all of them; so is the same bundle once more, of which nothing or every tenth row has changed, although the
//! peers only ever add rows. With `IMPORT_STEPS` set, each import says when its rows were staged.

#![expect(clippy::unwrap_used, clippy::print_stdout, reason = "a benchmark talks, and ends by panicking")]

use std::collections::BTreeMap;
use std::path::Path;
use std::time::{Duration, Instant};

use catalogue::{Cell, SheetSpec, bundle};
use sea_orm::sqlx::{AssertSqlSafe, Executor};
use sea_orm::{Database, DatabaseConnection};
use store::{ImportOptions, StagedRow, Store};

const BATCH: usize = 5_000;
const MAKERS: usize = 7;
/// What is measured, by its name and in the order of the first round.
type Times = Vec<(&'static str, Vec<Duration>)>;

fn main() {
    // `cargo bench` and `cargo test --benches` pass words of their own.
    let mut numbers = std::env::args().filter_map(|word| word.parse().ok());
    let parts = numbers.next().unwrap_or(100_000);
    let rounds = numbers.next().unwrap_or(7);
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build().unwrap();
    runtime.block_on(async {
        let mut times = Times::new();
        for _ in 0..rounds {
            let folder = tempfile::tempdir().unwrap();
            for (name, first, last) in NAKED {
                let file = folder.path().join("naked.db");
                note(&mut times, name, naked_statement(&file, parts, first, last));
            }
            let file = folder.path().join("peer.db");
            let store = Store::open(&address(&file)).await.unwrap();
            note(&mut times, "our table", full_statement(&file, parts));
            store.close().await.unwrap();
            ours(&address(&folder.path().join("shop.db")), parts, &mut times).await;
        }
        tell("SQLite, prepared statement", parts, &times);
        let mut times = Times::new();
        let server = postgres_server::Server::start();
        for _ in 0..rounds {
            let url = server.create_database();
            let db: DatabaseConnection = Database::connect(&url).await.unwrap();
            for (name, first, last) in NAKED {
                note(&mut times, name, naked_copy(&db, parts, first, last).await);
            }
            db.close().await.unwrap();
            let store = Store::open(&url).await.unwrap();
            let db: DatabaseConnection = Database::connect(&url).await.unwrap();
            note(&mut times, "our table", full_copy(&db, parts).await);
            db.close().await.unwrap();
            store.close().await.unwrap();
            ours(&server.create_database(), parts, &mut times).await;
        }
        tell("PostgreSQL, COPY", parts, &times);
    });
}

fn note(times: &mut Times, name: &'static str, time: Duration) {
    match times.iter_mut().find(|(other, _)| *other == name) {
        Some((_, list)) => list.push(time),
        None => times.push((name, vec![time])),
    }
}

/// Prints the medians, and what each import comes to beside each peer.
fn tell(peer: &str, parts: usize, times: &Times) {
    let mut rates = BTreeMap::new();
    println!("{peer}: thousand rows a second (median, least and most of {})", times[0].1.len());
    for (name, list) in times {
        let mut list = list.clone();
        list.sort_unstable();
        let rate = |time: Duration| parts as f64 / time.as_secs_f64() / 1e3;
        let median = rate(list[list.len() / 2]);
        rates.insert(*name, median);
        println!("  {name:30} {median:6.0} {:6.0} {:6.0}", rate(list[list.len() - 1]), rate(list[0]));
    }
    let peers = ["naked, index first", "naked, index last", "our table"];
    println!("  ratio to: {}", peers.join("; "));
    for round in IMPORTS {
        let ratios: Vec<String> =
            peers.iter().map(|peer| format!("{:5.2}", rates[round] / rates[peer])).collect();
        println!("  {round:30} {}", ratios.join(" "));
    }
}

fn spec(name: &str) -> &'static SheetSpec {
    bundle::SHEETS.iter().find(|spec| spec.name == name).unwrap()
}

/// A part of the synthetic catalogue; numbers are spread, as they are in a list of several makers.
fn part(at: usize) -> Vec<Cell> {
    let number = at.wrapping_mul(2_654_435_761) % 4_294_967_291;
    let text = |text: &str| Cell::Text(text.to_owned());
    vec![
        Cell::Text(format!("MAKER{}/P{number:010}", at % MAKERS)),
        Cell::Text(format!("MAKER{}", at % MAKERS)),
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

const IMPORTS: [&str; 3] =
    ["import into an empty table", "import, nothing changed", "import, every tenth changed"];

async fn ours(url: &str, parts: usize, times: &mut Times) {
    let store = Store::open(url).await.unwrap();
    for (round, changed) in IMPORTS.into_iter().zip([parts, 0, parts.div_ceil(10)]) {
        let options = ImportOptions {
            replace: ["parts".to_owned()].into(),
            dry_run: false,
            fault_limit: 10,
            at_price_revision: None,
            at_structure_revision: None,
            who: "bench".into(),
            note: String::new(),
            paper: None,
        };
        let begun = Instant::now();
        let mut import = store.begin_import(options).await.unwrap();
        let makers = (0..MAKERS).map(|at| StagedRow {
            row: at as u64 + 2,
            cells: vec![Cell::Text(format!("MAKER{at}")), Cell::Text("Maker".into())],
        });
        import.stage(spec("makers"), makers.collect()).await.unwrap();
        let mut at = 0;
        while at < parts {
            let end = (at + BATCH).min(parts);
            let rows = (at..end).map(|at| {
                let mut cells = part(at);
                if round == IMPORTS[2] && at % 10 == 0 {
                    cells[3] = Cell::Text("Renamed".into());
                }
                StagedRow { row: at as u64 + 2, cells }
            });
            import.stage(spec("parts"), rows.collect()).await.unwrap();
            at = end;
        }
        let staged = begun.elapsed();
        let report = import.finish().await.unwrap();
        note(times, round, begun.elapsed());
        if std::env::var_os("IMPORT_STEPS").is_some() {
            println!("    {round}: staged after {staged:.0?}, in after {:.0?}", begun.elapsed());
        }
        assert_eq!(report.sheets[1].added + report.sheets[1].changed, changed as u64);
    }
    store.close().await.unwrap();
}

/// A naked peer: its name, what is done before the rows and what after them.
const NAKED: [(&str, &str, &str); 2] = [
    ("naked, index first", "CREATE UNIQUE INDEX k ON naked (part)", "SELECT 1"),
    ("naked, index last", "SELECT 1", "CREATE UNIQUE INDEX k ON naked (part)"),
];

const NAKED_COLUMNS: &str = "part text, maker text, number text, name text, kind text, class text, price_group text, \
     measure text, renewal text, gtin text, mass_kg double precision, surplus_credit bigint, retired boolean";

async fn naked_copy(db: &DatabaseConnection, parts: usize, first: &str, last: &str) -> Duration {
    let pool = db.get_postgres_connection_pool();
    pool.execute("DROP TABLE IF EXISTS naked").await.unwrap();
    pool.execute(AssertSqlSafe(format!("CREATE TABLE naked ({NAKED_COLUMNS})"))).await.unwrap();
    pool.execute(AssertSqlSafe(first.to_owned())).await.unwrap();
    copy(db, "naked", parts, last).await
}

async fn full_copy(db: &DatabaseConnection, parts: usize) -> Duration {
    for at in 0..MAKERS {
        let maker = format!("INSERT INTO makers VALUES ('MAKER{at}', 'Maker')");
        db.get_postgres_connection_pool().execute(AssertSqlSafe(maker)).await.unwrap();
    }
    copy(db, "parts", parts, "SELECT 1").await
}

async fn copy(db: &DatabaseConnection, table: &str, parts: usize, last: &str) -> Duration {
    let begun = Instant::now();
    let mut transaction = db.get_postgres_connection_pool().begin().await.unwrap();
    let mut copying = transaction.copy_in_raw(&format!("COPY {table} FROM STDIN")).await.unwrap();
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
    transaction.execute(AssertSqlSafe(last.to_owned())).await.unwrap();
    transaction.commit().await.unwrap();
    begun.elapsed()
}

fn address(file: &Path) -> String {
    format!("sqlite:{}?mode=rwc", file.display())
}

/// Straight on SQLite's own interface: a driver that hands every row to another thread would be no fair peer.
fn open(file: &Path) -> rusqlite::Connection {
    let db = rusqlite::Connection::open(file).unwrap();
    db.execute_batch(
        "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON; \
         PRAGMA cache_size = -65536",
    )
    .unwrap();
    db
}

fn naked_statement(file: &Path, parts: usize, first: &str, last: &str) -> Duration {
    let mut db = open(file);
    let table = format!("DROP TABLE IF EXISTS naked; CREATE TABLE naked ({NAKED_COLUMNS}); {first}");
    db.execute_batch(&table).unwrap();
    insert(&mut db, "naked", parts, last)
}

fn full_statement(file: &Path, parts: usize) -> Duration {
    let mut db = open(file);
    for at in 0..MAKERS {
        db.execute("INSERT INTO makers VALUES (?, 'Maker')", [format!("MAKER{at}")]).unwrap();
    }
    insert(&mut db, "parts", parts, "SELECT 1")
}

fn insert(db: &mut rusqlite::Connection, table: &str, parts: usize, last: &str) -> Duration {
    let begun = Instant::now();
    let transaction = db.transaction().unwrap();
    let sql = format!("INSERT INTO {table} VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
    let mut insert = transaction.prepare(&sql).unwrap();
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
    begun.elapsed()
}
