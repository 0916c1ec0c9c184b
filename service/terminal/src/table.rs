//! Aligned columns.

use std::io::{self, Write};

/// On which side a column is flush.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Flush {
    /// Words.
    Left,
    /// Figures.
    Right,
}

/// Writes rows with their columns aligned and two blanks between; the last column is not filled up.
pub fn write_table(out: &mut dyn Write, flush: &[Flush], rows: &[Vec<String>]) -> io::Result<()> {
    let width = |column: usize| {
        rows.iter().filter_map(|row| row.get(column)).map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    let widths: Vec<usize> = (0..flush.len()).map(width).collect();
    for row in rows {
        let mut line = String::new();
        for ((cell, flush), width) in row.iter().zip(flush).zip(&widths) {
            if !line.is_empty() {
                line.push_str("  ");
            }
            match flush {
                Flush::Left => line.push_str(&format!("{cell:<width$}")),
                Flush::Right => line.push_str(&format!("{cell:>width$}")),
            }
        }
        writeln!(out, "{}", line.trim_end())?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_aligned_by_letters_not_bytes() {
        let rows = [["Öl", "1"], ["gasket", "100"]].map(|row| row.map(str::to_owned).to_vec());
        let mut out = Vec::new();
        write_table(&mut out, &[Flush::Left, Flush::Right], &rows).unwrap();
        assert_eq!(String::from_utf8(out).unwrap(), "Öl        1\ngasket  100\n");
    }
}
