//! Rows that name what does not exist.

use std::collections::BTreeMap;

use catalogue::{Cell, Reference, SheetSpec};

use super::connection::Connection;
use super::duplicates::line_of;
use super::faults::{Faults, written};
use super::merge_plan::{Plan, target_of};
use super::report::ImportFault;
use super::staging::Staged;
use super::suggestion::suggest;
use super::tables::{columns, doomed, equal, same_key, stage, table};
use crate::error::StoreError;
use crate::select::quoted;

/// Finds rows that refer to what will neither be in a table nor is in the bundle.
pub(super) async fn find_unknown_references(
    connection: &mut Connection,
    plan: &Plan,
    staged: &Staged,
    faults: &mut Faults,
) -> Result<(), StoreError> {
    for reference in staged.spec.references {
        if faults.room() == 0 {
            return Ok(());
        }
        let sql = unknown(plan, staged.spec, reference, faults.room());
        let mut rows = Vec::new();
        for row in connection.fetch(&sql, &[]).await? {
            rows.push((line_of(&row, staged.spec)?, row.cells(staged.spec)?));
        }
        add_faults(connection, plan, staged.spec, reference, rows, faults).await?;
    }
    Ok(())
}

fn unknown(plan: &Plan, spec: &SheetSpec, reference: &Reference, limit: usize) -> String {
    let target = target_of(reference.sheet);
    let named: Vec<String> =
        reference.columns.iter().map(|name| format!("s.{} IS NOT NULL", quoted(name))).collect();
    let stays = if plan.replaces(target) {
        format!("AND NOT EXISTS (SELECT 1 FROM {} d WHERE {})", doomed(target), same_key(target, "d", "t"))
    } else {
        String::new()
    };
    let in_bundle = if plan.holds(target.name) {
        format!(
            "AND NOT EXISTS (SELECT 1 FROM {} o WHERE {})",
            stage(target),
            equal("o", reference.target, "s", reference.columns)
        )
    } else {
        String::new()
    };
    format!(
        "SELECT {}, s.file_line FROM {} s WHERE {} AND NOT EXISTS (SELECT 1 FROM {} t WHERE {} {stays}) {in_bundle} \
         ORDER BY s.file_line LIMIT {limit}",
        columns(spec, "s"),
        stage(spec),
        named.join(" AND "),
        table(target),
        equal("t", reference.target, "s", reference.columns),
    )
}

async fn add_faults(
    connection: &mut Connection,
    plan: &Plan,
    spec: &'static SheetSpec,
    reference: &Reference,
    rows: Vec<(u64, Vec<Cell>)>,
    faults: &mut Faults,
) -> Result<(), StoreError> {
    let mut known: BTreeMap<Vec<String>, Option<String>> = BTreeMap::new();
    for (row, cells) in rows {
        // A row without its key was told of already, and so was a reference to the row that lacks it.
        let values: Vec<String> =
            reference.columns.iter().map(|name| written(spec, &[name], &cells)).collect();
        if !known.contains_key(&values) {
            let closest = suggest(connection, plan, reference, &values).await?;
            known.insert(values.clone(), closest);
        }
        faults.add(ImportFault {
            sheet: spec.name,
            row,
            columns: reference.columns.to_vec(),
            value: values.join(" "),
            wrong: format!("is not in {}", reference.sheet),
            right: format!("the {} of a row of {}", reference.target.join(" and "), reference.sheet),
            suggestion: known.get(&values).cloned().flatten(),
        });
    }
    Ok(())
}
