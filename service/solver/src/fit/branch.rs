//! Depth-first branch and bound, for what is too wide for exact tables.
//!
//! Variables are decided against the order of elimination. The tables of a split elimination then give, for every prefix,
//! a lower bound on all its completions by a few look-ups; only where they are not exact is there anything to search.

use super::eliminate::{Stopped, eliminate};
use super::k_best::Found;
use super::order::Order;
use super::problem::Budget;
use super::reduced::Reduced;
use super::tables::Tables;
use super::weight::Weight;

/// After how many nodes the caller is asked whether to go on.
const NODES_BETWEEN_QUESTIONS: u64 = 1 << 10;

/// What a search, or any other method, found out about some open variables.
#[derive(Debug, Clone)]
pub(super) struct Answer<W> {
    /// The best assignments, by cost, then by values.
    pub(super) found: Vec<Found<W>>,
    /// No assignment costs less.
    pub(super) bound: W,
    /// Whether `found` is all that was asked for, or all there is.
    pub(super) proven: bool,
}

/// What is searched for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wanted<W> {
    /// How many of the best assignments.
    pub(super) k: usize,
    /// If given: any one assignment that costs no more than this.
    pub(super) any_within: Option<W>,
    /// If given: only assignments in which this variable takes this value.
    pub(super) with: Option<(u32, u32)>,
}

/// Prepares the bounds: no table grows beyond what keeps all of them within the budget.
pub(super) fn bounds<'a, W: Weight>(
    reduced: &'a Reduced<W>,
    order: Order,
    budget: &Budget<'_>,
) -> Result<Tables<'a, W>, Stopped> {
    let most_cells = (budget.max_cells / (2 * reduced.len().max(1))).max(64);
    eliminate(reduced, order, most_cells, budget)
}

/// Searches. `nodes` is what is left of the budget.
pub(super) fn search<W: Weight>(
    tables: &Tables<'_, W>,
    wanted: Wanted<W>,
    budget: &Budget<'_>,
    nodes: &mut u64,
) -> Answer<W> {
    if tables.bound == W::FORBIDDEN {
        return Answer { found: Vec::new(), bound: W::FORBIDDEN, proven: true };
    }
    let mut search = Search {
        tables,
        wanted,
        values: vec![0; tables.reduced.len()],
        found: Vec::new(),
        levels: Vec::new(),
        sums: Vec::new(),
    };
    search.descend(tables.bound);
    let mut since_question = 0;
    while !search.levels.is_empty() {
        if *nodes == 0 || since_question == NODES_BETWEEN_QUESTIONS && budget.stopped() {
            return search.give_up();
        }
        since_question = if since_question == NODES_BETWEEN_QUESTIONS { 0 } else { since_question + 1 };
        if search.step() {
            *nodes -= 1;
        }
        if wanted.any_within.is_some() && !search.found.is_empty() {
            break;
        }
    }
    let bound = search.found.first().map_or(W::FORBIDDEN, |(cost, _)| *cost);
    Answer { found: search.found, bound, proven: true }
}

struct Search<'t, 'r, W> {
    tables: &'t Tables<'r, W>,
    wanted: Wanted<W>,
    values: Vec<u32>,
    found: Vec<Found<W>>,
    /// For each decided place, last in the order first: the values still to try with their bounds, the best one last.
    levels: Vec<Vec<(W, u32)>>,
    sums: Vec<W>,
}

impl<W: Weight> Search<'_, '_, W> {
    /// The place that is decided at the deepest level.
    fn position(&self) -> usize {
        self.tables.reduced.len() - self.levels.len()
    }

    /// Tries the next value of the deepest level; `false` if there was none.
    fn step(&mut self) -> bool {
        let position = self.position();
        let Some((bound, value)) = self.levels.last_mut().and_then(Vec::pop) else {
            self.levels.pop();
            return false;
        };
        let variable = self.tables.order.sequence[position] as usize;
        self.values[variable] = value;
        if self.can_improve(bound, position) {
            if position == 0 {
                self.keep(bound);
            } else {
                self.descend(bound);
            }
        }
        true
    }

    /// Opens the next level below a prefix with this bound.
    fn descend(&mut self, bound: W) {
        let position = self.tables.reduced.len() - self.levels.len() - 1;
        let variable = self.tables.order.sequence[position];
        let mut sums = std::mem::take(&mut self.sums);
        self.tables.sums(position, &self.values, &mut sums);
        let mut rest = bound;
        for group in self.tables.groups_at(position) {
            rest =
                rest.minus(self.tables.cells[self.tables.cell(self.tables.groups[group].out, &self.values)]);
        }
        let mut level: Vec<(W, u32)> = (0..sums.len() as u32)
            .filter(|&value| self.wanted.with.is_none_or(|(only, with)| only != variable || with == value))
            .map(|value| (rest.plus(sums[value as usize]), value))
            .filter(|&(bound, _)| bound != W::FORBIDDEN)
            .collect();
        level.sort_unstable_by(|a, b| b.cmp(a));
        self.levels.push(level);
        self.sums = sums;
    }

    /// Whether a completion of the values decided down to `position` can still be among the best.
    fn can_improve(&self, bound: W, position: usize) -> bool {
        if let Some(within) = self.wanted.any_within {
            return bound <= within;
        }
        if self.found.len() < self.wanted.k {
            return true;
        }
        let Some((cost, values)) = self.found.last() else { return false };
        if bound != *cost {
            return bound < *cost;
        }
        for (variable, &other) in values.iter().enumerate() {
            let decided = self.tables.order.position[variable] as usize >= position;
            let least = if decided { self.values[variable] } else { 0 };
            if least != other {
                return least < other;
            }
        }
        false
    }

    fn keep(&mut self, cost: W) {
        let entry = (cost, self.values.clone());
        let at = self.found.partition_point(|other| *other < entry);
        self.found.insert(at, entry);
        self.found.truncate(self.wanted.k);
    }

    /// The bound of what was not looked at.
    fn give_up(self) -> Answer<W> {
        let open = self.levels.iter().flatten().map(|&(bound, _)| bound).min();
        let found = self.found.first().map(|(cost, _)| *cost);
        let bound = open.into_iter().chain(found).min().unwrap_or(W::FORBIDDEN);
        Answer { found: self.found, bound, proven: false }
    }
}
