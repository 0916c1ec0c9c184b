//! Branch and bound: the best candidate of a program, proven level by level.
//!
//! A node is a set of decisions: which suppliers are used, between which quantities each source lies, what a choice
//! may take. The levels are compared one after the other in every node: as long as the bound of a level equals what
//! the best candidate has there, the next level is bounded with that value as a limit. A node goes as soon as a
//! bound is worse, or all are equal.

use super::candidate::{Candidate, Worth};
use super::program::{Kind, Level, Program, SUMS};
use super::relaxation::{Relaxation, Shown};
use super::source::Mask;
use super::{Aim, Budget, Signature};

/// A decision.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Change {
    /// A source lies between these units.
    Source(usize, i64, i64),
    /// A column lies between these values.
    Column(usize, i64, i64),
    /// Nothing is bought from this supplier.
    Close(u32),
    /// The supplier is used, its fixed cost counts.
    Open(u32),
}

enum Undo {
    Source(usize, i64, i64),
    Column(usize, i64, i64),
    Suppliers(Mask, Mask),
}

struct Frame {
    mark: usize,
    children: Vec<Vec<Change>>,
    bound: Option<i64>,
}

/// How a search ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Ended {
    /// The best is proven, or that there is none.
    Proven,
    /// The budget is spent; no plan is below this value of the first level.
    Spent(Option<i64>),
}

/// What a search found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Found {
    /// The best candidate and what it comes to.
    pub(super) best: Option<(Candidate, Worth)>,
    /// Whether that is proven.
    pub(super) ended: Ended,
}

/// What a search is asked.
pub(super) struct Question<'q> {
    /// Values the first levels must not pass, compared in order; the rest is free.
    pub(super) ceiling: Vec<i64>,
    /// Whether any candidate within the ceiling will do.
    pub(super) any_will_do: bool,
    /// Candidates with one of these signatures do not count.
    pub(super) excluded: &'q [Signature],
}

/// A search over one program.
pub(super) struct Search<'a, 'q> {
    pub(super) program: &'a Program<'a>,
    pub(super) relaxation: Relaxation<'a>,
    pub(super) question: Question<'q>,
    pub(super) closed: Mask,
    pub(super) open: Mask,
    pub(super) ranges: Vec<(i64, i64)>,
    pub(super) columns: Vec<(i64, i64)>,
    pub(super) best: Option<(Candidate, Worth)>,
    best_levels: Vec<i64>,
    trail: Vec<Undo>,
    dirty: Vec<usize>,
    is_dirty: Vec<bool>,
    steady_at: Option<Mask>,
    steady: Option<[i64; SUMS]>,
    frames: Vec<Frame>,
    required_at: Option<(Mask, Mask)>,
    required: (i64, i64),
    is_served: bool,
    /// The sum that was bounded last in the node, if there is something to compare it with.
    pub(super) focus: Option<Focus>,
    /// Whether plans with a purchase that could be left out do not count: where a credit could make one look good, or
    /// where it would pass for an alternative.
    idle_matters: bool,
    /// What dividing each source has brought so far.
    pub(super) gains: Vec<Gains>,
}

/// A sum being bounded in a node.
#[derive(Debug, Clone, Copy)]
pub(super) struct Focus {
    sum: usize,
    limits: [Option<i64>; SUMS],
    constant: i64,
}

/// What narrowing a source from above and from below has added to bounds, by unit of distance.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Gains {
    /// Sum and number of gains from above.
    pub(super) down: (f64, u32),
    /// Sum and number of gains from below.
    pub(super) up: (f64, u32),
}

impl<'a, 'q> Search<'a, 'q> {
    /// A search before its first node.
    pub(super) fn new(program: &'a Program<'a>, question: Question<'q>) -> Self {
        let count = program.sources.list.len();
        // The largest step depends on which suppliers are left, so ranges are open upwards at first.
        let ranges = vec![(0, i64::MAX); count];
        // Where one branch alone counts, plans only bound those of all branches.
        let idle_matters = program.counted.is_none()
            && (!question.excluded.is_empty() || program.problem.parts.iter().any(|part| part.credit > 0));
        Self {
            relaxation: Relaxation::new(program),
            question,
            closed: 0,
            open: 0,
            ranges,
            columns: program.columns.iter().map(|column| (column.lo, column.hi)).collect(),
            best: None,
            best_levels: Vec::new(),
            trail: Vec::new(),
            dirty: (0..count).collect(),
            is_dirty: vec![true; count],
            steady_at: None,
            steady: None,
            frames: Vec::new(),
            required_at: None,
            required: (0, 0),
            is_served: true,
            focus: None,
            idle_matters,
            gains: vec![Gains::default(); count],
            program,
        }
    }

    /// Starts from a candidate that is known to lie within the ceiling: only better ones are of interest.
    pub(super) fn starting_from(mut self, candidate: Candidate, worth: Worth) -> Self {
        self.best_levels = worth.levels(self.program);
        self.best = Some((candidate, worth));
        self
    }

    /// Searches until the best is proven or the budget is spent; counts nodes in `nodes`.
    pub(super) fn run(mut self, budget: &Budget<'_>, nodes: &mut u64) -> Found {
        self.frames.push(Frame { mark: 0, children: vec![Vec::new()], bound: None });
        while let Some(frame) = self.frames.last_mut() {
            let mark = frame.mark;
            if frame.children.is_empty() {
                self.frames.pop();
                self.undo_to(mark);
                continue;
            }
            if *nodes >= budget.max_nodes || (*nodes % 16 == 15 && budget.stop.is_some_and(|stop| stop())) {
                let waiting = self.frames.iter().filter(|frame| !frame.children.is_empty());
                let bound = waiting.map(|frame| frame.bound).min().flatten();
                return Found { best: self.best, ended: Ended::Spent(bound) };
            }
            let changes = frame.children.pop().unwrap_or_default();
            let known = frame.bound;
            *nodes += 1;
            self.undo_to(mark);
            if changes.into_iter().all(|change| self.apply(change)) {
                self.visit(known);
            }
            if self.satisfied() {
                break;
            }
        }
        Found { best: self.best, ended: Ended::Proven }
    }

    pub(super) fn satisfied(&self) -> bool {
        self.question.any_will_do && self.best.is_some()
    }

    /// Bounds the node, tries candidates, and leaves children on the stack if something is open.
    fn visit(&mut self, known: Option<i64>) {
        loop {
            let Some((bound, pruned)) = self.bound(known) else { return };
            if pruned {
                return;
            }
            if self.try_candidates() && !self.satisfied() {
                continue;
            }
            if self.satisfied() {
                return;
            }
            let mut children = self.branch();
            children.reverse();
            if children.is_empty() {
                let settled = self.settled();
                self.offer(settled);
            } else {
                let mark = self.trail.len();
                self.frames.push(Frame { mark, children, bound: bound.max(known) });
            }
            return;
        }
    }

    /// The candidate of a node in which everything is decided.
    fn settled(&self) -> Candidate {
        let program = self.program;
        let taken = |columns: &Vec<usize>| {
            columns.iter().position(|&column| self.columns[column].1 == 1).unwrap_or_default()
        };
        let choices: Vec<Vec<usize>> =
            program.value_columns.iter().map(|of_branch| of_branch.iter().map(taken).collect()).collect();
        let split = program
            .demands
            .demands
            .iter()
            .enumerate()
            .map(|(at, demand)| match &program.split_columns[at][..] {
                [] => vec![demand.quantity; demand.classes.len()],
                columns => columns.iter().map(|&column| self.columns[column].0).collect(),
            })
            .collect();
        let first_step = |(source, &(lo, hi)): (usize, &(i64, i64))| {
            let stairs = program.sources.stairs(program.problem, source, self.closed);
            stairs.between(lo, hi).first().map_or(0, |step| step.units)
        };
        let mut units: Vec<i64> = self.ranges.iter().enumerate().map(first_step).collect();
        for steady in &program.steady {
            let bought = program.best_step(steady.class, steady.required, self.closed);
            if let (Some(source), Some((bought, _))) = (program.sources.pool_of[steady.class], bought) {
                units[source] = bought;
            }
        }
        Candidate { closed: self.closed, units, choices, split }
    }

    /// What a level must not reach (`true`) or not pass (`false`) for the node to be of interest.
    fn limit(&self, level: usize) -> Option<i64> {
        if self.best.is_some() {
            self.best_levels.get(level).copied()
        } else {
            self.question.ceiling.get(level).copied()
        }
    }

    /// The bound of the first level and whether the node can go; `None` if nothing lies here.
    fn bound(&mut self, known: Option<i64>) -> Option<(Option<i64>, bool)> {
        let constants = self.settle()?;
        let mut limits = self.program.caps.sums;
        for (limit, constant) in limits.iter_mut().zip(constants) {
            *limit = limit.map(|limit| limit - constant);
        }
        let suppliers = i64::from(self.open.count_ones()) + self.required.1;
        if self.program.caps.suppliers.is_some_and(|most| suppliers > i64::from(most)) {
            return None;
        }
        let mut first = None;
        let mut solved = false;
        let levels = self.program.levels.len();
        self.focus = None;
        for level in 0..levels {
            let limit = self.limit(level);
            let value = match self.program.levels[level] {
                Level::Suppliers => Some(suppliers),
                Level::Sum(sum) => {
                    solved = true;
                    let enough = limit.map(|limit| limit - constants[sum]);
                    match self.relaxation.least(sum, without(limits, sum), enough) {
                        Shown::Nothing => return None,
                        Shown::AtLeast(value) => Some(self.rounded_up(sum, value + constants[sum])),
                        Shown::Open => {
                            if level == 0 {
                                known
                            } else {
                                None
                            }
                        }
                    }
                }
            };
            if level == 0 {
                first = value.max(known);
            }
            let Some(limit) = limit else { break };
            if let Level::Sum(sum) = self.program.levels[level] {
                self.focus = Some(Focus { sum, limits: without(limits, sum), constant: constants[sum] });
                // At the last level only what is better than the best plan is of interest.
                let better = level + 1 == levels && self.best.is_some();
                let target = limit - if better { self.program.grain[sum] } else { 0 };
                if value.is_some_and(|value| value <= target) {
                    self.narrow(target - constants[sum]);
                }
            }
            match value {
                Some(value) if value > limit => return Some((first, true)),
                Some(value) if value == limit => {
                    if let Level::Sum(sum) = self.program.levels[level] {
                        limits[sum] = Some(limit - constants[sum]);
                    }
                    if level + 1 == levels && self.best.is_some() {
                        return Some((first, true));
                    }
                }
                _ => break,
            }
        }
        if !solved && self.relaxation.least(0, limits, None) == Shown::Nothing {
            return None;
        }
        Some((first, false))
    }

    /// Takes the decisions that follow from the last bound if its sum is not to pass `limit`.
    fn narrow(&mut self, limit: i64) {
        let (columns, sources) = self.relaxation.narrowing(limit);
        for (column, lo, hi) in columns {
            // A combination or the worst branch follows from other columns; narrowing it would only cost time.
            if !matches!(self.program.columns[column].kind, Kind::Combination | Kind::Worst) {
                self.apply(Change::Column(column, lo, hi));
            }
        }
        for (source, lo, hi) in sources {
            self.apply(Change::Source(source, lo, hi));
        }
    }

    /// What the node comes to under one more decision, without staying in it: `None` if it can go. For comparing
    /// decisions only.
    pub(super) fn probe(&mut self, change: Change) -> Option<i64> {
        let focus = self.focus?;
        let mark = self.trail.len();
        let limit = self.limit_of(focus.sum)? - focus.constant;
        let mut value = None;
        if self.apply(change) && self.settle().is_some() {
            value = match self.relaxation.least(focus.sum, focus.limits, Some(limit)) {
                Shown::Nothing => None,
                Shown::AtLeast(value) => (value <= limit).then_some(value),
                Shown::Open => Some(i64::MIN),
            };
        }
        self.undo_to(mark);
        value
    }

    fn limit_of(&self, sum: usize) -> Option<i64> {
        let level = self.program.levels.iter().position(|&level| level == Level::Sum(sum))?;
        self.limit(level)
    }

    fn rounded_up(&self, sum: usize, value: i64) -> i64 {
        let grain = self.program.grain[sum];
        let rest = value.rem_euclid(grain);
        if rest == 0 { value } else { value + (grain - rest) }
    }

    /// Brings the relaxation up to the decisions; the constants of the sums, `None` if something cannot be had.
    fn settle(&mut self) -> Option<[i64; SUMS]> {
        while let Some(source) = self.dirty.pop() {
            self.is_dirty[source] = false;
            if self.program.is_steady[source] {
                continue;
            }
            let stairs = self.program.sources.stairs(self.program.problem, source, self.closed);
            let (lo, hi) = self.ranges[source];
            let steps = stairs.between(lo, hi);
            if steps.is_empty() {
                self.touch(source);
                return None;
            }
            self.relaxation.set_source(source, steps, stairs.even_price);
        }
        let mut constants = self.steady()?;
        let (required, _) = self.require()?;
        let fixed = self.program.sources.fixed_costs(self.open) + required;
        for (at, &aim) in self.program.sums.iter().enumerate() {
            constants[at] += self.program.base[at] + if aim == Aim::Surplus { 0 } else { fixed };
        }
        Some(constants)
    }

    /// What the classes outside the linear program come to under the closed suppliers.
    fn steady(&mut self) -> Option<[i64; SUMS]> {
        if self.steady_at != Some(self.closed) {
            self.steady_at = Some(self.closed);
            self.steady = self.program.steady.iter().try_fold([0; SUMS], |mut sum, steady| {
                let (_, cost) = self.program.best_step(steady.class, steady.required, self.closed)?;
                for (slot, amount) in sum.iter_mut().zip(cost) {
                    *slot += amount;
                }
                Some(sum)
            });
        }
        self.steady
    }

    /// Fixed costs and number of further suppliers the node cannot do without.
    fn require(&mut self) -> Option<(i64, i64)> {
        if self.required_at != Some((self.open, self.closed)) {
            self.required_at = Some((self.open, self.closed));
            let sources = &self.program.sources;
            let sets = &self.program.supplier_sets;
            let fixed = sets.least_weight(self.open, self.closed, &|bit| sources.fixed_of[bit as usize]);
            let count = sets.least_weight(self.open, self.closed, &|_| 1);
            self.is_served = fixed.is_some();
            self.required = (fixed.unwrap_or(0), count.unwrap_or(0));
        }
        self.is_served.then_some(self.required)
    }

    fn touch(&mut self, source: usize) {
        if !self.is_dirty[source] {
            self.is_dirty[source] = true;
            self.dirty.push(source);
        }
    }

    fn touch_suppliers(&mut self, mask: Mask) {
        for source in 0..self.ranges.len() {
            if self.program.sources.list[source].mask & mask != 0 {
                self.touch(source);
            }
        }
    }

    /// Takes a decision; `false` if it cannot hold.
    fn apply(&mut self, change: Change) -> bool {
        match change {
            Change::Source(source, lo, hi) => {
                let before = self.ranges[source];
                self.trail.push(Undo::Source(source, before.0, before.1));
                self.ranges[source] = (before.0.max(lo), before.1.min(hi));
                self.touch(source);
                self.ranges[source].0 <= self.ranges[source].1
            }
            Change::Column(column, lo, hi) => {
                let before = self.columns[column];
                self.trail.push(Undo::Column(column, before.0, before.1));
                let now = (before.0.max(lo), before.1.min(hi));
                self.columns[column] = now;
                if now.0 <= now.1 {
                    self.relaxation.set_column(column, now.0, now.1);
                }
                now.0 <= now.1
            }
            Change::Close(bit) | Change::Open(bit) => {
                self.trail.push(Undo::Suppliers(self.closed, self.open));
                let mask: Mask = 1 << bit;
                if matches!(change, Change::Close(_)) {
                    self.closed |= mask;
                    self.touch_suppliers(mask);
                } else {
                    self.open |= mask;
                }
                self.closed & self.open == 0
            }
        }
    }

    fn undo_to(&mut self, mark: usize) {
        while self.trail.len() > mark {
            match self.trail.pop() {
                Some(Undo::Source(source, lo, hi)) => {
                    self.ranges[source] = (lo, hi);
                    self.touch(source);
                }
                Some(Undo::Column(column, lo, hi)) => {
                    self.columns[column] = (lo, hi);
                    self.relaxation.set_column(column, lo, hi);
                }
                Some(Undo::Suppliers(closed, open)) => {
                    self.touch_suppliers(self.closed ^ closed);
                    (self.closed, self.open) = (closed, open);
                }
                None => return,
            }
        }
    }

    /// Keeps a candidate if it counts and is better than the best; whether it was.
    pub(super) fn offer(&mut self, candidate: Candidate) -> bool {
        let Some(worth) = self.program.worth(&candidate) else { return false };
        let caps = &self.program.caps;
        let capped = self.program.sums.iter().zip(caps.sums);
        if caps.suppliers.is_some_and(|most| worth.suppliers.count_ones() > most)
            || capped.into_iter().any(|(&aim, cap)| cap.is_some_and(|cap| worth.sum(aim) > cap))
        {
            return false;
        }
        let levels = worth.levels(self.program);
        let better = match &self.best {
            Some(_) => levels < self.best_levels,
            None => {
                let ceiling = &self.question.ceiling;
                levels.iter().zip(ceiling).find(|(a, b)| a != b).is_none_or(|(a, b)| a < b)
            }
        };
        if !better || !self.counts(&candidate) {
            return false;
        }
        self.best = Some((candidate, worth));
        self.best_levels = levels;
        true
    }

    fn counts(&self, candidate: &Candidate) -> bool {
        let kits = || {
            let list = self.program.sources.list.iter().zip(&candidate.units);
            let kits = list.filter(|(source, units)| source.is_kit && **units > 0);
            let mut kits: Vec<(usize, i64)> =
                kits.map(|(source, &units)| (source.offers[0], units)).collect();
            kits.sort_unstable();
            kits
        };
        !self.question.excluded.iter().any(|known| known.choices == candidate.choices && known.kits == kits())
            && (!self.idle_matters || self.program.buys_only_what_serves(candidate))
    }
}

/// Limits of the other sums: where a sum is made least, that it passes its limit shows in its value, which is surer than that
/// nothing lies within.
fn without(mut limits: [Option<i64>; SUMS], sum: usize) -> [Option<i64>; SUMS] {
    limits[sum] = None;
    limits
}
