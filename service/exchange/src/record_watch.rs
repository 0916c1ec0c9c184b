//! Watches the bytes of a CSV file on their way to the csv crate.
//!
//! The csv crate reads whatever it is given. A data keeper is better served by a fault where a quote was forgotten than
//! by half a sheet in one cell, and wants rows counted as the spreadsheet counts them. Both need the bytes.

use std::collections::VecDeque;
use std::io::{self, Read};

/// Longest row, in bytes: more than all columns of any sheet at their longest need.
pub(crate) const ROW_LENGTH_MAX: u64 = 1 << 20;

/// The row of a record that the csv crate will give next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct RecordMark {
    /// Row as a spreadsheet counts it: a quoted line break makes no new row, an empty line does.
    pub(crate) row: u64,
    /// Whether a quote stands inside a cell that is not quoted.
    pub(crate) stray_quote: bool,
}

/// A fault after which nothing more of the file can be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Break {
    /// The text ended inside the quoted cell of this row.
    UnclosedQuote(u64),
    /// Text follows the closing quote of a cell of this row.
    TextAfterQuote(u64),
    /// This row is too long.
    RowTooLong(u64),
    /// The text is UTF-16.
    Utf16,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    RecordStart,
    CellStart,
    Plain,
    Quoted,
    QuoteInQuoted,
    AfterReturn,
}

/// A reader that passes the bytes on and remembers where records begin.
///
/// Past a [`Break`] it ends early, in the middle of the broken record: that record gets no mark.
#[derive(Debug)]
pub(crate) struct RecordWatch<R> {
    input: R,
    state: State,
    row: u64,
    stray_quote: bool,
    record_bytes: u64,
    bytes: u64,
    marks: VecDeque<RecordMark>,
    broken: Option<Break>,
    ended: bool,
}

impl<R: Read> RecordWatch<R> {
    pub(crate) fn new(input: R) -> Self {
        Self {
            input,
            state: State::RecordStart,
            row: 1,
            stray_quote: false,
            record_bytes: 0,
            bytes: 0,
            marks: VecDeque::new(),
            broken: None,
            ended: false,
        }
    }

    /// The mark of the record that the csv crate gave; `None` for the remains of a broken one.
    pub(crate) fn next_mark(&mut self) -> Option<RecordMark> {
        self.marks.pop_front()
    }

    /// Why reading ended early.
    pub(crate) fn broken(&self) -> Option<Break> {
        self.broken
    }

    /// How many bytes went through.
    pub(crate) fn bytes(&self) -> u64 {
        self.bytes
    }

    fn end_record(&mut self) {
        self.marks.push_back(RecordMark { row: self.row, stray_quote: self.stray_quote });
        self.next_row();
    }

    fn next_row(&mut self) {
        self.row += 1;
        self.stray_quote = false;
        self.record_bytes = 0;
    }

    /// Follows one byte; true where the file breaks at it.
    fn follow(&mut self, byte: u8) -> bool {
        self.record_bytes += 1;
        if self.record_bytes > ROW_LENGTH_MAX {
            let row = self.row;
            let quoted = self.state == State::Quoted;
            self.broken = Some(if quoted { Break::UnclosedQuote(row) } else { Break::RowTooLong(row) });
            return true;
        }
        if self.state == State::AfterReturn {
            self.state = State::RecordStart;
            if byte == b'\n' {
                self.record_bytes = 0;
                return false;
            }
        }
        self.state = match (self.state, byte) {
            (State::Quoted, b'"') => State::QuoteInQuoted,
            (State::Quoted, _) | (State::QuoteInQuoted, b'"') => State::Quoted,
            (State::RecordStart, b'\n' | b'\r') => {
                self.next_row();
                if byte == b'\r' { State::AfterReturn } else { State::RecordStart }
            }
            (_, b'\n' | b'\r') => {
                self.end_record();
                if byte == b'\r' { State::AfterReturn } else { State::RecordStart }
            }
            (_, b',') => State::CellStart,
            (State::RecordStart | State::CellStart, b'"') => State::Quoted,
            (State::Plain, b'"') => {
                self.stray_quote = true;
                State::Plain
            }
            (State::QuoteInQuoted, _) => {
                self.broken = Some(Break::TextAfterQuote(self.row));
                return true;
            }
            (State::RecordStart | State::CellStart | State::Plain | State::AfterReturn, _) => State::Plain,
        };
        false
    }

    /// Follows the end of the text.
    fn follow_end(&mut self) {
        self.ended = true;
        match self.state {
            State::RecordStart | State::AfterReturn => {}
            State::CellStart | State::Plain | State::QuoteInQuoted => self.end_record(),
            State::Quoted => self.broken = Some(Break::UnclosedQuote(self.row)),
        }
    }

    /// Reads until the buffer is full or the text ends: a byte order mark must not be split.
    fn fill(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let mut length = 0;
        while length < buffer.len() {
            match self.input.read(&mut buffer[length..]) {
                Ok(0) => break,
                Ok(count) => length += count,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
        Ok(length)
    }
}

const UTF8_MARK: &[u8] = &[0xef, 0xbb, 0xbf];
const UTF16_MARKS: [&[u8]; 2] = [&[0xff, 0xfe], &[0xfe, 0xff]];

impl<R: Read> Read for RecordWatch<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.ended || self.broken.is_some() || buffer.is_empty() {
            return Ok(0);
        }
        let mut length = self.fill(buffer)?;
        if self.bytes == 0 {
            if UTF16_MARKS.iter().any(|mark| buffer[..length].starts_with(mark)) {
                self.broken = Some(Break::Utf16);
                return Ok(0);
            }
            // All of them, since the csv crate drops one too and would then see other bytes than were followed here.
            while buffer[..length].starts_with(UTF8_MARK) {
                buffer.copy_within(UTF8_MARK.len()..length, 0);
                length -= UTF8_MARK.len();
                self.bytes += UTF8_MARK.len() as u64;
            }
        }
        if length == 0 {
            self.follow_end();
            return Ok(0);
        }
        let broken_at = buffer[..length].iter().position(|byte| self.follow(*byte));
        let passed = broken_at.unwrap_or(length);
        self.bytes += passed as u64;
        Ok(passed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn marks(text: &str) -> (Vec<u64>, Option<Break>) {
        let mut watch = RecordWatch::new(text.as_bytes());
        let mut bytes = Vec::new();
        watch.read_to_end(&mut bytes).unwrap();
        (watch.marks.iter().map(|mark| mark.row).collect(), watch.broken)
    }

    #[test]
    fn rows_are_counted_as_a_spreadsheet_counts_them() {
        assert_eq!(marks("a,b\r\n1,2\r\n"), (vec![1, 2], None));
        assert_eq!(marks("\u{feff}a\n\n\"x\ny\"\nz"), (vec![1, 3, 4], None));
        assert_eq!(marks("a\r\r\nb\rc,"), (vec![1, 3, 4], None));
    }

    #[test]
    fn what_the_csv_crate_reads_gets_one_mark_each() {
        for text in
            ["a,b\r\n1,2\r\n", "a\n\n\"x\ny\"\nz", "\r\n\na\r\rb\n", "\"\"\n,\n", "x\"y\n\"a\"\"b\",c"]
        {
            let mut csv = csv::ReaderBuilder::new()
                .has_headers(false)
                .flexible(true)
                .from_reader(RecordWatch::new(text.as_bytes()));
            let records = csv.byte_records().count();
            assert_eq!(records, csv.get_ref().marks.len(), "{text:?}");
        }
    }

    #[test]
    fn a_quote_out_of_place_breaks_or_marks_the_row() {
        assert_eq!(marks("a\n\"b\nc\n"), (vec![1], Some(Break::UnclosedQuote(2))));
        assert_eq!(marks("a\n\"b\"c\nd\n"), (vec![1], Some(Break::TextAfterQuote(2))));
        let mut watch = RecordWatch::new(&b"a\nb\"c\nd"[..]);
        std::io::copy(&mut watch, &mut std::io::sink()).unwrap();
        let stray: Vec<bool> = watch.marks.iter().map(|mark| mark.stray_quote).collect();
        assert_eq!(stray, [false, true, false]);
    }

    #[test]
    fn an_endless_row_is_cut() {
        let text = format!("a\n\"{}", "x\n".repeat(1 << 20));
        assert_eq!(marks(&text), (vec![1], Some(Break::UnclosedQuote(2))));
        assert_eq!(marks(&"x".repeat(2 << 20)), (vec![], Some(Break::RowTooLong(1))));
        let mut watch = RecordWatch::new(&[0xff, 0xfe, b'a', 0][..]);
        assert_eq!((watch.read(&mut [0; 8]).unwrap(), watch.broken()), (0, Some(Break::Utf16)));
    }
}
