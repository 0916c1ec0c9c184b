//! Bringing a table to what its file says.

use catalogue::{ColumnKind, SheetSpec};

use super::connection::Connection;
use super::digest::RowDigest;
use super::faults::written;
use super::line::append_cells;
use super::merge_plan::Plan;
use super::report::{Change, SheetChange};
use super::rules_aside::RulesAside;
use super::staging::{SAMPLES_MAX, Staged};
use super::tables::{changes, columns, key, plain_key, stage, stage_in_order, table, values};
use crate::error::StoreError;
use crate::select::quoted;
use crate::store::DatabaseKind;

/// Counts what the file changes, then adds and changes the rows. Rows that it does not name are left for later.
pub(super) async fn merge_rows(
    connection: &mut Connection,
    plan: &Plan,
    aside: &RulesAside,
    staged: &Staged,
) -> Result<(SheetChange, RowDigest), StoreError> {
    let spec = staged.spec;
    let mut change = SheetChange { sheet: spec.name, ..SheetChange::default() };
    if plan.was_empty(spec) {
        change.added = staged.rows;
        change.samples = staged.first_keys.iter().map(|key| (key.clone(), Change::Added)).collect();
        // In the order of the key, its index grows at one end; without its index there is nothing to gain.
        let rows = if aside.of(spec.name) && connection.kind() == DatabaseKind::Postgres {
            format!("{} s", stage(spec))
        } else {
            stage_in_order(connection.kind(), spec)
        };
        let sql = format!(
            "INSERT INTO {} ({}) SELECT {} FROM {rows}",
            table(spec),
            names(spec),
            columns(spec, "s")
        );
        connection.execute(&sql, &[]).await?;
        return Ok((change, staged.all_new.clone()));
    }
    let digest = read_changes(connection, spec, &mut change).await?;
    change.unchanged = staged.rows - change.added - change.changed;
    if change.added + change.changed > 0 {
        free_gtins(connection, spec).await?;
        connection.execute(&upsert(spec), &[]).await?;
    }
    Ok((change, digest))
}

/// Goes through the rows that are new or have other values, in the order of the file.
async fn read_changes(
    connection: &mut Connection,
    spec: &SheetSpec,
    change: &mut SheetChange,
) -> Result<RowDigest, StoreError> {
    let mut digest = RowDigest::default();
    let mut line = String::new();
    let sql =
        format!("SELECT {}, c.is_new FROM {} c ORDER BY c.file_line", columns(spec, "c"), changes(spec));
    connection
        .for_each(&sql, &[], |row| {
            let cells = row.cells(spec)?;
            let kind = if row.flag(spec.columns.len())? {
                change.added += 1;
                Change::Added
            } else {
                change.changed += 1;
                Change::Changed
            };
            if change.samples.len() < SAMPLES_MAX {
                change.samples.push((written(spec, spec.key, &cells), kind));
            }
            line.clear();
            append_cells(&mut line, &cells);
            digest.add(kind, &line);
            Ok(())
        })
        .await?;
    Ok(digest)
}

/// Takes a GTIN from the row that gives it up before another row gets it: the rows are written one after the other, and
/// no two may have the same at any time.
async fn free_gtins(connection: &mut Connection, spec: &SheetSpec) -> Result<(), StoreError> {
    for column in spec.columns.iter().filter(|column| column.kind == ColumnKind::Gtin) {
        let sql = format!(
            "UPDATE {table} SET {gtin} = NULL WHERE {key} IN \
             (SELECT t.{key} FROM {} c JOIN {table} t ON t.{gtin} = c.{gtin} WHERE t.{key} <> c.{key})",
            changes(spec),
            table = table(spec),
            gtin = quoted(column.name),
            key = quoted(spec.key[0]),
        );
        connection.execute(&sql, &[]).await?;
    }
    Ok(())
}

fn upsert(spec: &SheetSpec) -> String {
    let set: Vec<String> =
        values(spec).map(|name| format!("{name} = excluded.{name}", name = quoted(name))).collect();
    let on_conflict =
        if set.is_empty() { "DO NOTHING".to_owned() } else { format!("DO UPDATE SET {}", set.join(", ")) };
    format!(
        "INSERT INTO {} ({}) SELECT {} FROM {} c WHERE TRUE ORDER BY {} ON CONFLICT ({}) {on_conflict}",
        table(spec),
        names(spec),
        columns(spec, "c"),
        changes(spec),
        key(spec, "c"),
        plain_key(spec),
    )
}

fn names(spec: &SheetSpec) -> String {
    let names: Vec<String> = spec.columns.iter().map(|column| quoted(column.name)).collect();
    names.join(", ")
}
