//! What a node is divided by.

use super::program::Kind;
use super::rounding::WHOLE;
use super::search::{Change, Search};

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

    /// A source that stands between two steps, or cheaper than its step: the one with most money in question.
    fn divide_source(&self) -> Option<Vec<Vec<Change>>> {
        let program = self.program;
        let mut best: Option<((bool, f64), usize, i64, bool)> = None;
        for source in 0..program.sources.list.len() {
            if program.is_steady[source] {
                continue;
            }
            let (lo, hi) = self.ranges[source];
            if lo >= hi {
                continue;
            }
            let (at, cash) = self.relaxation.source(source);
            let stairs = program.sources.stairs(program.problem, source, self.closed);
            let steps = stairs.between(lo, hi);
            if steps.len() < 2 {
                continue;
            }
            let above = steps.partition_point(|step| (step.units as f64) < at - WHOLE).min(steps.len() - 1);
            let step = &steps[above];
            let (score, lower, up_first) = if (step.units as f64 - at).abs() <= WHOLE {
                let gap = step.cash as f64 - cash;
                if gap <= 0.5 {
                    continue;
                }
                (gap, step.units, false)
            } else {
                let Some(below) = above.checked_sub(1).map(|place| &steps[place]) else { continue };
                let (from, to) = (below.units as f64, step.units as f64);
                let part = (at - from) / (to - from);
                let weight = (step.cash - below.cash).abs() as f64 + 1.0;
                (part.min(1.0 - part) * weight, below.units, part > 0.5)
            };
            // Loose quantities follow the kits, so kits are settled first.
            let score = (!program.sources.is_pool(source), score);
            if best.is_none_or(|(most, ..)| score > most) {
                best = Some((score, source, lower, up_first));
            }
        }
        let (_, source, lower, up_first) = best?;
        let (lo, hi) = self.ranges[source];
        let down = vec![Change::Source(source, lo, lower)];
        let up = vec![Change::Source(source, lower + 1, hi)];
        Some(if up_first { vec![up, down] } else { vec![down, up] })
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
