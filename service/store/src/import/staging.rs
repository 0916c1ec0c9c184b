//! Putting the rows of a file into its staging table.

use std::sync::Arc;

use catalogue::{Cell, SheetSpec};
use sea_orm::sqlx::{self, AssertSqlSafe, Postgres, Sqlite, SqliteConnection, Transaction};

use super::cell_check::{can_lie_in_stage, wrong_with};
use super::connection::Connection;
use super::digest::RowDigest;
use super::faults::{Faults, written};
use super::line::append_cells;
use super::report::{Change, ImportFault, StagedRow};
use super::tables;
use crate::error::StoreError;
use crate::select::quoted;

/// Values bound to one statement on SQLite, at most; more rows a statement save little.
const SQLITE_VALUES_MAX: usize = 3_000;
/// Keys of rows that are told as examples, at most.
pub(super) const SAMPLES_MAX: usize = 20;

/// What was staged of one sheet.
#[derive(Debug)]
pub(super) struct Staged {
    /// The sheet.
    pub(super) spec: &'static SheetSpec,
    /// Rows staged.
    pub(super) rows: u64,
    /// The digest of the difference, should all rows turn out to be new.
    pub(super) all_new: RowDigest,
    /// Keys of the first rows.
    pub(super) first_keys: Vec<String>,
}

impl Staged {
    /// Makes the staging table of a sheet.
    pub(super) async fn create(
        connection: &mut Connection,
        spec: &'static SheetSpec,
    ) -> Result<Self, StoreError> {
        connection.execute(&tables::create_stage(connection.kind(), spec), &[]).await?;
        Ok(Self { spec, rows: 0, all_new: RowDigest::default(), first_keys: Vec::new() })
    }

    /// Adds rows. Cells that cannot be stored are noted, and staged as nothing: what refers to the row is not to be
    /// blamed for them.
    pub(super) async fn add(
        &mut self,
        connection: &mut Connection,
        mut rows: Vec<StagedRow>,
        faults: &mut Faults,
    ) -> Result<(), StoreError> {
        // Each row is written once: for the digest, and for PostgreSQL to read.
        let mut text = String::with_capacity(rows.len() * 128);
        for row in &mut rows {
            if row.cells.len() != self.spec.columns.len() {
                return Err(StoreError::WrongWidth {
                    sheet: self.spec.name,
                    cells: row.cells.len(),
                    columns: self.spec.columns.len(),
                });
            }
            check_row(self.spec, row, faults);
            if self.first_keys.len() < SAMPLES_MAX {
                self.first_keys.push(written(self.spec, self.spec.key, &row.cells));
            }
            text.push_str(&line_number(row).to_string());
            text.push('\t');
            let cells_from = text.len();
            append_cells(&mut text, &row.cells);
            self.all_new.add(Change::Added, &text[cells_from..]);
            text.push('\n');
        }
        self.rows += rows.len() as u64;
        match connection {
            Connection::Sqlite(connection) => insert(connection, self.spec, &rows).await,
            Connection::Postgres(transaction) => copy(transaction, self.spec, &text).await,
        }
    }
}

fn check_row(spec: &'static SheetSpec, row: &mut StagedRow, faults: &mut Faults) {
    let told = faults.has_row(spec.name, row.row);
    for (column, cell) in spec.columns.iter().zip(&mut row.cells) {
        let Some(wrong) = wrong_with(spec, column, cell) else { continue };
        // The columns from which a derived one follows have the fault too, in the words of the file.
        if !told && column.derived.is_none() {
            faults.add(ImportFault {
                sheet: spec.name,
                row: row.row,
                columns: vec![column.name],
                value: column.kind.write(cell),
                wrong: wrong.to_owned(),
                right: column.kind.wanted(),
                suggestion: None,
            });
        }
        if !can_lie_in_stage(column.kind, cell) {
            *cell = Cell::Null;
        }
    }
}

/// Some rows a statement, prepared once for the full number of rows.
async fn insert(
    connection: &mut SqliteConnection,
    spec: &SheetSpec,
    rows: &[StagedRow],
) -> Result<(), StoreError> {
    let width = spec.columns.len() + 1;
    let at_once = (SQLITE_VALUES_MAX / width).max(1);
    let mut sql: Arc<str> = Arc::from("");
    let mut prepared_for = 0;
    for chunk in rows.chunks(at_once) {
        if chunk.len() != prepared_for {
            sql = insert_statement(spec, chunk.len()).into();
            prepared_for = chunk.len();
        }
        let query = sqlx::query::<Sqlite>(AssertSqlSafe(Arc::clone(&sql))).persistent(chunk.len() == at_once);
        let query = chunk.iter().fold(query, |query, row| {
            let query = query.bind(line_number(row));
            row.cells.iter().fold(query, |query, cell| match cell {
                Cell::Null => query.bind(None::<i64>),
                Cell::Text(text) => query.bind(text.clone()),
                Cell::Integer(value) => query.bind(*value),
                Cell::Real(value) => query.bind(*value),
                Cell::Flag(value) => query.bind(*value),
                Cell::Date(day) => query.bind(*day),
            })
        });
        query.execute(&mut *connection).await?;
    }
    Ok(())
}

fn insert_statement(spec: &SheetSpec, rows: usize) -> String {
    let row = format!("({}?)", "?, ".repeat(spec.columns.len()));
    format!("INSERT INTO {} VALUES {}", tables::stage(spec), vec![row; rows].join(", "))
}

async fn copy(
    transaction: &mut Transaction<'static, Postgres>,
    spec: &SheetSpec,
    lines: &str,
) -> Result<(), StoreError> {
    if lines.is_empty() {
        return Ok(());
    }
    let names: Vec<String> = spec.columns.iter().map(|column| quoted(column.name)).collect();
    let statement = format!("COPY {} (file_line, {}) FROM STDIN", tables::stage(spec), names.join(", "));
    let mut copying = transaction.copy_in_raw(&statement).await?;
    match copying.send(lines.as_bytes()).await {
        Ok(_) => {}
        Err(error) => {
            copying.abort("the rows could not be sent").await?;
            return Err(error.into());
        }
    }
    copying.finish().await?;
    Ok(())
}

fn line_number(row: &StagedRow) -> i64 {
    i64::try_from(row.row).unwrap_or(i64::MAX)
}
