//! Bucket elimination: variable by variable, the tables that speak of it become one table that does not.
//!
//! Each cell of the table that comes out holds the least cost of everything eliminated so far, given the values of the
//! variables still to come (dynamic programming over a tree decomposition; Bertelè and Brioschi, from memory). Where
//! the joint table would be too large, its tables are split into groups that are minimised apart: the result then is a
//! lower bound (mini-buckets, Dechter, from memory).

use super::order::Order;
use super::problem::Budget;
use super::reduced::Reduced;
use super::tables::{Group, Tables};
use super::weight::Weight;

/// The caller asked to stop.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Stopped;

/// After how many cells the caller is asked again.
const CELLS_BETWEEN_QUESTIONS: usize = 1 << 16;

/// Eliminates all variables; no single table grows beyond `most_cells`.
pub(super) fn eliminate<'a, W: Weight>(
    reduced: &'a Reduced<W>,
    order: Order,
    most_cells: usize,
    budget: &Budget<'_>,
) -> Result<Tables<'a, W>, Stopped> {
    let mut tables = Tables::new(reduced, order);
    let mut work = Work::new(reduced.len());
    for position in 0..reduced.len() {
        tables.begin_bucket();
        let functions = tables.bucket(position);
        let variable = tables.order.sequence[position];
        if most_cells == usize::MAX {
            work.join(&tables, variable, &functions);
            work.run(&mut tables, position, &functions, true, budget)?;
            continue;
        }
        let groups = split(&tables, &mut work, variable, functions, most_cells);
        tables.exact &= groups.len() == 1;
        for (index, group) in groups.iter().enumerate() {
            work.join(&tables, variable, group);
            work.run(&mut tables, position, group, index == 0, budget)?;
        }
    }
    tables.end_buckets();
    Ok(tables)
}

/// Splits the tables of a bucket into groups whose joint table stays within `most_cells`, widest tables first.
fn split<W: Weight>(
    tables: &Tables<'_, W>,
    work: &mut Work,
    variable: u32,
    mut functions: Vec<u32>,
    most_cells: usize,
) -> Vec<Vec<u32>> {
    functions.sort_by_key(|&table| std::cmp::Reverse(tables.scope(table).len()));
    let mut groups: Vec<Vec<u32>> = Vec::new();
    for table in functions {
        let place = groups.iter_mut().find_map(|group| {
            group.push(table);
            work.join(tables, variable, group);
            if work.cells(tables) <= most_cells {
                Some(())
            } else {
                group.pop();
                None
            }
        });
        if place.is_none() {
            groups.push(vec![table]);
        }
    }
    if groups.is_empty() {
        groups.push(Vec::new());
    }
    groups
}

/// Scratch space.
struct Work {
    /// The last question a variable was part of.
    stamp: Vec<u32>,
    question: u32,
    separator: Vec<u32>,
    since_question: usize,
}

impl Work {
    fn new(variables: usize) -> Self {
        Self { stamp: vec![0; variables], question: 0, separator: Vec::new(), since_question: 0 }
    }

    /// The variables of the tables without `variable`, first eliminated first, into `separator`.
    fn join<W: Weight>(&mut self, tables: &Tables<'_, W>, variable: u32, functions: &[u32]) {
        self.question += 1;
        self.separator.clear();
        self.stamp[variable as usize] = self.question;
        for &table in functions {
            for &other in tables.scope(table) {
                if std::mem::replace(&mut self.stamp[other as usize], self.question) != self.question {
                    self.separator.push(other);
                }
            }
        }
        self.separator.sort_unstable_by_key(|&other| tables.order.position[other as usize]);
    }

    fn cells<W: Weight>(&self, tables: &Tables<'_, W>) -> usize {
        self.separator
            .iter()
            .fold(1, |cells, &other| cells.saturating_mul(tables.reduced.size(other as usize)))
    }

    /// Makes the table over `separator`.
    fn run<W: Weight>(
        &mut self,
        tables: &mut Tables<'_, W>,
        position: usize,
        functions: &[u32],
        with_unary: bool,
        budget: &Budget<'_>,
    ) -> Result<(), Stopped> {
        self.since_question += self.cells(tables);
        if self.since_question >= CELLS_BETWEEN_QUESTIONS {
            self.since_question = 0;
            if budget.stopped() {
                return Err(Stopped);
            }
        }
        let group = tables.open_group(position, functions, &self.separator, with_unary);
        minimise(tables, group, &self.separator);
        tables.close_group(group);
        Ok(())
    }
}

/// One table of a group while its cells are walked through.
struct Walk {
    /// The row for the current values of all but the innermost variable of the separator.
    row: usize,
    /// The step for each variable of the separator, zero for those the table does not speak of.
    strides: Vec<usize>,
}

/// Fills the table that comes out of a group.
fn minimise<W: Weight>(tables: &mut Tables<'_, W>, group: Group, separator: &[u32]) {
    let reduced = tables.reduced;
    let variable = tables.order.sequence[group.position as usize] as usize;
    let sizes: Vec<usize> = separator.iter().map(|&other| reduced.size(other as usize)).collect();
    let mut walks: Vec<Walk> = tables
        .functions(group)
        .iter()
        .map(|&table| {
            let mut strides = vec![0; separator.len()];
            for (other, &stride) in tables.scope(table).iter().zip(tables.strides(table)).skip(1) {
                if let Some(at) = separator.iter().position(|separate| separate == other) {
                    strides[at] = stride;
                }
            }
            Walk { row: tables.tables[table as usize].start, strides }
        })
        .collect();
    // Tables that do not speak of the innermost variable are added up once for all its values.
    walks.sort_by_key(|walk| walk.strides.first().is_some_and(|&stride| stride > 0));
    let steady =
        walks.iter().take_while(|walk| walk.strides.first().is_none_or(|&stride| stride == 0)).count();
    let cells: usize = sizes.iter().product();
    let start = tables.tables[group.out as usize].start;
    tables.cells.resize(start + cells, W::FORBIDDEN);
    let (source, target) = tables.cells.split_at_mut(start);

    let size = reduced.size(variable);
    let own = if group.with_unary { reduced.unary(variable).to_vec() } else { vec![W::default(); size] };
    let inner = sizes.first().copied().unwrap_or(1);
    let mut values = vec![0_usize; sizes.len()];
    for row in target.chunks_exact_mut(inner) {
        fill(row, &own, source, &walks[..steady], &walks[steady..]);
        for at in 1..sizes.len() {
            values[at] += 1;
            let back = values[at] == sizes[at];
            for walk in &mut walks {
                walk.row += walk.strides[at];
                if back {
                    walk.row -= sizes[at] * walk.strides[at];
                }
            }
            if !back {
                break;
            }
            values[at] = 0;
        }
    }
}

/// For each value of the innermost variable of the separator the least sum of the variable's own costs and the tables'
/// rows: those that stay where they are, and those that go with the value.
#[inline]
fn fill<W: Weight>(row: &mut [W], own: &[W], source: &[W], steady: &[Walk], moving: &[Walk]) {
    // A loop of a known number of steps takes half the time.
    match own.len() {
        2 => fill_by_few::<W, 2>(row, own, source, steady, moving),
        3 => fill_by_few::<W, 3>(row, own, source, steady, moving),
        4 => fill_by_few::<W, 4>(row, own, source, steady, moving),
        5 => fill_by_few::<W, 5>(row, own, source, steady, moving),
        6 => fill_by_few::<W, 6>(row, own, source, steady, moving),
        _ => fill_by_many(row, own, source, steady, moving),
    }
}

/// [`fill`] for a variable of `N` values.
#[inline]
fn fill_by_few<W: Weight, const N: usize>(
    row: &mut [W],
    own: &[W],
    source: &[W],
    steady: &[Walk],
    moving: &[Walk],
) {
    let chunk = |from: usize| source[from..].first_chunk::<N>().expect("a row has a cell for each value");
    let of = |walk: &Walk, value: usize| chunk(walk.row + value * walk.strides[0]);
    let plus = |sum: [W; N], more: &[W; N]| std::array::from_fn(|at| sum[at].plus(more[at]));
    let least = |sum: [W; N]| sum.into_iter().fold(W::FORBIDDEN, W::min);
    let own = *own.first_chunk::<N>().expect("the caller counts the values");
    let base = steady.iter().fold(own, |base, walk| plus(base, chunk(walk.row)));
    if least(base) == W::FORBIDDEN {
        return;
    }
    match moving {
        // One or two tables are by far the most frequent.
        [only] => {
            for (value, cell) in row.iter_mut().enumerate() {
                *cell = least(plus(base, of(only, value)));
            }
        }
        [first, second] => {
            for (value, cell) in row.iter_mut().enumerate() {
                *cell = least(plus(plus(base, of(first, value)), of(second, value)));
            }
        }
        _ => {
            for (value, cell) in row.iter_mut().enumerate() {
                *cell = least(moving.iter().fold(base, |sum, walk| plus(sum, of(walk, value))));
            }
        }
    }
}

/// [`fill`] for any number of values.
fn fill_by_many<W: Weight>(row: &mut [W], own: &[W], source: &[W], steady: &[Walk], moving: &[Walk]) {
    let mut base = own.to_vec();
    for walk in steady {
        add(&mut base, &source[walk.row..][..own.len()]);
    }
    if base.iter().all(|&sum| sum == W::FORBIDDEN) {
        return;
    }
    let mut sum = base.clone();
    for (value, cell) in row.iter_mut().enumerate() {
        sum.copy_from_slice(&base);
        for walk in moving {
            add(&mut sum, &source[walk.row + value * walk.strides[0]..][..own.len()]);
        }
        *cell = sum.iter().copied().min().unwrap_or(W::FORBIDDEN);
    }
}

#[inline]
fn add<W: Weight>(sum: &mut [W], more: &[W]) {
    for (sum, &more) in sum.iter_mut().zip(more) {
        *sum = sum.plus(more);
    }
}
