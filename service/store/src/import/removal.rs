//! Rows that the file does not name, under an explicit replace.

use catalogue::{Reference, SheetSpec, bundle};

use super::connection::Connection;
use super::digest::RowDigest;
use super::faults::Faults;
use super::line::append_cells;
use super::merge_plan::Plan;
use super::report::{Change, ImportFault, SheetChange};
use super::row::Row;
use super::staging::SAMPLES_MAX;
use super::tables::{can_retire, doomed, equal, key, not_in_file, same_key, stage, table, used_by_papers};
use crate::error::StoreError;

/// Finds rows that are to go while others still refer to them, or papers that cannot do without.
pub(super) async fn find_rows_still_needed(
    connection: &mut Connection,
    plan: &Plan,
    spec: &'static SheetSpec,
    faults: &mut Faults,
) -> Result<(), StoreError> {
    if plan.doomed_rows(spec) == 0 {
        return Ok(());
    }
    for user in bundle::SHEETS {
        for reference in user.references.iter().filter(|reference| reference.sheet == spec.name) {
            if faults.room() == 0 {
                return Ok(());
            }
            let sql = still_referred(plan, spec, user, reference, faults.room());
            for row in connection.fetch(&sql, &[]).await? {
                let by = key_text(&row, user, spec.key.len())?;
                add_fault(faults, spec, &row, &format!("{} `{by}` still refers to it", user.name))?;
            }
        }
    }
    if faults.room() == 0 {
        return Ok(());
    }
    let sql = format!(
        "SELECT {} FROM {} d WHERE {} ORDER BY {} LIMIT {}",
        key(spec, "d"),
        doomed(spec),
        used_by_papers(spec, "d"),
        key(spec, "d"),
        faults.room(),
    );
    let why = if spec.name == "suppliers" { "a paper names it" } else { "the stock ledger names it" };
    for row in connection.fetch(&sql, &[]).await? {
        add_fault(faults, spec, &row, why)?;
    }
    Ok(())
}

/// The rows that are to go with a row of another sheet that stays and refers to them. Rows of the bundle are left out:
/// their references are looked at with the rest of the bundle.
fn still_referred(
    plan: &Plan,
    spec: &SheetSpec,
    user: &SheetSpec,
    reference: &Reference,
    limit: usize,
) -> String {
    let mut stays = String::new();
    if plan.replaces(user) {
        stays +=
            &format!(" AND NOT EXISTS (SELECT 1 FROM {} g WHERE {})", doomed(user), same_key(user, "g", "u"));
    }
    if plan.holds(user.name) {
        stays +=
            &format!(" AND NOT EXISTS (SELECT 1 FROM {} s WHERE {})", stage(user), same_key(user, "s", "u"));
    }
    format!(
        "SELECT {}, {} FROM {} d JOIN {} u ON {} WHERE TRUE{stays} ORDER BY {}, {} LIMIT {limit}",
        key(spec, "d"),
        key(user, "u"),
        doomed(spec),
        table(user),
        equal("u", reference.columns, "d", reference.target),
        key(spec, "d"),
        key(user, "u"),
    )
}

fn add_fault(faults: &mut Faults, spec: &'static SheetSpec, row: &Row, why: &str) -> Result<(), StoreError> {
    faults.add(ImportFault {
        sheet: spec.name,
        row: 0,
        columns: spec.key.to_vec(),
        value: key_text(row, spec, 0)?,
        wrong: format!("is not in the file, but {why}"),
        right: "a file that still has the row, or nothing that needs it".to_owned(),
        suggestion: None,
    });
    Ok(())
}

/// Removes or retires what the file does not name, and counts it.
pub(super) async fn remove_rows(
    connection: &mut Connection,
    plan: &Plan,
    spec: &SheetSpec,
    change: &mut SheetChange,
    digest: &mut RowDigest,
) -> Result<(), StoreError> {
    if !plan.replaces(spec) || plan.names_all(spec) {
        return Ok(());
    }
    let mut tally = Tally { spec, change, digest };
    if can_retire(spec) {
        retire_used(connection, &mut tally).await?;
    }
    if plan.doomed_rows(spec) > 0 {
        delete_doomed(connection, &mut tally).await?;
    }
    Ok(())
}

async fn retire_used(connection: &mut Connection, tally: &mut Tally<'_>) -> Result<(), StoreError> {
    let spec = tally.spec;
    let idle = format!(
        "FROM {} t WHERE NOT t.retired AND {} AND {}",
        table(spec),
        not_in_file(spec),
        used_by_papers(spec, "t")
    );
    let sql = format!("SELECT {key} {idle} ORDER BY {key}", key = key(spec, "t"));
    connection.for_each(&sql, &[], |row| tally.count(Change::Retired, &row)).await?;
    if tally.change.retired > 0 {
        let sql = format!(
            "UPDATE {table} SET retired = TRUE WHERE EXISTS (SELECT 1 {idle} AND {})",
            same_key(spec, "t", &table(spec)),
            table = table(spec),
        );
        connection.execute(&sql, &[]).await?;
    }
    Ok(())
}

async fn delete_doomed(connection: &mut Connection, tally: &mut Tally<'_>) -> Result<(), StoreError> {
    let spec = tally.spec;
    let sql = format!("SELECT {key} FROM {} d ORDER BY {key}", doomed(spec), key = key(spec, "d"));
    connection.for_each(&sql, &[], |row| tally.count(Change::Removed, &row)).await?;
    let sql = format!(
        "DELETE FROM {table} WHERE EXISTS (SELECT 1 FROM {} d WHERE {})",
        doomed(spec),
        same_key(spec, "d", &table(spec)),
        table = table(spec),
    );
    connection.execute(&sql, &[]).await?;
    Ok(())
}

/// Where rows that go are counted.
struct Tally<'a> {
    spec: &'a SheetSpec,
    change: &'a mut SheetChange,
    digest: &'a mut RowDigest,
}

impl Tally<'_> {
    fn count(&mut self, kind: Change, row: &Row) -> Result<(), StoreError> {
        let mut line = String::new();
        append_cells(&mut line, &key_cells(row, self.spec, 0)?);
        self.digest.add(kind, &line);
        if self.change.samples.len() < SAMPLES_MAX {
            self.change.samples.push((key_text(row, self.spec, 0)?, kind));
        }
        match kind {
            Change::Retired => self.change.retired += 1,
            Change::Removed | Change::Added | Change::Changed => self.change.removed += 1,
        }
        Ok(())
    }
}

/// The key of a sheet that begins at a place of a row.
fn key_cells(row: &Row, spec: &SheetSpec, from: usize) -> Result<Vec<catalogue::Cell>, StoreError> {
    let columns = spec.key.iter().filter_map(|name| spec.columns.iter().find(|column| column.name == *name));
    columns.enumerate().map(|(at, column)| row.cell(from + at, column)).collect()
}

fn key_text(row: &Row, spec: &SheetSpec, from: usize) -> Result<String, StoreError> {
    let kinds = spec.key.iter().filter_map(|name| spec.columns.iter().find(|column| column.name == *name));
    let texts: Vec<String> =
        kinds.zip(key_cells(row, spec, from)?).map(|(column, cell)| column.kind.write(&cell)).collect();
    Ok(texts.join(" "))
}
