//! Rows of a file that claim the same key, and parts that claim the same GTIN.

use catalogue::{ColumnKind, SheetSpec};

use super::connection::Connection;
use super::faults::{Faults, key_in_file, written};
use super::merge_plan::Plan;
use super::report::ImportFault;
use super::row::Row;
use super::staging::Staged;
use super::tables::{columns, doomed, equal, key, same_key, stage, table};
use crate::error::StoreError;
use crate::select::quoted;

/// Finds rows whose key stands in an earlier row of their file.
pub(super) async fn find_double_keys(
    connection: &mut Connection,
    staged: &Staged,
    faults: &mut Faults,
) -> Result<(), StoreError> {
    let spec = staged.spec;
    let sql = format!(
        "SELECT {}, s.file_line, f.first FROM {stage} s JOIN \
         (SELECT {}, MIN(k.file_line) AS first FROM {stage} k GROUP BY {} HAVING COUNT(*) > 1) f ON {} \
         WHERE s.file_line > f.first ORDER BY s.file_line LIMIT {}",
        columns(spec, "s"),
        key(spec, "k"),
        key(spec, "k"),
        same_key(spec, "s", "f"),
        faults.room(),
        stage = stage(spec),
    );
    for row in connection.fetch(&sql, &[]).await? {
        let first = row.whole(spec.columns.len() + 1)?;
        let in_file = key_in_file(spec);
        let cells = row.cells(spec)?;
        faults.add(ImportFault {
            sheet: spec.name,
            row: line_of(&row, spec)?,
            value: written(spec, &in_file, &cells),
            columns: in_file,
            wrong: format!("stands in row {first} already"),
            right: "each key once in a file".to_owned(),
            suggestion: None,
        });
    }
    Ok(())
}

/// Finds rows whose GTIN stands in an earlier row of their file, or belongs to a row of the table that keeps it.
pub(super) async fn find_double_gtins(
    connection: &mut Connection,
    plan: &Plan,
    staged: &Staged,
    faults: &mut Faults,
) -> Result<(), StoreError> {
    let spec = staged.spec;
    for column in spec.columns.iter().filter(|column| column.kind == ColumnKind::Gtin) {
        let gtin = quoted(column.name);
        let in_file = format!(
            "SELECT {}, s.file_line, 'stands in row ' || CAST(f.first AS text) || ' already' FROM {stage} s JOIN \
             (SELECT {gtin}, MIN(file_line) AS first FROM {stage} WHERE {gtin} IS NOT NULL \
              GROUP BY {gtin} HAVING COUNT(*) > 1) f ON s.{gtin} = f.{gtin} \
             WHERE s.file_line > f.first ORDER BY s.file_line LIMIT {}",
            columns(spec, "s"),
            faults.room(),
            stage = stage(spec),
        );
        add_gtin_faults(connection, spec, column.name, &in_file, faults).await?;
        if plan.was_empty(spec) {
            continue;
        }
        let gone = if plan.replaces(spec) {
            format!("AND NOT EXISTS (SELECT 1 FROM {} d WHERE {})", doomed(spec), same_key(spec, "d", "t"))
        } else {
            String::new()
        };
        let in_table = format!(
            "SELECT {}, s.file_line, 'belongs to ' || t.{first} FROM {stage} s \
             JOIN {} t ON {} WHERE s.{first} <> t.{first} \
             AND NOT EXISTS (SELECT 1 FROM {stage} o WHERE {}) {gone} ORDER BY s.file_line LIMIT {}",
            columns(spec, "s"),
            table(spec),
            equal("s", &[column.name], "t", &[column.name]),
            same_key(spec, "o", "t"),
            faults.room(),
            first = quoted(spec.key[0]),
            stage = stage(spec),
        );
        add_gtin_faults(connection, spec, column.name, &in_table, faults).await?;
    }
    Ok(())
}

async fn add_gtin_faults(
    connection: &mut Connection,
    spec: &'static SheetSpec,
    column: &'static str,
    sql: &str,
    faults: &mut Faults,
) -> Result<(), StoreError> {
    if faults.room() == 0 {
        return Ok(());
    }
    for row in connection.fetch(sql, &[]).await? {
        let cells = row.cells(spec)?;
        faults.add(ImportFault {
            sheet: spec.name,
            row: line_of(&row, spec)?,
            columns: vec![column],
            value: written(spec, &[column], &cells),
            wrong: row.text(spec.columns.len() + 1)?,
            right: "a GTIN that no other part has".to_owned(),
            suggestion: None,
        });
    }
    Ok(())
}

/// The number of the line that follows the sheet's columns in a row.
pub(super) fn line_of(row: &Row, spec: &SheetSpec) -> Result<u64, StoreError> {
    Ok(u64::try_from(row.whole(spec.columns.len())?).unwrap_or(0))
}
