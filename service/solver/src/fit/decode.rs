//! Reads the best assignment out of the tables of an exact elimination, ties included.
//!
//! Among assignments of equal cost the lexicographically smallest is wanted, but variables are decided in the order of
//! elimination. Given the values of a separator, the best completion below it can be chosen without regard to the rest:
//! replacing it by a smaller one of equal cost makes every whole assignment around it smaller. So each cell has one best
//! completion, and where several values tie, their completions are compared at the first variable where they differ.
//! Only cells that can be part of an optimum are ever looked at.

use super::tables::{NONE, Tables};
use super::weight::Weight;

/// A cell that waits to be settled.
const PENDING: u32 = u32::MAX;

/// Best completions, found when asked for.
pub(super) struct Decoder<'t, 'r, W> {
    pub(super) tables: &'t Tables<'r, W>,
    /// For each cell of an eliminated table the value that its variable takes, plus one; zero if not known yet.
    choice: Vec<u32>,
    /// The first variable that was eliminated into each group, itself included.
    first_below: Vec<u32>,
    sums: Vec<W>,
}

impl<'t, 'r, W: Weight> Decoder<'t, 'r, W> {
    /// For the tables of an exact elimination.
    pub(super) fn new(tables: &'t Tables<'r, W>) -> Self {
        Self { tables, choice: vec![0; tables.cells.len()], first_below: Vec::new(), sums: Vec::new() }
    }

    /// Gives the variables at the places before `position` the best values, given those at `position` and after.
    pub(super) fn complete(&mut self, values: &mut [u32], position: usize) {
        for position in (0..position).rev() {
            let variable = self.tables.order.sequence[position] as usize;
            values[variable] = self.choose(position, values);
        }
    }

    fn choose(&mut self, position: usize, values: &[u32]) -> u32 {
        let group = self.tables.groups[position];
        let cell = self.tables.cell(group.out, values);
        if self.choice[cell] == 0 {
            let mut sums = std::mem::take(&mut self.sums);
            self.tables.sums(position, values, &mut sums);
            let least = self.tables.cells[cell];
            let mut tied = sums.iter().enumerate().filter(|(_, sum)| **sum == least);
            let first = tied.next().map_or(0, |(value, _)| value);
            if tied.next().is_none() {
                self.choice[cell] = first as u32 + 1;
            }
            self.sums = sums;
        }
        if self.choice[cell] == 0 {
            self.settle(position, cell);
        }
        self.choice[cell] - 1
    }

    /// Settles a cell whose best value is tied, and all cells below that matter for it.
    fn settle(&mut self, position: usize, cell: usize) {
        if self.first_below.is_empty() {
            self.first_below = first_below(self.tables);
        }
        let mut values = vec![0; self.tables.reduced.len()];
        let mut cells = vec![(position as u32, cell)];
        self.choice[cell] = PENDING;
        let mut next = 0;
        let mut tied = Vec::new();
        while let Some(&(position, cell)) = cells.get(next) {
            next += 1;
            self.tied(position as usize, cell, &mut values, &mut tied);
            let variable = self.tables.order.sequence[position as usize] as usize;
            for &value in &tied {
                values[variable] = value;
                for (below, cell) in self.tables.below(position as usize, &values) {
                    if self.choice[cell] == 0 {
                        self.choice[cell] = PENDING;
                        cells.push((below, cell));
                    }
                }
            }
        }
        cells.sort_unstable();
        for (position, cell) in cells {
            self.tied(position as usize, cell, &mut values, &mut tied);
            let mut best = tied[0];
            for &other in &tied[1..] {
                if self.is_smaller(position as usize, &values, other, best) {
                    best = other;
                }
            }
            self.choice[cell] = best + 1;
        }
    }

    /// The values of least cost at a cell; puts the separator's values into `values`.
    fn tied(&mut self, position: usize, cell: usize, values: &mut [u32], tied: &mut Vec<u32>) {
        self.tables.place(position, cell, values);
        let mut sums = std::mem::take(&mut self.sums);
        self.tables.sums(position, values, &mut sums);
        let least = self.tables.cells[cell];
        tied.clear();
        tied.extend((0..sums.len() as u32).filter(|&value| sums[value as usize] == least));
        self.sums = sums;
    }

    /// Whether the completion with `this` is lexicographically smaller than the one with `that`.
    fn is_smaller(&self, position: usize, separator: &[u32], this: u32, that: u32) -> bool {
        let tables = self.tables;
        let mut first = tables.order.sequence[position];
        let mut smaller = this < that;
        let mut sides = [separator.to_vec(), separator.to_vec()];
        sides[0][first as usize] = this;
        sides[1][first as usize] = that;
        let mut pairs = self.pairs_below(position, &sides, first);
        while let Some((position, cells)) = pairs.pop() {
            if self.first_below[position] > first {
                continue;
            }
            let variable = tables.order.sequence[position];
            for (side, cell) in sides.iter_mut().zip(cells) {
                tables.place(position, cell, side);
                side[variable as usize] = self.choice[cell] - 1;
            }
            let [this, that] = [sides[0][variable as usize], sides[1][variable as usize]];
            if this != that && variable < first {
                first = variable;
                smaller = this < that;
            }
            pairs.extend(self.pairs_below(position, &sides, first));
        }
        smaller
    }

    /// The pairs of different cells right below a place that may hold a difference before `first`.
    fn pairs_below(&self, position: usize, sides: &[Vec<u32>; 2], first: u32) -> Vec<(usize, [usize; 2])> {
        let that = self.tables.below(position, &sides[1]);
        self.tables
            .below(position, &sides[0])
            .zip(that)
            .filter(|((below, this), (_, that))| this != that && self.first_below[*below as usize] < first)
            .map(|((below, this), (_, that))| (below as usize, [this, that]))
            .collect()
    }
}

/// For each group the first variable among its own and those eliminated into it.
fn first_below<W: Weight>(tables: &Tables<'_, W>) -> Vec<u32> {
    let mut first: Vec<u32> = Vec::with_capacity(tables.groups.len());
    for &group in &tables.groups {
        let own = tables.order.sequence[group.position as usize];
        let below = tables.functions(group).iter().filter_map(|&table| {
            let child = tables.tables[table as usize].group;
            (child != NONE).then(|| first[child as usize])
        });
        first.push(below.fold(own, u32::min));
    }
    first
}

/// Reading the tables. All but [`Tables::sums`] ask for an exact elimination, where the group of a bucket has the index
/// of its place.
impl<W: Weight> Tables<'_, W> {
    /// For each value of the variable at a place the least cost of it and everything below, given its separator.
    pub(super) fn sums(&self, position: usize, values: &[u32], sums: &mut Vec<W>) {
        let variable = self.order.sequence[position] as usize;
        sums.clear();
        sums.extend_from_slice(self.reduced.unary(variable));
        for group in self.groups_at(position) {
            for &table in self.functions(self.groups[group]) {
                let row = self.row(table, values);
                for (sum, &more) in sums.iter_mut().zip(&self.cells[row..]) {
                    *sum = sum.plus(more);
                }
            }
        }
    }

    /// The places right below a place, each with its cell for the given values.
    pub(super) fn below(&self, position: usize, values: &[u32]) -> impl Iterator<Item = (u32, usize)> {
        self.functions(self.groups[position]).iter().filter_map(|&table| {
            let group = self.tables[table as usize].group;
            (group != NONE).then(|| (group, self.cell(table, values)))
        })
    }

    /// Puts the values of the separator that a cell of the table of a place stands for into `values`.
    pub(super) fn place(&self, position: usize, cell: usize, values: &mut [u32]) {
        let out = self.groups[position].out;
        let mut rest = cell - self.tables[out as usize].start;
        for &variable in self.scope(out) {
            let size = self.reduced.size(variable as usize);
            values[variable as usize] = (rest % size) as u32;
            rest /= size;
        }
    }
}
