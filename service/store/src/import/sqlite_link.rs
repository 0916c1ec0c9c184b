//! SQLite on its own interface, for the import alone. Everything here waits, and runs on threads that may.

use catalogue::{Cell, SheetSpec};
use chrono::SecondsFormat;
use rusqlite::types::Value;
use rusqlite::{Connection, OpenFlags, Statement};

use super::connection::Bound;
use super::report::StagedRow;
use super::tables::stage;
use crate::error::StoreError;

/// How long an import waits until other writers of a SQLite file have finished, other imports among them.
const TURN_TIMEOUT: std::time::Duration = std::time::Duration::from_secs(600);
/// Memory for pages of the tables, and as much again for the staging tables, in KiB: whatever the number of rows.
const CACHE_KIB: u32 = 65_536;
/// Rows of a query that are handed on at once.
const ROWS_AT_ONCE: usize = 512;

/// Opens a connection with the settings that all connections of the store have, and begins to stage.
pub(super) fn open(address: &str) -> Result<Connection, StoreError> {
    let flags =
        OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_URI | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(address, flags)?;
    connection.busy_timeout(TURN_TIMEOUT)?;
    connection.execute_batch(&format!(
        "PRAGMA foreign_keys = ON; PRAGMA synchronous = FULL; PRAGMA cache_size = -{CACHE_KIB}; \
         PRAGMA temp.cache_size = -{CACHE_KIB}; BEGIN"
    ))?;
    Ok(connection)
}

/// Ends the transaction. What was kept is copied from the log to its place on the way, as far as
/// nobody reads what lies there.
pub(super) fn end(connection: &Connection, kept: bool) -> Result<(), StoreError> {
    Ok(connection.execute_batch(if kept { "COMMIT" } else { "ROLLBACK" })?)
}

/// Runs a statement; the number of rows it touched.
pub(super) fn execute(connection: &mut Connection, sql: &str, values: &[Bound]) -> Result<u64, StoreError> {
    let mut statement = connection.prepare(sql)?;
    bind(&mut statement, values)?;
    // A statement that gives rows is gone through to its end.
    let mut touched = 0;
    if statement.column_count() > 0 {
        let mut rows = statement.raw_query();
        while rows.next()?.is_some() {
            touched += 1;
        }
    } else {
        touched = statement.raw_execute()?;
    }
    Ok(u64::try_from(touched).unwrap_or(u64::MAX))
}

/// Hands on the rows of a query in batches, until `receive` wants no more.
pub(super) fn query(
    connection: &mut Connection,
    sql: &str,
    values: &[Bound],
    receive: impl Fn(Vec<Vec<Value>>) -> bool,
) -> Result<(), StoreError> {
    let mut statement = connection.prepare(sql)?;
    bind(&mut statement, values)?;
    let width = statement.column_count();
    let mut rows = statement.raw_query();
    let mut batch = Vec::new();
    while let Some(row) = rows.next()? {
        batch.push((0..width).map(|at| row.get(at)).collect::<Result<Vec<Value>, _>>()?);
        if batch.len() == ROWS_AT_ONCE && !receive(std::mem::take(&mut batch)) {
            return Ok(());
        }
    }
    receive(batch);
    Ok(())
}

/// Binds the values to `$1`, `$2` and so on. Instants are written as the database library writes them.
fn bind(statement: &mut Statement<'_>, values: &[Bound]) -> Result<(), StoreError> {
    for (at, value) in values.iter().enumerate() {
        let Some(place) = statement.parameter_index(&format!("${}", at + 1))? else { continue };
        match value {
            Bound::Text(text) => statement.raw_bind_parameter(place, text)?,
            Bound::NoText => statement.raw_bind_parameter(place, None::<&str>)?,
            Bound::Whole(number) => statement.raw_bind_parameter(place, number)?,
            Bound::Instant(instant) => {
                let text = instant.to_rfc3339_opts(SecondsFormat::AutoSi, false);
                statement.raw_bind_parameter(place, text)?;
            }
        }
    }
    Ok(())
}

/// Puts rows into the staging table of their sheet, in the order of the key: what is later read in that order then lies
/// together, in as many places as there were batches.
pub(super) fn insert(
    connection: &mut Connection,
    spec: &SheetSpec,
    mut rows: Vec<StagedRow>,
) -> Result<(), StoreError> {
    let key: Vec<usize> = spec.key.iter().filter_map(|name| spec.column_index(name)).collect();
    rows.sort_by(|one, other| texts(one, &key).cmp(texts(other, &key)));
    let places = vec!["?"; spec.columns.len() + 1].join(", ");
    let mut statement = connection.prepare(&format!("INSERT INTO {} VALUES ({places})", stage(spec)))?;
    for row in &rows {
        statement.raw_bind_parameter(1, row.line_number())?;
        for (at, cell) in row.cells.iter().enumerate() {
            let place = at + 2;
            match cell {
                Cell::Null => statement.raw_bind_parameter(place, rusqlite::types::Null)?,
                Cell::Text(text) => statement.raw_bind_parameter(place, text.as_str())?,
                Cell::Integer(value) => statement.raw_bind_parameter(place, value)?,
                Cell::Real(value) => statement.raw_bind_parameter(place, value)?,
                Cell::Flag(value) => statement.raw_bind_parameter(place, value)?,
                Cell::Date(day) => statement.raw_bind_parameter(place, day.to_string())?,
            }
        }
        statement.raw_execute()?;
    }
    Ok(())
}

/// The texts in some places of a row. Keys are told apart by them nearly always, and nothing hangs on the order of the rest.
fn texts<'r>(row: &'r StagedRow, places: &'r [usize]) -> impl Iterator<Item = Option<&'r str>> {
    places.iter().map(|at| if let Cell::Text(text) = &row.cells[*at] { Some(text.as_str()) } else { None })
}
