//! What the catalogue would be after an import, for the check.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Cell, SheetSpec, bundle};

use crate::check_catalogue::RowsBySheet;

/// The rows of the files on top of the rows that are stored: what the store would hold. Parts that would be kept as
/// retired because papers use them are left out where the file of parts is replaced.
pub(super) fn merged_rows(
    mut stored: RowsBySheet,
    files: RowsBySheet,
    replaced: &BTreeSet<String>,
) -> RowsBySheet {
    for (sheet, rows) in files {
        let Some(spec) = bundle::sheet(sheet) else { continue };
        let key = |row: &Vec<Cell>| key_text(spec, row);
        let mut merged: BTreeMap<Vec<String>, Vec<Cell>> = BTreeMap::new();
        if !replaced.contains(sheet) {
            merged.extend(stored.remove(sheet).unwrap_or_default().into_iter().map(|row| (key(&row), row)));
        }
        merged.extend(rows.into_iter().map(|row| (key(&row), row)));
        stored.insert(sheet, merged.into_values().collect());
    }
    stored
}

fn key_text(spec: &SheetSpec, row: &[Cell]) -> Vec<String> {
    let places = spec.key.iter().filter_map(|name| spec.column_index(name));
    places.filter_map(|at| Some(spec.columns[at].kind.write(row.get(at)?))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bins(names: &[(&str, &str)]) -> RowsBySheet {
        let rows =
            names.iter().map(|(bin, name)| vec![Cell::Text((*bin).into()), Cell::Text((*name).into())]);
        RowsBySheet::from([("bins", rows.collect())])
    }

    #[test]
    fn a_file_changes_and_adds_rows_and_removes_them_only_where_it_replaces() {
        let stored = bins(&[("A", "old"), ("B", "stays")]);
        let file = bins(&[("A", "new"), ("C", "added")]);
        let merged = merged_rows(stored.clone(), file.clone(), &BTreeSet::new());
        assert_eq!(merged, bins(&[("A", "new"), ("B", "stays"), ("C", "added")]));
        let replaced = merged_rows(stored.clone(), file.clone(), &BTreeSet::from(["bins".to_owned()]));
        assert_eq!(replaced, file);
        assert_eq!(merged_rows(stored.clone(), RowsBySheet::new(), &BTreeSet::new()), stored);
    }
}
