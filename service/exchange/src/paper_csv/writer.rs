//! Writes a paper as CSV.

use std::collections::BTreeMap;

use super::reader::{FAULTS_MAX, RECORD_COLUMN, code_of};
use crate::fault::{Fault, Faults};
use crate::papers::mapping::{FieldSpec, Output, Written};
use crate::papers::value::{Shape, Side};
use crate::papers::{Paper, TEXT_COLUMN, describe};

/// Writes a paper as CSV, such that [`super::read`] gives it back.
///
/// # Errors
///
/// What cannot stand in such a file: a text that is too long or holds control characters, an empty number.
pub fn write<P: Paper>(paper: &P) -> Result<String, Faults> {
    let description = describe::<P>();
    let columns: Vec<&str> = description.all_columns().iter().map(|column| column.name.as_str()).collect();
    let file = format!("{}.csv", P::KIND.record);
    let mut root = Rows { file, row: Row::of(P::KIND.record), ..Rows::default() };
    paper.show(&mut root);
    if root.faults.is_empty() {
        Ok(text_of(&root.row, &columns))
    } else {
        let mut faults = Faults::with_limit(FAULTS_MAX);
        root.faults.into_iter().for_each(|fault| faults.add(|| fault));
        Err(faults)
    }
}

/// A record on its way out, with those below it.
#[derive(Debug, Default)]
struct Row {
    record: &'static str,
    cells: BTreeMap<String, String>,
    below: Vec<Row>,
}

impl Row {
    fn of(record: &'static str) -> Self {
        Self { record, ..Self::default() }
    }
}

#[derive(Debug, Default)]
struct Rows {
    file: String,
    row: Row,
    prefix: String,
    faults: Vec<Fault>,
}

impl Rows {
    fn put(&mut self, row: Option<&mut Row>, column: String, shape: &Shape, written: Written) {
        let suffix = shape.beside.map_or("", |beside| beside.column);
        if let Some(bad) = written.fault {
            let (column, value) = match bad.side {
                Side::Text => (column, written.text),
                Side::Beside => (format!("{column}_{suffix}"), written.beside.unwrap_or_default()),
            };
            let fault = Fault::new(code_of(bad.kind), &*self.file, bad.wrong, bad.right);
            self.faults.push(fault.in_column(&column).with_value(&value));
            return;
        }
        let cells = row.map_or(&mut self.row.cells, |row| &mut row.cells);
        if let Some(beside) = written.beside.filter(|_| !suffix.is_empty()) {
            cells.insert(format!("{column}_{suffix}"), beside);
        }
        cells.insert(column, written.text);
    }
}

impl Output for Rows {
    fn value(&mut self, spec: &FieldSpec, shape: &Shape, _: bool, written: Option<Written>) {
        if let Some(written) = written {
            self.put(None, format!("{}{}", self.prefix, spec.name), shape, written);
        }
    }

    fn values(&mut self, spec: &FieldSpec, shape: &Shape, all: Vec<Written>) {
        for written in all {
            let mut row = Row::of(spec.record);
            self.put(Some(&mut row), TEXT_COLUMN.to_owned(), shape, written);
            self.row.below.push(row);
        }
    }

    fn part(&mut self, spec: &FieldSpec, _: bool, show: &mut dyn FnMut(&mut dyn Output)) {
        let outer = self.prefix.clone();
        self.prefix = format!("{outer}{}_", spec.name);
        show(self);
        self.prefix = outer;
    }

    fn each(&mut self, spec: &FieldSpec, count: usize, show: &mut dyn FnMut(usize, &mut dyn Output)) {
        let outer = (std::mem::take(&mut self.prefix), std::mem::take(&mut self.row));
        let mut below = outer.1.below;
        for index in 0..count {
            self.row = Row::of(spec.record);
            show(index, self);
            below.push(std::mem::take(&mut self.row));
        }
        (self.prefix, self.row) = (outer.0, Row { below, ..outer.1 });
    }
}

fn text_of(root: &Row, columns: &[&str]) -> String {
    let mut out = String::new();
    put_row(std::iter::once(RECORD_COLUMN).chain(columns.iter().copied()), &mut out);
    put_rows(root, columns, &mut out);
    out
}

fn put_rows(row: &Row, columns: &[&str], out: &mut String) {
    let cells = columns.iter().map(|column| row.cells.get(*column).map_or("", String::as_str));
    put_row(std::iter::once(row.record).chain(cells), out);
    for below in &row.below {
        put_rows(below, columns, out);
    }
}

/// Writes a row with the line end of RFC 4180; a cell is quoted where it must be.
fn put_row<'c>(cells: impl Iterator<Item = &'c str>, out: &mut String) {
    for (index, cell) in cells.enumerate() {
        if index > 0 {
            out.push(',');
        }
        if cell.contains([',', '"', '\n', '\r']) {
            out.push('"');
            out.push_str(&cell.replace('"', "\"\""));
            out.push('"');
        } else {
            out.push_str(cell);
        }
    }
    out.push_str("\r\n");
}
