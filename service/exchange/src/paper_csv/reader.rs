//! Reads a paper from CSV.

use std::io::{self, Read};
use std::rc::Rc;

use csv::ByteRecord;

use crate::csv_text::{break_fault, next_record, not_utf8, ragged, stray_quote};
use crate::did_you_mean::closest;
use crate::fault::{Fault, FaultCode, Faults};
use crate::papers::mapping::{FieldSpec, Input, ReadValue};
use crate::papers::value::{BadValue, Shape, Side, WrongValue};
use crate::papers::{Paper, RecordDescription, TEXT_COLUMN, describe};
use crate::record_watch::{RecordMark, RecordWatch};
use crate::ubl::limits::{DOCUMENT_BYTES_MAX, LINES_MAX};

/// Faults that are told one by one; the others are counted.
pub(super) const FAULTS_MAX: usize = 50;
/// Longest name of a column that a fault repeats, in characters.
const NAME_SHOWN_MAX: usize = 60;
/// The column that says what a row is.
pub(super) const RECORD_COLUMN: &str = "record";
/// Rows of a file: those of a paper with as many lines as it may have, each with some records below it.
pub const ROWS_MAX: u64 = 20 * LINES_MAX as u64;

/// Reads the one paper of a file; `file` names it in faults.
///
/// # Errors
///
/// All that is wrong with the file, as far as it could be read.
pub fn read<P: Paper>(file: &str, input: impl Read) -> Result<P, Faults> {
    let description = describe::<P>();
    let mut faults = Faults::with_limit(FAULTS_MAX);
    let root = read_rows(file, &description, input, &mut faults);
    let mut paper = P::default();
    if let Some(root) = root {
        let mut record = RecordInput { file, node: &root, prefix: String::new(), faults: &mut faults };
        paper.fill(&mut record);
        if paper.line_count() > LINES_MAX {
            let wrong = format!("has more than {LINES_MAX} lines");
            faults.add(|| Fault::new(FaultCode::OutOfBounds, file, wrong, "send several smaller files"));
        }
    }
    if faults.is_empty() { Ok(paper) } else { Err(faults) }
}

/// The code of a fault of a value.
pub(super) fn code_of(kind: WrongValue) -> FaultCode {
    match kind {
        WrongValue::Missing => FaultCode::MissingValue,
        WrongValue::Negative => FaultCode::OutOfBounds,
        WrongValue::TooLong
        | WrongValue::Decimal
        | WrongValue::Date
        | WrongValue::Unit
        | WrongValue::Currency
        | WrongValue::Other => FaultCode::BadValue,
    }
}

/// A row with those that belong to it.
#[derive(Debug)]
struct Node<'d> {
    description: &'d RecordDescription,
    row: u64,
    /// The cells that hold something, by the column's place in the header.
    cells: Vec<(usize, String)>,
    columns: Rc<[String]>,
    below: Vec<Node<'d>>,
}

impl Node<'_> {
    fn cell(&self, column: &str) -> Option<&str> {
        let cell = self.cells.iter().find(|(place, _)| self.columns[*place] == column);
        cell.map(|(_, text)| text.as_str())
    }
}

/// Reads all rows into their order; `None` where there is no paper among them.
fn read_rows<'d>(
    file: &str,
    description: &'d RecordDescription,
    input: impl Read,
    faults: &mut Faults,
) -> Option<Node<'d>> {
    let mut csv = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .buffer_capacity(1 << 16)
        .from_reader(RecordWatch::new(input.take(DOCUMENT_BYTES_MAX + 1)));
    let mut record = ByteRecord::new();
    let mut rows = RowTree { file, description, columns: Rc::new([]), open: Vec::new() };
    let mut header_seen = false;
    loop {
        let mark = match next_record(&mut csv, &mut record) {
            Ok(Some(mark)) => mark,
            Ok(None) => break,
            Err(error) => {
                faults.add(|| unreadable(file, &error));
                return None;
            }
        };
        if !header_seen {
            header_seen = true;
            rows.columns = read_header(file, description, mark.row, &record, faults)?;
        } else if mark.row > ROWS_MAX {
            let wrong = format!("has more than {ROWS_MAX} rows");
            faults.add(|| Fault::new(FaultCode::OutOfBounds, file, wrong, "send several smaller files"));
            return None;
        } else if !record.iter().all(|cell| cell.iter().all(u8::is_ascii_whitespace)) {
            rows.add(mark, &record, faults);
        }
    }
    let watch = csv.get_ref();
    if watch.bytes() > DOCUMENT_BYTES_MAX {
        let wrong = format!("is larger than {} MiB", DOCUMENT_BYTES_MAX >> 20);
        faults.add(|| Fault::new(FaultCode::OutOfBounds, file, wrong, "send several smaller files"));
    } else if let Some(broken) = watch.broken() {
        faults.add(|| break_fault(file, broken));
    } else if !header_seen {
        let right = format!("write the names of its columns in the first row, {RECORD_COLUMN} among them");
        faults.add(|| Fault::new(FaultCode::NoHeader, file, "has no header", right));
    }
    rows.finish(faults)
}

fn unreadable(file: &str, error: &io::Error) -> Fault {
    let wrong = format!("cannot be read to its end: {error}");
    Fault::new(FaultCode::NotUtf8, file, wrong, "send it again")
}

/// The names of the columns; `None` where no row can be read under them.
fn read_header(
    file: &str,
    description: &RecordDescription,
    row: u64,
    record: &ByteRecord,
    faults: &mut Faults,
) -> Option<Rc<[String]>> {
    let known: Vec<&str> = std::iter::once(RECORD_COLUMN)
        .chain(description.all_columns().iter().map(|column| column.name.as_str()))
        .collect();
    if record.len() > known.len() {
        let wrong = format!("has {} columns where this paper has {} at most", record.len(), known.len());
        let right = "name each column once, and separate the names by commas";
        faults.add(|| Fault::new(FaultCode::UnknownColumn, file, wrong, right).in_row(row));
        return None;
    }
    if let [name] = &record.iter().collect::<Vec<_>>()[..]
        && let Some(separator) = name.iter().find(|byte| matches!(byte, b';' | b'\t'))
    {
        let wrong = format!("has its cells separated by `{}`", char::from(*separator).escape_debug());
        let right = "separate them by commas (RFC 4180)";
        faults.add(|| Fault::new(FaultCode::UnknownColumn, file, wrong, right).in_row(row));
        return None;
    }
    let mut names: Vec<String> = Vec::new();
    let mut is_sound = true;
    for name in record {
        let Ok(name) = std::str::from_utf8(name) else {
            faults.add(|| not_utf8(file, row, None, name));
            return None;
        };
        let name = name.trim();
        let fault = if names.iter().any(|other| other == name) {
            Some((FaultCode::DuplicateColumn, "is named twice in the header", "keep one of the two"))
        } else if !known.contains(&name) {
            let right = "use the columns that the description of this paper lists";
            Some((FaultCode::UnknownColumn, "is no column of this paper", right))
        } else {
            None
        };
        if let Some((code, wrong, right)) = fault {
            is_sound = false;
            let shown: String = name.chars().take(NAME_SHOWN_MAX).collect();
            let unknown = code == FaultCode::UnknownColumn;
            let meant = closest(&shown, known.iter().copied()).filter(|_| unknown).map(ToOwned::to_owned);
            faults
                .add(|| Fault::new(code, file, wrong, right).in_row(row).in_column(&shown).suggesting(meant));
        }
        names.push(name.to_owned());
    }
    if is_sound && !names.iter().any(|name| name == RECORD_COLUMN) {
        is_sound = false;
        let fault =
            || Fault::new(FaultCode::MissingColumn, file, "is missing from the header", "add the column");
        faults.add(|| fault().in_row(row).in_column(RECORD_COLUMN));
    }
    is_sound.then(|| names.into())
}

/// The rows read so far, each below the one it belongs to.
struct RowTree<'d, 'f> {
    file: &'f str,
    description: &'d RecordDescription,
    columns: Rc<[String]>,
    /// The rows that may still get rows below them, from the paper inwards.
    open: Vec<Node<'d>>,
}

impl<'d> RowTree<'d, '_> {
    fn add(&mut self, mark: RecordMark, record: &ByteRecord, faults: &mut Faults) {
        let (file, row) = (self.file, mark.row);
        if mark.stray_quote {
            return faults.add(|| stray_quote(file, row));
        }
        if record.len() != self.columns.len() {
            return faults.add(|| ragged(file, row, record.len(), self.columns.len()));
        }
        let mut cells = Vec::new();
        for (place, cell) in record.iter().enumerate() {
            match std::str::from_utf8(cell) {
                Ok(text) if text.trim().is_empty() => {}
                Ok(text) => cells.push((place, text.to_owned())),
                Err(_) => return faults.add(|| not_utf8(file, row, Some(&self.columns[place]), cell)),
            }
        }
        let columns = self.columns.clone();
        let kind = cells.iter().find(|(place, _)| columns[*place] == RECORD_COLUMN);
        let kind = kind.map_or("", |(_, text)| text.trim()).to_owned();
        let Some(description) = self.place_for(&kind, row, faults) else { return };
        for (place, text) in &cells {
            let name = &columns[*place];
            if name != RECORD_COLUMN && !description.columns.iter().any(|column| column.name == *name) {
                let wrong = format!("stands in a record `{}`, which has no such column", description.name);
                faults.add(|| {
                    let fault = Fault::new(FaultCode::Contradiction, file, wrong, "leave the cell empty");
                    fault.in_row(row).in_column(name).with_value(text.trim())
                });
            }
        }
        self.open.push(Node { description, row, cells, columns, below: Vec::new() });
    }

    /// Closes the rows that cannot have one of this kind below them, and describes the kind.
    fn place_for(&mut self, kind: &str, row: u64, faults: &mut Faults) -> Option<&'d RecordDescription> {
        let fault = |code, wrong: String, right: String| {
            Fault::new(code, self.file, wrong, right).in_row(row).in_column(RECORD_COLUMN).with_value(kind)
        };
        if self.open.is_empty() {
            if kind == self.description.name {
                return Some(self.description);
            }
            let right = format!("begin with a record `{}`", self.description.name);
            faults.add(|| fault(FaultCode::BadValue, "is not what the first row must be".into(), right));
            return None;
        }
        if kind == self.description.name {
            let wrong = "is a second paper in one file".into();
            faults.add(|| fault(FaultCode::DuplicateRow, wrong, "write one paper a file".into()));
            return None;
        }
        let takes = |node: &Node<'d>| node.description.below.iter().find(|below| below.name == kind);
        let Some(depth) = self.open.iter().rposition(|node| takes(node).is_some()) else {
            let known: Vec<&str> = self
                .open
                .iter()
                .flat_map(|node| node.description.below.iter().map(|below| below.name))
                .collect();
            let right = format!("write one of {}", known.join(", "));
            faults.add(|| fault(FaultCode::BadValue, "is no record that may stand here".into(), right));
            return None;
        };
        let description = takes(&self.open[depth]);
        self.close_to(depth + 1);
        description
    }

    fn close_to(&mut self, depth: usize) {
        while self.open.len() > depth.max(1) {
            if let (Some(node), Some(above)) = (self.open.pop(), self.open.last_mut()) {
                above.below.push(node);
            }
        }
    }

    fn finish(mut self, faults: &mut Faults) -> Option<Node<'d>> {
        self.close_to(1);
        let root = self.open.pop();
        if root.is_none() && faults.is_empty() {
            let right = format!("write a record `{}` below the header", self.description.name);
            faults.add(|| Fault::new(FaultCode::MissingValue, self.file, "holds no paper", right));
        }
        root
    }
}

/// One record that fields are read from.
struct RecordInput<'n, 'd, 'f> {
    file: &'f str,
    node: &'n Node<'d>,
    prefix: String,
    faults: &'f mut Faults,
}

impl RecordInput<'_, '_, '_> {
    fn cell(&mut self, column: &str, shape: &Shape, required: bool, read: ReadValue<'_>) {
        let suffix = shape.beside.map_or("", |beside| beside.column);
        let beside_column = format!("{column}_{suffix}");
        let beside = if suffix.is_empty() { None } else { self.node.cell(&beside_column) };
        let result = match self.node.cell(column) {
            Some(text) => read(text.trim(), beside.map(str::trim)),
            None if required || beside.is_some() => Err(BadValue::missing(shape.wanted)),
            None => Ok(()),
        };
        if let Err(bad) = result {
            let (column, value) = match bad.side {
                Side::Text => (column, self.node.cell(column)),
                Side::Beside => (beside_column.as_str(), beside),
            };
            let (file, row) = (self.file, self.node.row);
            self.faults.add(|| {
                let fault =
                    Fault::new(code_of(bad.kind), file, bad.wrong, bad.right).in_row(row).in_column(column);
                match value {
                    Some(value) => fault.with_value(value.trim()),
                    None => fault,
                }
            });
        }
    }
}

impl Input for RecordInput<'_, '_, '_> {
    fn value(&mut self, spec: &FieldSpec, shape: &Shape, required: bool, read: ReadValue<'_>) {
        self.cell(&format!("{}{}", self.prefix, spec.name), shape, required, read);
    }

    fn values(&mut self, spec: &FieldSpec, shape: &Shape, read: ReadValue<'_>) {
        for node in self.node.below.iter().filter(|node| node.description.name == spec.record) {
            let mut below = RecordInput { file: self.file, node, prefix: String::new(), faults: self.faults };
            below.cell(TEXT_COLUMN, shape, true, read);
        }
    }

    fn part(&mut self, spec: &FieldSpec, always: bool, fill: &mut dyn FnMut(&mut dyn Input)) {
        let outer = self.prefix.clone();
        self.prefix = format!("{outer}{}_", spec.name);
        let columns = &self.node.columns;
        if always || self.node.cells.iter().any(|(place, _)| columns[*place].starts_with(&self.prefix)) {
            fill(self);
        }
        self.prefix = outer;
    }

    fn each(&mut self, spec: &FieldSpec, fill: &mut dyn FnMut(&mut dyn Input)) {
        for node in self.node.below.iter().filter(|node| node.description.name == spec.record) {
            let mut below = RecordInput { file: self.file, node, prefix: String::new(), faults: self.faults };
            fill(&mut below);
        }
    }
}
