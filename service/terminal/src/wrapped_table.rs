//! Aligned tables for a person: a heading, figures to the right, the last column wrapped.

/// Columns that a table may take when the terminal does not say how wide it is.
const WIDTH_USUAL: usize = 120;
/// Least columns of the last column.
const LAST_MIN: usize = 24;

/// Rows of text under a heading.
pub(crate) struct WrappedTable {
    heads: Vec<&'static str>,
    right: Vec<bool>,
    rows: Vec<Vec<String>>,
}

impl WrappedTable {
    /// A table with such columns; the name of a column whose figures stand to the right begins with `>`.
    pub(crate) fn new(heads: &[&'static str]) -> Self {
        Self {
            right: heads.iter().map(|head| head.starts_with('>')).collect(),
            heads: heads.iter().map(|head| head.trim_start_matches('>')).collect(),
            rows: Vec::new(),
        }
    }

    /// Adds a row.
    pub(crate) fn row(&mut self, cells: impl IntoIterator<Item = String>) {
        self.rows.push(cells.into_iter().collect());
    }

    /// Whether there is nothing in it.
    pub(crate) fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// The table as text, indented, at most so wide.
    pub(crate) fn text(&self, width: usize) -> String {
        let head: Vec<String> = self.heads.iter().map(|head| (*head).to_owned()).collect();
        let widths: Vec<usize> = (0..self.heads.len())
            .map(|at| {
                let cells = self.rows.iter().chain(std::iter::once(&head)).filter_map(|row| row.get(at));
                cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
            })
            .collect();
        let before: usize = widths.iter().rev().skip(1).map(|width| width + 2).sum();
        let last = width.saturating_sub(before + 2).max(LAST_MIN);
        let mut text = String::new();
        for row in std::iter::once(&head).chain(&self.rows) {
            for (line, piece) in wrapped(row.last().map_or("", String::as_str), last).iter().enumerate() {
                text.push_str(self.line(row, line, piece, &widths).trim_end());
                text.push('\n');
            }
        }
        text
    }

    /// One line of a row; below the first only the last column goes on.
    fn line(&self, row: &[String], line: usize, piece: &str, widths: &[usize]) -> String {
        let mut written = String::from("  ");
        for (at, width) in widths.iter().enumerate() {
            let is_last = at + 1 == widths.len();
            let cell = match (is_last, line) {
                (true, _) => piece,
                (false, 0) => row.get(at).map_or("", String::as_str),
                (false, _) => "",
            };
            if self.right.get(at) == Some(&true) {
                written.push_str(&format!("{cell:>width$}"));
            } else {
                written.push_str(&format!("{cell:<width$}"));
            }
            written.push_str("  ");
        }
        written
    }
}

/// How wide the terminal is.
pub(crate) fn terminal_width() -> usize {
    let columns = std::env::var("COLUMNS").ok().and_then(|text| text.parse().ok());
    columns.filter(|columns| (40..=400).contains(columns)).unwrap_or(WIDTH_USUAL)
}

/// A text in lines of at most so many characters, broken at blanks; a longer word stands alone.
pub(crate) fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let Some(line) = lines.last_mut() else { break };
        if line.is_empty() {
            line.push_str(word);
        } else if line.chars().count() + 1 + word.chars().count() <= width {
            line.push(' ');
            line.push_str(word);
        } else {
            lines.push(word.to_owned());
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_aligned_and_the_last_is_wrapped() {
        let mut table = WrappedTable::new(&["part", ">qty", "why"]);
        table.row(["VESSICK/1".into(), "2".into(), "the bearing was found worn at the inspection".into()]);
        table.row(["N/2".into(), "12".into(), "asked".into()]);
        let text = "  part       qty  why\n  VESSICK/1    2  the bearing was found\n                  worn at the \
                    inspection\n  N/2         12  asked\n";
        assert_eq!(table.text(42), text);
    }
}
