//! A row as a line of text: what PostgreSQL's `COPY` reads, and what the hash of a difference is made over.

use std::fmt::Write as _;

use catalogue::Cell;

/// Appends the cells of a row, with tabs between, in `COPY`'s text format without the end of the line.
pub(super) fn append_cells<'a>(line: &mut String, cells: impl IntoIterator<Item = &'a Cell>) {
    for (at, cell) in cells.into_iter().enumerate() {
        if at > 0 {
            line.push('\t');
        }
        append_cell(line, cell);
    }
}

fn append_cell(line: &mut String, cell: &Cell) {
    let written = match cell {
        Cell::Null => {
            line.push_str("\\N");
            Ok(())
        }
        Cell::Text(text) => {
            append_escaped(line, text);
            Ok(())
        }
        Cell::Integer(value) => write!(line, "{value}"),
        Cell::Real(value) => write!(line, "{value}"),
        Cell::Flag(value) => {
            line.push(if *value { 't' } else { 'f' });
            Ok(())
        }
        Cell::Date(day) => write!(line, "{day}"),
    };
    written.expect("writing to a String does not fail");
}

fn append_escaped(line: &mut String, text: &str) {
    let mut from = 0;
    for (at, byte) in text.bytes().enumerate() {
        // All bytes of a character beyond ASCII are 128 or more: none is taken for one of these.
        let escape = match byte {
            b'\\' => "\\\\",
            b'\t' => "\\t",
            b'\n' => "\\n",
            b'\r' => "\\r",
            _ => continue,
        };
        line.push_str(&text[from..at]);
        line.push_str(escape);
        from = at + 1;
    }
    line.push_str(&text[from..]);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_means_something_to_the_format_is_escaped() {
        let day = chrono::NaiveDate::from_ymd_opt(2026, 2, 3).unwrap();
        let cells = [
            Cell::Text("a\tb\\N\nü".into()),
            Cell::Null,
            Cell::Integer(-5),
            Cell::Real(0.1),
            Cell::Flag(true),
            Cell::Date(day),
            Cell::Text(String::new()),
        ];
        let mut line = String::new();
        append_cells(&mut line, &cells);
        assert_eq!(line, "a\\tb\\\\N\\nü\t\\N\t-5\t0.1\tt\t2026-02-03\t");
    }
}
