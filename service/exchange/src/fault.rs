//! What is wrong with a file, where, and what would be right.

use std::fmt;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What sort of fault it is; the words are stable.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum FaultCode {
    /// A file of the bundle is no sheet.
    UnknownFile,
    /// The file is no UTF-8 text.
    NotUtf8,
    /// The file has no header.
    NoHeader,
    /// The header names a column that the sheet does not have.
    UnknownColumn,
    /// The header names a column twice.
    DuplicateColumn,
    /// The header lacks a column that must be there.
    MissingColumn,
    /// A row has more or fewer cells than the header.
    RaggedRow,
    /// A quoted cell is never closed.
    UnclosedQuote,
    /// A quote stands where RFC 4180 has none.
    MisplacedQuote,
    /// A row is longer than any row can be.
    RowTooLong,
    /// A cell that must have a value is empty.
    MissingValue,
    /// A text is not of the kind of its column.
    BadValue,
    /// A value is outside the limit of its column.
    OutOfBounds,
    /// Cells of one row contradict each other.
    Contradiction,
    /// A row refers to one that is not there.
    UnknownReference,
    /// Two rows have the same key.
    DuplicateRow,
    /// A row cannot be removed or changed, because others rest on it.
    StillUsed,
    /// The catalogue check found a fault of meaning, and the import is strict.
    Meaning,
}

impl FaultCode {
    /// The word of the code.
    pub fn word(self) -> &'static str {
        match self {
            Self::UnknownFile => "unknown_file",
            Self::NotUtf8 => "not_utf8",
            Self::NoHeader => "no_header",
            Self::UnknownColumn => "unknown_column",
            Self::DuplicateColumn => "duplicate_column",
            Self::MissingColumn => "missing_column",
            Self::RaggedRow => "ragged_row",
            Self::UnclosedQuote => "unclosed_quote",
            Self::MisplacedQuote => "misplaced_quote",
            Self::RowTooLong => "row_too_long",
            Self::MissingValue => "missing_value",
            Self::BadValue => "bad_value",
            Self::OutOfBounds => "out_of_bounds",
            Self::Contradiction => "contradiction",
            Self::UnknownReference => "unknown_reference",
            Self::DuplicateRow => "duplicate_row",
            Self::StillUsed => "still_used",
            Self::Meaning => "meaning",
        }
    }
}

/// One fault of a bundle.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Fault {
    /// What sort it is.
    pub code: FaultCode,
    /// The file.
    pub file: String,
    /// The row as a spreadsheet counts it: the header is row 1.
    pub row: Option<u64>,
    /// The column.
    pub column: Option<String>,
    /// What stands there.
    pub value: Option<String>,
    /// What is wrong, to be read after the value.
    pub wrong: String,
    /// What would be right, as a request.
    pub right: String,
    /// What may have been meant.
    pub suggestion: Option<String>,
}

/// Longest piece of a value that a fault repeats, in characters.
const VALUE_SHOWN_MAX: usize = 60;

impl Fault {
    /// A fault of a whole file.
    pub fn new(
        code: FaultCode,
        file: impl Into<String>,
        wrong: impl Into<String>,
        right: impl Into<String>,
    ) -> Self {
        Self {
            code,
            file: file.into(),
            row: None,
            column: None,
            value: None,
            wrong: wrong.into(),
            right: right.into(),
            suggestion: None,
        }
    }

    /// The same, in a row.
    #[must_use]
    pub fn in_row(mut self, row: u64) -> Self {
        self.row = Some(row);
        self
    }

    /// The same, in a column.
    #[must_use]
    pub fn in_column(mut self, column: &str) -> Self {
        self.column = Some(column.to_owned());
        self
    }

    /// The same, with what stands there, cut to a length that can be read.
    #[must_use]
    pub fn with_value(mut self, value: &str) -> Self {
        let mut shown: String = value.chars().take(VALUE_SHOWN_MAX).collect();
        if shown.len() < value.len() {
            shown.push('…');
        }
        self.value = Some(shown);
        self
    }

    /// The same, with what may have been meant.
    #[must_use]
    pub fn suggesting(mut self, suggestion: Option<String>) -> Self {
        self.suggestion = suggestion;
        self
    }
}

impl Fault {
    /// Where it is: file, row and column.
    pub fn place(&self) -> String {
        let mut place = self.file.clone();
        if let Some(row) = self.row {
            place.push_str(&format!(" row {row}"));
        }
        if let Some(column) = &self.column {
            let comma = if self.row.is_some() { "," } else { "" };
            place.push_str(&format!("{comma} column {}", column.escape_debug()));
        }
        place
    }

    /// What stands there, what is wrong with it, what would be right and what may have been meant.
    pub fn cause(&self) -> String {
        let value = self.value.as_ref().map_or(String::new(), |value| format!("`{}` ", value.escape_debug()));
        let meant =
            self.suggestion.as_ref().map_or(String::new(), |meant| format!("; did you mean `{meant}`?"));
        format!("{value}{}; {}{meant}", self.wrong, self.right)
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.place(), self.cause())
    }
}

/// The faults found so far: the first ones up to a limit, and how many there are in all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Faults {
    limit: usize,
    total: u64,
    kept: Vec<Fault>,
}

impl Faults {
    /// None yet; at most `limit` will be kept.
    pub fn with_limit(limit: usize) -> Self {
        Self { limit, total: 0, kept: Vec::new() }
    }

    /// Counts a fault, and makes and keeps it while there is room.
    pub fn add(&mut self, fault: impl FnOnce() -> Fault) {
        self.total += 1;
        if self.kept.len() < self.limit {
            self.kept.push(fault());
        }
    }

    /// Counts faults that are known by their number only.
    pub fn add_uncollected(&mut self, count: u64) {
        self.total += count;
    }

    /// How many there are, kept or not.
    pub fn total(&self) -> u64 {
        self.total
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.total == 0
    }

    /// How many more will be kept.
    pub fn room(&self) -> usize {
        self.limit - self.kept.len()
    }

    /// Those that were kept, in the order in which they were found.
    pub fn kept(&self) -> &[Fault] {
        &self.kept
    }

    /// Gives away those that were kept.
    pub fn into_kept(self) -> Vec<Fault> {
        self.kept
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_reads_as_a_sentence() {
        let fault =
            Fault::new(FaultCode::BadValue, "parts.csv", "is not known here", "write one of H87, SET")
                .in_row(17)
                .in_column("measure")
                .with_value("PCE\u{0}")
                .suggesting(Some("H87".into()));
        assert_eq!(
            fault.to_string(),
            r"parts.csv row 17, column measure: `PCE\0` is not known here; write one of H87, SET; did you mean `H87`?"
        );
        let fault = Fault::new(FaultCode::NoHeader, "parts.csv", "is empty", "write a header");
        assert_eq!(fault.to_string(), "parts.csv: is empty; write a header");
    }

    #[test]
    fn a_long_value_is_cut_and_all_faults_are_counted() {
        let mut faults = Faults::with_limit(1);
        for _ in 0..3 {
            faults.add(|| Fault::new(FaultCode::BadValue, "a.csv", "w", "r").with_value(&"é".repeat(70)));
        }
        assert_eq!((faults.total(), faults.kept().len(), faults.room()), (3, 1, 0));
        assert_eq!(faults.kept()[0].value.as_ref().map(|v| v.chars().count()), Some(61));
    }
}
