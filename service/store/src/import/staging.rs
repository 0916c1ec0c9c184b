//! Putting the rows of a file into its staging table.

use catalogue::{Cell, SheetSpec};
use sea_orm::sqlx::{Postgres, Transaction};
use tokio::task::spawn_blocking;

use super::cell_check::{can_lie_in_stage, wrong_with};
use super::connection::{Connection, Link};
use super::digest::RowDigest;
use super::faults::{Faults, written};
use super::line::append_cells;
use super::report::{Change, ImportFault, StagedRow};
use super::{sqlite_link, tables};
use crate::error::StoreError;
use crate::select::quoted;

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
    /// blamed for them. What the database says of the rows is told at the next call.
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
            text.push_str(&row.line_number().to_string());
            text.push('\t');
            let cells_from = text.len();
            append_cells(&mut text, &row.cells);
            self.all_new.add(Change::Added, &text[cells_from..]);
            text.push('\n');
        }
        self.rows += rows.len() as u64;
        put(connection, self.spec, rows, text).await
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

/// Hands rows to the database, which puts them in while the next ones are made ready.
async fn put(
    connection: &mut Connection,
    spec: &'static SheetSpec,
    rows: Vec<StagedRow>,
    text: String,
) -> Result<(), StoreError> {
    let work = |link| match link {
        Link::Sqlite(mut sqlite) => spawn_blocking(move || {
            let outcome = sqlite_link::insert(&mut sqlite, spec, rows);
            (Link::Sqlite(sqlite), outcome)
        }),
        Link::Postgres(mut transaction) => tokio::spawn(async move {
            let outcome = copy(&mut transaction, spec, &text).await;
            (Link::Postgres(transaction), outcome)
        }),
    };
    connection.hand_over(work).await
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
