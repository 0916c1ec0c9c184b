//! What every reader of CSV does alike: the next record with its place, and the faults of the text itself.

use std::io::{self, Read};

use csv::ByteRecord;

use crate::fault::{Fault, FaultCode};
use crate::record_watch::{Break, ROW_LENGTH_MAX, RecordMark, RecordWatch};

/// The next record with its mark; `None` at the end, and at the remains of a broken record.
pub(crate) fn next_record<R: Read>(
    csv: &mut csv::Reader<RecordWatch<R>>,
    record: &mut ByteRecord,
) -> io::Result<Option<RecordMark>> {
    match csv.read_byte_record(record) {
        Ok(true) => Ok(csv.get_mut().next_mark()),
        Ok(false) => Ok(None),
        Err(error) => Err(match error.into_kind() {
            csv::ErrorKind::Io(error) => error,
            other => io::Error::other(format!("{other:?}")),
        }),
    }
}

pub(crate) fn ragged(file: &str, row: u64, found: usize, width: usize) -> Fault {
    let cells = |count: usize| if count == 1 { "1 cell".to_owned() } else { format!("{count} cells") };
    let right = if found > width {
        "put cells that hold a comma in quotes, and drop what is too much"
    } else {
        "write a comma for each empty cell too"
    };
    let wrong = format!("has {} where the header has {}", cells(found), cells(width));
    Fault::new(FaultCode::RaggedRow, file, wrong, right).in_row(row)
}

const QUOTE_RIGHT: &str = "put the whole cell in quotes and double each quote inside it";

pub(crate) fn stray_quote(file: &str, row: u64) -> Fault {
    let wrong = "has a quote inside a cell that is not in quotes";
    Fault::new(FaultCode::MisplacedQuote, file, wrong, QUOTE_RIGHT).in_row(row)
}

pub(crate) fn not_utf8(file: &str, row: u64, column: Option<&str>, bytes: &[u8]) -> Fault {
    let right = "save the file as CSV in UTF-8";
    let fault = Fault::new(FaultCode::NotUtf8, file, "is not UTF-8 text", right)
        .in_row(row)
        .with_value(&String::from_utf8_lossy(bytes));
    match column {
        Some(column) => fault.in_column(column),
        None => fault,
    }
}

pub(crate) fn break_fault(file: &str, broken: Break) -> Fault {
    match broken {
        Break::UnclosedQuote(row) => Fault::new(
            FaultCode::UnclosedQuote,
            file,
            "opens a quote that is never closed; nothing from here on was read",
            "close the quote",
        )
        .in_row(row),
        Break::TextAfterQuote(row) => Fault::new(
            FaultCode::MisplacedQuote,
            file,
            "has text behind a closing quote, or lacks one; nothing from here on was read",
            QUOTE_RIGHT,
        )
        .in_row(row),
        Break::RowTooLong(row) => Fault::new(
            FaultCode::RowTooLong,
            file,
            format!("is longer than {ROW_LENGTH_MAX} bytes; nothing from here on was read"),
            "end each row with a line break",
        )
        .in_row(row),
        Break::Utf16 => {
            Fault::new(FaultCode::NotUtf8, file, "is UTF-16 text", "save the file as CSV in UTF-8")
        }
    }
}
