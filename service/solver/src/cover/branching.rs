//! What a node is divided by.

use super::Aim;
use super::program::Kind;
use super::rounding::WHOLE;
use super::search::{Change, Search};

/// Probes of a source after which its gains are relied upon.
const RELIABLE: u32 = 3;
/// The most probes in one node.
const PROBES: usize = 8;

/// A way to divide a source: at most `lower`, or more.
struct Split {
    source: usize,
    lower: i64,
    /// Where the source stands between the steps, 0 at the lower.
    part: f64,
    score: f64,
    kit: bool,
}

impl Search<'_, '_> {
    /// Decisions that divide the node, the one to follow first in front; empty if nothing is left to decide.
    pub(super) fn branch(&mut self) -> Vec<Vec<Change>> {
        if !self.relaxation.solved {
            return self.divide_anything();
        }
        self.divide_suppliers()
            .or_else(|| self.divide_source())
            .or_else(|| self.divide_column())
            .unwrap_or_else(|| self.divide_anything())
    }

    /// A supplier in use whose fixed cost is not yet counted, the dearest first.
    fn divide_suppliers(&self) -> Option<Vec<Vec<Change>>> {
        let fixed = &self.program.sources.fixed_of;
        let used = self.undecided_suppliers();
        let &(bit, _) = used.iter().max_by_key(|&&(bit, _)| (fixed[bit as usize], std::cmp::Reverse(bit)))?;
        let in_best = self.best.as_ref().is_some_and(|(_, worth)| worth.suppliers >> bit & 1 == 1);
        let (open, close) = (vec![Change::Open(bit)], vec![Change::Close(bit)]);
        Some(if in_best { vec![open, close] } else { vec![close, open] })
    }

    /// A source that stands between two steps, or cheaper than its step. Kits before loose purchases, which follow
    /// from them; of the kits the one whose both sides raise the bound most, by probing and by what is known of it.
    fn divide_source(&mut self) -> Option<Vec<Vec<Change>>> {
        let mut splits: Vec<Split> =
            (0..self.program.sources.list.len()).filter_map(|source| self.split_of(source)).collect();
        let kits = splits.iter().any(|split| split.kit);
        splits.retain(|split| split.kit == kits);
        splits.sort_by(|a, b| b.score.total_cmp(&a.score).then(a.source.cmp(&b.source)));
        if kits && self.focus.is_some() {
            return self.divide_by_gain(&splits);
        }
        splits.first().map(|split| self.both_sides(split))
    }

    fn both_sides(&self, split: &Split) -> Vec<Vec<Change>> {
        let (down, up) = self.sides(split);
        if split.part > 0.5 { vec![vec![up], vec![down]] } else { vec![vec![down], vec![up]] }
    }

    fn sides(&self, split: &Split) -> (Change, Change) {
        let (lo, hi) = self.ranges[split.source];
        (Change::Source(split.source, lo, split.lower), Change::Source(split.source, split.lower + 1, hi))
    }

    /// How a source can be divided, `None` if it stands at a step at its price with all its pieces.
    fn split_of(&self, source: usize) -> Option<Split> {
        let program = self.program;
        let (lo, hi) = self.ranges[source];
        if program.is_steady[source] || lo >= hi {
            return None;
        }
        let stairs = program.sources.stairs(program.problem, source, self.closed);
        let steps = stairs.between(lo, hi);
        if steps.len() < 2 {
            return None;
        }
        let (at, cash) = self.relaxation.source(source);
        let above = steps.partition_point(|step| (step.units as f64) < at - WHOLE).min(steps.len() - 1);
        let step = &steps[above];
        let kit = !program.sources.is_pool(source);
        if (step.units as f64 - at).abs() <= WHOLE {
            let gap = step.cash as f64 - cash;
            if gap > 0.5 {
                return Some(Split { source, lower: step.units, part: 0.0, score: gap, kit });
            }
            // Counted as fewer pieces than are bought: without this step, or with no less than it.
            let uncounted = step.units as f64 - self.relaxation.pieces(source);
            let below = &steps[above.checked_sub(1)?];
            let counts = program.sums.contains(&Aim::Surplus) && uncounted > 0.5;
            return counts.then_some(Split { source, lower: below.units, part: 1.0, score: uncounted, kit });
        }
        let below = &steps[above.checked_sub(1)?];
        let (from, to) = (below.units as f64, step.units as f64);
        let part = (at - from) / (to - from);
        let weight = (step.cash - below.cash).abs() as f64 + 1.0;
        Some(Split { source, lower: below.units, part, score: part.min(1.0 - part) * weight, kit })
    }

    fn divide_by_gain(&mut self, splits: &[Split]) -> Option<Vec<Vec<Change>>> {
        let base = self.relaxation.objective();
        let mut best: Option<(f64, usize)> = None;
        let mut probes = 0;
        for (at, split) in splits.iter().enumerate() {
            let known = self.gains[split.source];
            if known.down.1.min(known.up.1) < RELIABLE && probes < PROBES {
                probes += 1;
                let (down, up) = self.sides(split);
                let below = self.probe(down);
                let Some(below) = below else { return Some(vec![vec![up]]) };
                let Some(above) = self.probe(up) else { return Some(vec![vec![down]]) };
                let gains = &mut self.gains[split.source];
                gains.down.0 += (below as f64 - base).max(0.0) / split.part.max(0.01);
                gains.up.0 += (above as f64 - base).max(0.0) / (1.0 - split.part).max(0.01);
                gains.down.1 += 1;
                gains.up.1 += 1;
            }
            let gains = self.gains[split.source];
            let down = gains.down.0 / f64::from(gains.down.1.max(1)) * split.part;
            let up = gains.up.0 / f64::from(gains.up.1.max(1)) * (1.0 - split.part);
            let score = down.max(1.0) * up.max(1.0);
            if best.is_none_or(|(most, _)| score > most) {
                best = Some((score, at));
            }
        }
        best.map(|(_, at)| self.both_sides(&splits[at]))
    }

    /// A column between two whole numbers: values of choices first, then whether stock is spent, then splits.
    fn divide_column(&self) -> Option<Vec<Vec<Change>>> {
        let mut best: Option<((u8, f64), usize, f64)> = None;
        for (at, column) in self.program.columns.iter().enumerate() {
            let rank = match column.kind {
                Kind::Value(..) => 3,
                Kind::StockSpent => 2,
                Kind::Split(..) => 1,
                Kind::Stock | Kind::Combination | Kind::Worst => continue,
            };
            let value = self.relaxation.value(at);
            let part = value - value.floor();
            let off = part.min(1.0 - part);
            if off <= WHOLE || self.columns[at].0 >= self.columns[at].1 {
                continue;
            }
            if best.is_none_or(|(most, ..)| (rank, off) > most) {
                best = Some(((rank, off), at, value));
            }
        }
        let (_, column, value) = best?;
        Some(self.split_column(column, value))
    }

    fn split_column(&self, column: usize, value: f64) -> Vec<Vec<Change>> {
        let (lo, hi) = self.columns[column];
        let below = (value.floor() as i64).clamp(lo, hi - 1);
        let down = vec![Change::Column(column, lo, below)];
        let up = vec![Change::Column(column, below + 1, hi)];
        if value - below as f64 > 0.5 { vec![up, down] } else { vec![down, up] }
    }

    /// Divides by anything that is not yet settled: where the relaxation looks whole and yet is below the plan.
    fn divide_anything(&self) -> Vec<Vec<Change>> {
        let program = self.program;
        if let Some(children) = self.divide_suppliers() {
            return children;
        }
        let open = |column: usize| self.columns[column].0 < self.columns[column].1;
        let of_kind = |wanted: fn(Kind) -> bool| {
            (0..self.columns.len()).find(|&column| open(column) && wanted(program.columns[column].kind))
        };
        if let Some(column) = of_kind(|kind| matches!(kind, Kind::Value(..))) {
            return self.split_column(column, self.relaxation.value(column));
        }
        let list = &program.sources.list;
        let mut order: Vec<usize> = (0..list.len()).filter(|&source| !program.is_steady[source]).collect();
        order.sort_by_key(|&source| (!list[source].is_kit, source));
        for source in order {
            let (lo, hi) = self.ranges[source];
            let stairs = program.sources.stairs(program.problem, source, self.closed);
            let steps = stairs.between(lo, hi);
            if steps.len() < 2 {
                continue;
            }
            let (at, _) = self.relaxation.source(source);
            let here = steps.partition_point(|step| (step.units as f64) < at - WHOLE).min(steps.len() - 2);
            let lower = steps[here].units;
            let down = vec![Change::Source(source, lo, lower)];
            return vec![down, vec![Change::Source(source, lower + 1, hi)]];
        }
        match of_kind(|kind| matches!(kind, Kind::Split(..) | Kind::StockSpent)) {
            Some(column) => self.split_column(column, self.relaxation.value(column)),
            None => Vec::new(),
        }
    }
}
