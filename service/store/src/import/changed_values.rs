//! From which value to which the rows of a small file change, for the audit.
//!
//! A row that a person edits comes as a file of its own: the audit tells each value. A bundle of many rows is told by counts
//! and by the hash of its difference.

use catalogue::SheetSpec;

use super::connection::Connection;
use super::faults::written;
use super::merge_plan::Plan;
use super::staging::Staged;
use super::tables::{changes, columns, same_key, table};
use crate::audit::Changed;
use crate::error::StoreError;

/// Most rows of a file whose values are told.
const ROWS_MAX: u64 = 20;

/// The values that a file changes or adds. It is asked before the rows are merged.
pub(super) async fn changed_values(
    connection: &mut Connection,
    plan: &Plan,
    staged: &Staged,
) -> Result<Vec<Changed>, StoreError> {
    if staged.rows > ROWS_MAX || plan.was_empty(staged.spec) {
        return Ok(Vec::new());
    }
    let spec = staged.spec;
    let sql = format!(
        "SELECT {}, {} FROM {} c LEFT JOIN {} t ON {} ORDER BY c.file_line",
        columns(spec, "c"),
        columns(spec, "t"),
        changes(spec),
        table(spec),
        same_key(spec, "c", "t"),
    );
    let mut changed = Vec::new();
    connection
        .for_each(&sql, &[], |row| {
            let after = row.cells(spec)?;
            let key = written(spec, spec.key, &after);
            for (at, column) in values_of(spec) {
                let before = row.cell(spec.columns.len() + at, column)?;
                let value = |cell: &catalogue::Cell| {
                    (*cell != catalogue::Cell::Null).then(|| column.kind.write(cell))
                };
                let field = format!("{} of {key} in {}", column.name, spec.name);
                changed.push(Changed::new(field, value(&before), value(&after[at])));
            }
            Ok(())
        })
        .await?;
    changed.retain(Changed::is_change);
    Ok(changed)
}

/// The columns that are not part of the key and do not follow from others, with their places.
fn values_of(spec: &'static SheetSpec) -> impl Iterator<Item = (usize, &'static catalogue::Column)> {
    let is_value = |column: &catalogue::Column| !spec.key.contains(&column.name) && column.derived.is_none();
    spec.columns.iter().enumerate().filter(move |(_, column)| is_value(column))
}
