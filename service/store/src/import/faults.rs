//! Gathering what cannot be stored, up to a limit.

use std::collections::BTreeSet;

use catalogue::{Cell, Derivation, SheetSpec, bundle};

use super::report::ImportFault;

/// The faults found so far.
#[derive(Debug)]
pub(super) struct Faults {
    limit: usize,
    found: Vec<ImportFault>,
    rows: BTreeSet<(&'static str, u64)>,
}

impl Faults {
    /// None yet; at least one will be told.
    pub(super) fn up_to(limit: usize) -> Self {
        Self { limit: limit.max(1), found: Vec::new(), rows: BTreeSet::new() }
    }

    /// How many more are wanted.
    pub(super) fn room(&self) -> usize {
        self.limit - self.found.len()
    }

    /// Whether there is none.
    pub(super) fn is_empty(&self) -> bool {
        self.found.is_empty()
    }

    /// Whether a row has one already.
    pub(super) fn has_row(&self, sheet: &'static str, row: u64) -> bool {
        self.rows.contains(&(sheet, row))
    }

    /// Adds one, unless there are enough.
    pub(super) fn add(&mut self, fault: ImportFault) {
        if self.room() > 0 {
            self.rows.insert((fault.sheet, fault.row));
            self.found.push(fault);
        }
    }

    /// All of them, in the order of the bundle.
    pub(super) fn into_sorted(mut self) -> Vec<ImportFault> {
        let place = |sheet| bundle::SHEETS.iter().position(|spec| spec.name == sheet);
        self.found.sort_by_key(|fault| (place(fault.sheet), fault.row));
        self.found
    }
}

/// The columns of the file that make a sheet's key.
pub(super) fn key_in_file(spec: &SheetSpec) -> Vec<&'static str> {
    spec.key
        .iter()
        .flat_map(|name| {
            let column = spec.columns.iter().find(|column| column.name == *name);
            match column.and_then(|column| column.derived) {
                Some(Derivation::PartOfNumber) => vec!["maker", "number"],
                Some(Derivation::UnitOfCode) => vec!["code"],
                None => vec![*name],
            }
        })
        .collect()
}

/// What stands in some columns of a row, as a person writes it.
pub(super) fn written(spec: &SheetSpec, columns: &[&'static str], cells: &[Cell]) -> String {
    let texts: Vec<String> = columns
        .iter()
        .filter_map(|name| spec.column_index(name))
        .map(|at| spec.columns[at].kind.write(&cells[at]))
        .collect();
    texts.join(" ")
}
