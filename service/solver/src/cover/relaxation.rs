//! The linear relaxation of a program under the decisions of a node, and bounds from it that are exact.
//!
//! Any row multipliers give a lower bound: each column and each row activity at its cheaper end. The simplex only
//! proposes multipliers; they are rounded to integers and the bound is summed in wide integers, so no rounding of
//! the simplex can cut off an answer.

use std::collections::BTreeMap;

use super::Aim;
use super::program::{Kind, Program, SUMS, Sum};
use super::simplex::{Simplex, Status};
use super::staircase::{Segment, Step, segments};

/// What a relaxation shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shown {
    /// No plan lies here.
    Nothing,
    /// No plan here is below this value of the sum in question.
    AtLeast(i64),
    /// Nothing is proven.
    Open,
}

/// Room above a limit in the scaled row of a sum: more than the simplex takes for zero, and more where it ends without
/// an answer that exact arithmetic confirms.
const ROOMS: [f64; 3] = [2e-7, 1e-5, 1e-3];

/// A column or source and the least and greatest value left to it.
type Range = (usize, i64, i64);

#[derive(Debug, Clone)]
struct LpColumn {
    entries: Vec<(usize, i64)>,
    cost: Sum,
    lo: i64,
    hi: i64,
}

/// The relaxation, kept from node to node.
pub(super) struct Relaxation<'a> {
    program: &'a Program<'a>,
    lp: Simplex,
    rows: usize,
    columns: Vec<LpColumn>,
    /// For each source the columns of its hull segments.
    segments: Vec<BTreeMap<Segment, usize>>,
    active: Vec<Vec<(usize, Segment)>>,
    /// Units and cash each source has at least.
    start: Vec<(i64, i64)>,
    base_activity: Vec<i64>,
    base_sum: Sum,
    widest: Vec<i64>,
    limits: [Option<i64>; SUMS],
    /// What the simplex sees of a sum, of a row and of a column of the program: powers of two near one over their size.
    scale: [f64; SUMS],
    row_scale: Vec<f64>,
    column_scale: Vec<f64>,
    objective: usize,
    /// Exact reduced costs behind the last bound, by column, and the room between that bound and the limit.
    reduced: Vec<i128>,
    room: Option<(i128, i128)>,
    /// Whether the last solve ended at an optimum, so that values mean something.
    pub(super) solved: bool,
}

impl<'a> Relaxation<'a> {
    /// The relaxation before any decision. Sources have still to be set.
    pub(super) fn new(program: &'a Program<'a>) -> Self {
        let rows = program.rows.len();
        let sums = program.sums.len();
        let mut widest = vec![1_i64; rows];
        for column in &program.columns {
            for &(row, factor) in &column.entries {
                widest[row] += factor.abs() * column.hi.abs().max(column.lo.abs());
            }
        }
        for (source, entries) in program.source_entries.iter().enumerate() {
            let most = program.sources.stairs(program.problem, source, 0).most();
            for &(row, factor) in entries {
                widest[row] = widest[row].saturating_add(factor.saturating_mul(most));
            }
        }
        let mut scale = [1.0; SUMS];
        for (at, slot) in scale.iter_mut().enumerate().take(sums) {
            let largest = program.columns.iter().map(|column| column.cost[at].abs()).max().unwrap_or(1);
            let priced = program.sums[at] != Aim::Surplus;
            let price = (0..program.source_entries.len())
                .filter(|_| priced)
                .filter_map(|source| {
                    program.sources.stairs(program.problem, source, 0).steps.get(1).map(|step| step.cash)
                })
                .max();
            *slot = power_near(1.0 / largest.max(price.unwrap_or(1)).max(1) as f64);
        }
        let (row_scale, column_scale) = scales(program);
        let unbounded = vec![(-1e12, 1e12); rows + sums];
        let sources = program.source_entries.len();
        let mut made = Self {
            program,
            lp: Simplex::new(&unbounded),
            rows,
            columns: Vec::new(),
            segments: vec![BTreeMap::new(); sources],
            active: vec![Vec::new(); sources],
            start: vec![(0, 0); sources],
            base_activity: vec![0; rows],
            base_sum: [0; SUMS],
            widest,
            limits: [None; SUMS],
            scale,
            row_scale,
            column_scale,
            objective: 0,
            reduced: Vec::new(),
            room: None,
            solved: false,
        };
        for column in &program.columns {
            made.add_column(column.entries.clone(), column.cost, column.lo, column.hi);
        }
        made
    }

    fn add_column(&mut self, entries: Vec<(usize, i64)>, cost: Sum, lo: i64, hi: i64) -> usize {
        let size = self.size_of(self.columns.len());
        let mut all: Vec<(u32, f64)> = entries
            .iter()
            .map(|&(row, factor)| (row as u32, factor as f64 * self.row_scale[row] * size))
            .collect();
        for (at, &amount) in cost.iter().enumerate().take(self.program.sums.len()) {
            if amount != 0 {
                all.push(((self.rows + at) as u32, amount as f64 * self.scale[at] * size));
            }
        }
        let price = cost[self.objective] as f64 * self.scale[self.objective] * size;
        self.lp.add_column(all, price, lo as f64 / size, hi as f64 / size);
        self.columns.push(LpColumn { entries, cost, lo, hi });
        self.columns.len() - 1
    }

    /// How much of a column is one for the simplex.
    fn size_of(&self, column: usize) -> f64 {
        self.column_scale.get(column).copied().unwrap_or(1.0)
    }

    fn lp_index(&self, column: usize) -> usize {
        self.rows + self.program.sums.len() + column
    }

    /// Sets the bounds of a column of the program.
    pub(super) fn set_column(&mut self, column: usize, lo: i64, hi: i64) {
        let index = self.lp_index(column);
        let size = self.size_of(column);
        self.lp.set_bounds(index, lo as f64 / size, hi as f64 / size);
        (self.columns[column].lo, self.columns[column].hi) = (lo, hi);
    }

    /// Sets what is left of a source: at least one step.
    pub(super) fn set_source(&mut self, source: usize, steps: &[Step], even_price: Option<i64>) {
        for (column, _) in std::mem::take(&mut self.active[source]) {
            self.set_column(column, 0, 0);
        }
        let (Some(first), Some(last)) = (steps.first(), steps.last()) else { return };
        self.move_start(source, first.units, first.cash);
        let wanted = match even_price {
            Some(price) if last.units > first.units => {
                vec![(Segment::even(1, price), last.units - first.units)]
            }
            Some(_) => Vec::new(),
            None => segments(steps, self.enough(source)),
        };
        for (segment, times) in wanted {
            let column = match self.segments[source].get(&segment) {
                Some(&column) => column,
                None => self.add_segment(source, segment),
            };
            self.set_column(column, 0, times);
            self.active[source].push((column, segment));
        }
    }

    /// Units of a source beyond which more serve nothing: known of what brings pieces of one class only.
    fn enough(&self, source: usize) -> i64 {
        let held = &self.program.sources.list[source];
        if self.program.sources.is_pool(source) { held.enough } else { i64::MAX }
    }

    fn add_segment(&mut self, source: usize, segment: Segment) -> usize {
        let entries = self.program.source_entries[source].iter();
        let entries =
            entries.map(|&(row, factor)| (row, factor * segment.serves)).filter(|entry| entry.1 != 0);
        let entries = entries.collect();
        let cost = self.priced(source, segment.pieces, segment.cash);
        let column = self.add_column(entries, cost, 0, 0);
        self.segments[source].insert(segment, column);
        column
    }

    fn priced(&self, source: usize, units: i64, cash: i64) -> Sum {
        let mut cost = self.program.source_cost(source);
        for (at, aim) in self.program.sums.iter().enumerate() {
            cost[at] = cost[at] * units + if *aim == Aim::Surplus { 0 } else { cash };
        }
        cost
    }

    fn move_start(&mut self, source: usize, units: i64, cash: i64) {
        let (before_units, before_cash) = self.start[source];
        let (more_units, more_cash) = (units - before_units, cash - before_cash);
        self.start[source] = (units, cash);
        if more_units == 0 && more_cash == 0 {
            return;
        }
        let enough = self.enough(source);
        let more_served = units.min(enough) - before_units.min(enough);
        for &(row, factor) in &self.program.source_entries[source] {
            self.base_activity[row] += factor * more_served;
        }
        let more = self.priced(source, more_units, more_cash);
        for (slot, amount) in self.base_sum.iter_mut().zip(more) {
            *slot += amount;
        }
    }

    /// The least value of a sum while other sums keep their limits, without the constants of the program. Gives up
    /// once the value passes `enough`.
    pub(super) fn least(&mut self, sum: usize, limits: [Option<i64>; SUMS], enough: Option<i64>) -> Shown {
        if sum != self.objective {
            self.objective = sum;
            let price = |(at, column): (usize, &LpColumn)| {
                column.cost[sum] as f64 * self.scale[sum] * self.size_of(at)
            };
            let costs: Vec<f64> = self.columns.iter().enumerate().map(price).collect();
            self.lp.set_costs(costs.into_iter());
        }
        self.limits = limits;
        let cutoff =
            enough.map_or(f64::INFINITY, |enough| (enough - self.base_sum[sum]) as f64 * self.scale[sum]);
        let margin = 1e-6 * cutoff.abs().max(self.scale[sum]);
        let mut shown = Shown::Open;
        for room in ROOMS {
            self.set_rows(room);
            let mut status = self.lp.solve(cutoff + margin);
            shown = self.bound(sum, status);
            if status == Status::Cutoff && !matches!(shown, Shown::AtLeast(value) if Some(value) > enough) {
                status = self.lp.solve(f64::INFINITY);
                shown = self.bound(sum, status);
            }
            self.solved = status == Status::Optimal;
            if self.solved || status == Status::Cutoff || shown == Shown::Nothing {
                break;
            }
            self.lp.start_anew();
        }
        shown
    }

    fn set_rows(&mut self, room: f64) {
        for (row, held) in self.program.rows.iter().enumerate() {
            let base = self.base_activity[row];
            let lo = held.lo.map_or(-self.widest[row], |lo| lo - base);
            let hi = held.hi.map_or(self.widest[row], |hi| hi - base);
            let scale = self.row_scale[row];
            self.lp.set_bounds(row, lo as f64 * scale, hi.max(lo) as f64 * scale);
        }
        for at in 0..self.program.sums.len() {
            // A limit is often just reachable. Without a hair of room the simplex would call that infeasible, which
            // exact arithmetic then denies. The bound itself is summed with the limit as it is.
            let room = (0.01 * self.scale[at]).max(room);
            let hi = self.limits[at]
                .map_or(1e9, |limit| (limit - self.base_sum[at]) as f64 * self.scale[at] + room);
            self.lp.set_bounds(self.rows + at, -1e9, hi.max(-1e9));
        }
    }

    fn bound(&mut self, sum: usize, status: Status) -> Shown {
        self.room = None;
        let sums = self.program.sums.len();
        let scaled = |row: usize, amount: f64| {
            amount * if row < self.rows { self.row_scale[row] } else { self.scale[row - self.rows] }
        };
        if status == Status::Infeasible {
            let ray: Vec<f64> =
                self.lp.ray().iter().enumerate().map(|(row, &amount)| scaled(row, amount)).collect();
            let proven = self.lagrangian(&ray, None).is_some_and(|(value, _)| value > 0);
            return if proven { Shown::Nothing } else { Shown::Open };
        }
        let multipliers: Vec<f64> =
            (0..self.rows + sums).map(|row| scaled(row, self.lp.reduced(row)) / self.scale[sum]).collect();
        match self.lagrangian(&multipliers, Some(sum)) {
            Some((value, scale)) => {
                self.room = Some((value + i128::from(self.base_sum[sum]) * scale, scale));
                let up = (value + (scale - 1)).div_euclid(scale);
                i64::try_from(up).map_or(Shown::Open, |up| Shown::AtLeast(up + self.base_sum[sum]))
            }
            None => Shown::Open,
        }
    }

    /// The exact bound these multipliers give, times the scale they were rounded at.
    fn lagrangian(&mut self, multipliers: &[f64], sum: Option<usize>) -> Option<(i128, i128)> {
        let largest = multipliers.iter().fold(1e-9, |most: f64, amount| most.max(amount.abs()));
        let power = (52.0 - largest.log2()).floor().clamp(0.0, 60.0);
        let factor = power.exp2();
        let scale = 1_i128 << power as u32;
        let mut rounded: Vec<i64> =
            multipliers.iter().map(|amount| (amount * factor).round() as i64).collect();
        let mut total: i128 = 0;
        let mut size = 0.0;
        for (row, amount) in rounded.iter_mut().enumerate() {
            let (lo, hi) = self.row_range(row);
            let end = match (*amount > 0, lo, hi) {
                (true, Some(end), _) | (false, _, Some(end)) => end,
                _ => {
                    *amount = 0;
                    continue;
                }
            };
            total += i128::from(*amount) * i128::from(end);
            size += *amount as f64 * end as f64;
        }
        self.reduced.clear();
        self.reduced.resize(self.columns.len(), 0);
        for (at_column, column) in self.columns.iter().enumerate() {
            if column.lo == 0 && column.hi == 0 {
                continue;
            }
            let mut reduced = sum.map_or(0, |sum| i128::from(column.cost[sum]) * scale);
            for &(row, entry) in &column.entries {
                reduced -= i128::from(rounded[row]) * i128::from(entry);
            }
            for at in 0..self.program.sums.len() {
                if rounded[self.rows + at] != 0 {
                    reduced -= i128::from(rounded[self.rows + at]) * i128::from(column.cost[at]);
                }
            }
            self.reduced[at_column] = reduced;
            let end = if reduced > 0 { column.lo } else { column.hi };
            size += (reduced as f64 * end as f64).abs();
            if size.abs() > 1e36 {
                return None;
            }
            total += reduced * i128::from(end);
        }
        Some((total, scale))
    }

    fn row_range(&self, row: usize) -> (Option<i64>, Option<i64>) {
        if row < self.rows {
            let held = self.program.rows[row];
            let base = self.base_activity[row];
            (held.lo.map(|lo| lo - base), held.hi.map(|hi| hi - base))
        } else {
            let at = row - self.rows;
            (None, self.limits[at].map(|limit| limit - self.base_sum[at]))
        }
    }

    /// Between which values a column can lie if the sum of the last bound is not to pass `limit`; `None` if nothing is
    /// gained.
    fn narrowed(&self, column: usize, limit: i64) -> Option<(i64, i64)> {
        let (value, scale) = self.room?;
        let held = &self.columns[column];
        let reduced = self.reduced[column];
        let room = i128::from(limit) * scale - value;
        if room < 0 || reduced == 0 || held.lo >= held.hi {
            return None;
        }
        let steps = i64::try_from(room / reduced.abs()).ok()?;
        if steps >= held.hi - held.lo {
            return None;
        }
        Some(if reduced > 0 { (held.lo, held.lo + steps) } else { (held.hi - steps, held.hi) })
    }

    /// Columns of the program and sources at an even price that can be narrowed, with their new ranges.
    pub(super) fn narrowing(&self, limit: i64) -> (Vec<Range>, Vec<Range>) {
        let columns = (0..self.program.columns.len())
            .filter_map(|column| self.narrowed(column, limit).map(|(lo, hi)| (column, lo, hi)))
            .collect();
        let sources = self.active.iter().enumerate().filter_map(|(source, active)| match active[..] {
            [(column, segment)] if segment.is_one() => {
                let start = self.start[source].0;
                self.narrowed(column, limit).map(|(lo, hi)| (source, start + lo, start + hi))
            }
            _ => None,
        });
        (columns, sources.collect())
    }

    /// The value of the last solve, without the constants of the program.
    pub(super) fn objective(&self) -> f64 {
        self.lp.objective() / self.scale[self.objective] + self.base_sum[self.objective] as f64
    }

    /// Where a column stands.
    pub(super) fn value(&self, column: usize) -> f64 {
        self.lp.value(self.lp_index(column)) * self.size_of(column)
    }

    /// Units of a source that are counted as bought, where it stands.
    pub(super) fn pieces(&self, source: usize) -> f64 {
        let taken = self.active[source].iter();
        let counted = taken.map(|&(column, segment)| self.value(column) * segment.pieces as f64).sum::<f64>();
        self.start[source].0 as f64 + counted
    }

    /// Units and cash at which a source stands.
    pub(super) fn source(&self, source: usize) -> (f64, f64) {
        let (units, cash) = self.start[source];
        let mut at = (units as f64, cash as f64);
        for &(column, segment) in &self.active[source] {
            let taken = self.value(column);
            at.0 += taken * segment.units as f64;
            at.1 += taken * segment.cash as f64;
        }
        at
    }
}

/// The power of two nearest to a positive number.
fn power_near(size: f64) -> f64 {
    size.log2().round().exp2()
}

/// How rows and columns are scaled. Only what a worst branch is compared by is money among pieces, and would drown the
/// tolerances of the simplex.
fn scales(program: &Program<'_>) -> (Vec<f64>, Vec<f64>) {
    let mut rows = vec![1.0_f64; program.rows.len()];
    let mut columns = vec![1.0_f64; program.columns.len()];
    let mut of_worst = vec![false; program.rows.len()];
    for (at, column) in program.columns.iter().enumerate() {
        if column.kind == Kind::Worst {
            columns[at] = power_near((column.hi - column.lo).max(1) as f64);
            column.entries.iter().for_each(|&(row, _)| of_worst[row] = true);
        }
    }
    let mut largest = vec![0.0_f64; program.rows.len()];
    for (at, column) in program.columns.iter().enumerate() {
        for &(row, factor) in &column.entries {
            largest[row] = largest[row].max(factor.abs() as f64 * columns[at]);
        }
    }
    for (row, slot) in rows.iter_mut().enumerate() {
        if of_worst[row] {
            *slot = power_near(1.0 / largest[row].max(1.0));
        }
    }
    (rows, columns)
}
