//! All optima at once: for each place, what may stand there in an optimum, given the values of its separator.

use super::tables::Tables;
use super::weight::Weight;

/// A cell of an eliminated table that some optimum passes through.
#[derive(Debug, Clone)]
pub(super) struct Row {
    /// The values of the separator, in the order of the table's scope.
    pub(super) separator: Vec<u32>,
    /// The values the variable of the place may take, rising.
    pub(super) values: Vec<u32>,
}

/// The rows of each place, sorted by separator. An assignment is an optimum exactly if it agrees with a row at every
/// place. The elimination must be exact and possible.
pub(super) fn rows<W: Weight>(tables: &Tables<'_, W>) -> Vec<Vec<Row>> {
    let count = tables.reduced.len();
    let mut cells: Vec<Vec<usize>> = vec![Vec::new(); count];
    let mut seen = vec![false; tables.cells.len()];
    for (position, group) in tables.groups.iter().enumerate() {
        if tables.scope(group.out).is_empty() {
            cells[position].push(tables.tables[group.out as usize].start);
        }
    }
    let mut rows: Vec<Vec<Row>> = vec![Vec::new(); count];
    let mut values = vec![0; count];
    let mut sums = Vec::new();
    // A table goes to a later place, so when a place's turn comes, all its cells are known.
    for position in (0..count).rev() {
        let variable = tables.order.sequence[position] as usize;
        for cell in std::mem::take(&mut cells[position]) {
            tables.place(position, cell, &mut values);
            let separator: Vec<u32> = tables
                .scope(tables.groups[position].out)
                .iter()
                .map(|&other| values[other as usize])
                .collect();
            tables.sums(position, &values, &mut sums);
            let least = tables.cells[cell];
            let tied: Vec<u32> =
                (0..sums.len() as u32).filter(|&value| sums[value as usize] == least).collect();
            for &value in &tied {
                values[variable] = value;
                for (below, cell) in tables.below(position, &values) {
                    if !std::mem::replace(&mut seen[cell], true) {
                        cells[below as usize].push(cell);
                    }
                }
            }
            rows[position].push(Row { separator, values: tied });
        }
        rows[position].sort_unstable_by(|a, b| a.separator.cmp(&b.separator));
    }
    rows
}
