//! Reads one sheet from a CSV file, in batches.

use std::io::{self, Read};

use catalogue::{Cell, ColumnKind, SheetSpec};
use csv::ByteRecord;

use crate::csv_text::{break_fault, next_record, not_utf8, ragged, stray_quote};
use crate::derived_columns::derive;
use crate::did_you_mean::meant;
use crate::fault::{Fault, FaultCode, Faults};
use crate::header::{Header, file_name, read_header};
use crate::record_watch::{RecordMark, RecordWatch};
use crate::row_rules::RowRules;

/// Rows of a batch.
pub const BATCH_ROWS: usize = 1_000;

/// A sound row of a file.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The row as a spreadsheet counts it: the header is row 1.
    pub row: u64,
    /// The cells in the order of the sheet's columns, derived ones among them.
    pub cells: Vec<Cell>,
}

/// Some rows of a file, in their order.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Batch {
    /// The sound rows.
    pub rows: Vec<Row>,
    /// Rows with faults, with nothing in the cells that could not be read: what refers to them is not wrong for that.
    pub faulty_rows: Vec<Row>,
}

/// What was read of a file.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct ReadSummary {
    /// Rows below the header, sound or not.
    pub rows: u64,
    /// Bytes.
    pub bytes: u64,
}

/// Reads a sheet row by row; what is wrong goes to the [`Faults`] given to each call.
#[derive(Debug)]
pub struct SheetReader<R: Read> {
    spec: &'static SheetSpec,
    csv: csv::Reader<RecordWatch<R>>,
    header: Header,
    blank: Vec<Cell>,
    rules: RowRules,
    record: ByteRecord,
    rows: u64,
    ended: bool,
}

impl<R: Read> SheetReader<R> {
    /// Reads the header; `None` where no rows can be read under it.
    pub fn open(spec: &'static SheetSpec, input: R, faults: &mut Faults) -> io::Result<Option<Self>> {
        let mut csv = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .buffer_capacity(1 << 16)
            .from_reader(RecordWatch::new(input));
        let mut record = ByteRecord::new();
        let Some(mark) = next_record(&mut csv, &mut record)? else {
            match csv.get_ref().broken() {
                Some(broken) => faults.add(|| break_fault(&file_name(spec), broken)),
                None => faults.add(|| {
                    let names: Vec<&str> = spec.file_columns().map(|column| column.name).collect();
                    Fault::new(
                        FaultCode::NoHeader,
                        file_name(spec),
                        "has no header",
                        format!("write the names of its columns in the first row: {}", names.join(", ")),
                    )
                }),
            }
            return Ok(None);
        };
        let mut names = Vec::with_capacity(record.len());
        for name in &record {
            match std::str::from_utf8(name) {
                Ok(name) => names.push(name.to_owned()),
                Err(_) => {
                    faults.add(|| not_utf8(&file_name(spec), mark.row, None, name));
                    return Ok(None);
                }
            }
        }
        let Some(header) = read_header(spec, mark.row, &names, faults) else { return Ok(None) };
        Ok(Some(Self {
            spec,
            csv,
            header,
            // Reading nothing gives what an absent column holds: an empty mark, or nothing.
            blank: spec.columns.iter().map(|column| column.kind.read("").unwrap_or(Cell::Null)).collect(),
            rules: RowRules::of(spec),
            record,
            rows: 0,
            ended: false,
        }))
    }

    /// What was read so far.
    pub fn summary(&self) -> ReadSummary {
        ReadSummary { rows: self.rows, bytes: self.csv.get_ref().bytes() }
    }

    /// The next rows; `None` after the last.
    pub fn next_batch(&mut self, faults: &mut Faults) -> io::Result<Option<Batch>> {
        let mut batch = Batch::default();
        while !self.ended && batch.rows.len() + batch.faulty_rows.len() < BATCH_ROWS {
            let Some(mark) = next_record(&mut self.csv, &mut self.record)? else {
                self.ended = true;
                if let Some(broken) = self.csv.get_ref().broken() {
                    faults.add(|| break_fault(&file_name(self.spec), broken));
                }
                break;
            };
            // Spreadsheets leave rows of nothing but commas behind.
            if self.record.iter().all(|cell| cell.iter().all(u8::is_ascii_whitespace)) {
                continue;
            }
            self.rows += 1;
            self.read_row(mark, &mut batch, faults);
        }
        let done = self.ended && batch.rows.is_empty() && batch.faulty_rows.is_empty();
        Ok((!done).then_some(batch))
    }

    fn read_row(&self, mark: RecordMark, batch: &mut Batch, faults: &mut Faults) {
        let spec = self.spec;
        if mark.stray_quote {
            faults.add(|| stray_quote(&file_name(spec), mark.row));
            return;
        }
        if self.record.len() != self.header.width {
            faults.add(|| ragged(&file_name(spec), mark.row, self.record.len(), self.header.width));
            return;
        }
        let mut cells = self.blank.clone();
        let mut readable = true;
        for (index, place) in self.header.places.iter().enumerate() {
            let Some(place) = place else { continue };
            match self.read_cell(index, self.record.get(*place).unwrap_or_default(), mark.row, faults) {
                Some(cell) => cells[index] = cell,
                None => {
                    cells[index] = Cell::Null;
                    readable = false;
                }
            }
        }
        let derived = derive(spec, mark.row, &mut cells, faults);
        let row = Row { row: mark.row, cells };
        if readable && derived && self.rules.check(spec, mark.row, &row.cells, faults) {
            batch.rows.push(row);
        } else {
            batch.faulty_rows.push(row);
        }
    }

    /// The value of a cell; `None` where it has a fault.
    fn read_cell(&self, index: usize, bytes: &[u8], row: u64, faults: &mut Faults) -> Option<Cell> {
        let (spec, column) = (self.spec, &self.spec.columns[index]);
        let Ok(text) = std::str::from_utf8(bytes) else {
            faults.add(|| not_utf8(&file_name(spec), row, Some(column.name), bytes));
            return None;
        };
        let lines;
        let text = if text.contains("\r\n") {
            lines = text.replace("\r\n", "\n");
            lines.as_str()
        } else {
            text
        };
        let fault = |code, wrong: &str, right: String| {
            Fault::new(code, file_name(spec), wrong, right).in_row(row).in_column(column.name)
        };
        let cell = match column.kind.read(text) {
            Ok(cell) => cell,
            Err(wrong) => {
                faults.add(|| {
                    fault(FaultCode::BadValue, &wrong.wrong, format!("write {}", wrong.right))
                        .with_value(text.trim())
                        .suggesting(meant(column.kind, text))
                });
                return None;
            }
        };
        if cell == Cell::Null && column.required {
            faults.add(|| {
                fault(FaultCode::MissingValue, "is empty", format!("write {}", column.kind.wanted()))
            });
            return None;
        }
        if let Some(wrong) = column.bound.broken_by(&cell) {
            faults.add(|| {
                fault(FaultCode::OutOfBounds, wrong, bound_in_words(column.bound, column.kind).into())
                    .with_value(text.trim())
            });
            return None;
        }
        Some(cell)
    }
}

/// Reads a whole sheet and hands its rows on in batches; stops at the first error of reading or of `on_rows`.
///
/// # Errors
///
/// The input cannot be read, or `on_rows` failed.
pub fn read_sheet<R: Read, E: From<io::Error>>(
    spec: &'static SheetSpec,
    input: R,
    faults: &mut Faults,
    mut on_rows: impl FnMut(Batch) -> Result<(), E>,
) -> Result<ReadSummary, E> {
    let Some(mut reader) = SheetReader::open(spec, input, faults)? else { return Ok(ReadSummary::default()) };
    while let Some(batch) = reader.next_batch(faults)? {
        on_rows(batch)?;
    }
    Ok(reader.summary())
}

fn bound_in_words(bound: catalogue::Bound, kind: ColumnKind) -> &'static str {
    match (bound, kind) {
        (catalogue::Bound::Any, _) => "write another value",
        (catalogue::Bound::NotNegative, _) => "write zero or more",
        (catalogue::Bound::Positive, ColumnKind::Integer) => "write 1 or more",
        (catalogue::Bound::Positive, _) => "write more than zero",
        (catalogue::Bound::Share, _) => "write a share from 0 to 1, such as 0.25",
    }
}
