//! The matching itself, on plain indices: which counted pieces stand for which expected ones.
//!
//! The same number goes first: it takes as much as it can, whatever else would do with it. What is left is matched so that
//! as much as possible is stood for by proper successors, then by numbers interchangeable both ways; then as much as
//! possible is named an old number in the place of what lacks, then the closest number; then the numbers named are as close
//! as possible, and sound pieces stand before damaged ones. Ways of one piece for one piece are a flow of least cost; ways
//! with another quantity, and ways that need several numbers together, are taken in whole units of what was ordered, and
//! every number of them is tried.

use catalogue::Quantity;
use solver::flow::{Arc, Transport, least_cost};

/// How near pieces are to what was ordered, the nearest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Rank {
    /// The same number.
    Same,
    /// A proper successor.
    Successor,
    /// Interchangeable both ways.
    Interchangeable,
    /// An old number or one without interchange: named, not taken.
    Refused,
    /// The closest number: named, not taken.
    Closest,
}

impl Rank {
    /// Whether pieces of this rank stand for what was ordered.
    pub(super) fn is_accepted(self) -> bool {
        self <= Self::Interchangeable
    }
}

/// A line that was to come.
#[derive(Debug, Clone, Copy)]
pub(super) struct Demand {
    /// Its part, by any number.
    pub(super) part: usize,
    /// How many thousandths.
    pub(super) quantity: i64,
}

/// A line that was counted.
#[derive(Debug, Clone, Copy)]
pub(super) struct Supply {
    /// Its part, by the same numbers; unknown ones have a number that no other line has.
    pub(super) part: usize,
    /// Sound pieces, in thousandths.
    pub(super) sound: i64,
    /// Damaged pieces, in thousandths.
    pub(super) damaged: i64,
}

/// A way in which counted pieces stand for expected ones.
#[derive(Debug, Clone)]
pub(super) struct Way {
    /// How near.
    pub(super) rank: Rank,
    /// The parts that are stood for, and how many thousandths in one unit of the way.
    pub(super) expected: Vec<(usize, i64)>,
    /// The parts that stand for them, and how many thousandths in one unit of the way.
    pub(super) counted: Vec<(usize, i64)>,
    /// How far the numbers are from each other; nought but for the closest.
    pub(super) distance: u32,
}

impl Way {
    /// Whether it is one piece of one number for one piece of another.
    fn is_plain(&self) -> bool {
        matches!((self.expected.as_slice(), self.counted.as_slice()), ([(_, one)], [(_, other)]) if one == other)
    }
}

/// Pieces of a counted line for an expected line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Match {
    /// Index of the expected line.
    pub(super) demand: usize,
    /// Index of the counted line.
    pub(super) supply: usize,
    /// Index of the way; `None`: the same number.
    pub(super) way: Option<usize>,
    /// Thousandths of the counted line.
    pub(super) pieces: i64,
    /// Damaged ones among them.
    pub(super) damaged: i64,
    /// Thousandths of the expected line that they stand for.
    pub(super) stands_for: i64,
}

/// A matching.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Matching {
    /// Who stands for whom.
    pub(super) matches: Vec<Match>,
    /// Whether no other is better.
    pub(super) proven: bool,
}

/// Most combinations of ways that are no plain flow that are tried; a box has a handful.
const COMBINATIONS_MAX: usize = 2_000;

/// What a matching is judged by, smaller being better: minus what is stood for or named by successors, interchangeable
/// ones, old numbers and closest ones; then how far the closest are, then damaged pieces used.
pub(super) type Worth = [i64; 6];

/// Matches what was counted with what was to come.
pub(super) fn match_count(demands: &[Demand], supplies: &[Supply], ways: &[Way]) -> Matching {
    let mut state = State {
        demands: demands.iter().map(|demand| demand.quantity).collect(),
        sound: supplies.iter().map(|supply| supply.sound).collect(),
        damaged: supplies.iter().map(|supply| supply.damaged).collect(),
        matches: Vec::new(),
    };
    let table = Table { demands, supplies, ways };
    for (at, demand) in demands.iter().enumerate() {
        table.take(&mut state, at, demand.part, None, demand.quantity, demand.quantity);
    }
    let bundles: Vec<usize> = (0..ways.len()).filter(|way| !ways[*way].is_plain()).collect();
    let mut search = Search { table, bundles, best: None, tried: 0 };
    search.try_from(0, state.clone());
    let proven = search.tried < COMBINATIONS_MAX;
    let (_, mut best) = search.best.unwrap_or(([0; 6], state));
    best.matches.sort_by_key(|found| (found.supply, found.demand, found.way));
    Matching { matches: best.matches, proven }
}

/// What is left, and what was matched.
#[derive(Debug, Clone)]
struct State {
    demands: Vec<i64>,
    sound: Vec<i64>,
    damaged: Vec<i64>,
    matches: Vec<Match>,
}

#[derive(Clone, Copy)]
struct Table<'a> {
    demands: &'a [Demand],
    supplies: &'a [Supply],
    ways: &'a [Way],
}

impl Table<'_> {
    /// Takes up to so many thousandths of a part for a demand, sound ones first; `for_it` is what all of them stand for.
    fn take(
        &self,
        state: &mut State,
        demand: usize,
        part: usize,
        way: Option<usize>,
        wanted: i64,
        for_it: i64,
    ) {
        let (mut wanted, mut for_it) = (wanted, for_it);
        for damaged in [false, true] {
            for at in (0..self.supplies.len()).filter(|at| self.supplies[*at].part == part) {
                let left = if damaged { &mut state.damaged[at] } else { &mut state.sound[at] };
                let pieces = wanted.min(*left);
                if pieces == 0 {
                    continue;
                }
                *left -= pieces;
                // The last pieces stand for what is left, so that nothing is lost by rounding.
                let stands_for = if way.is_none() {
                    pieces
                } else if pieces == wanted {
                    for_it
                } else {
                    for_it * pieces / wanted
                };
                wanted -= pieces;
                for_it -= stands_for;
                state.demands[demand] -= stands_for;
                let damaged = if damaged { pieces } else { 0 };
                state.matches.push(Match { demand, supply: at, way, pieces, damaged, stands_for });
            }
        }
    }

    fn left_of(&self, state: &State, part: usize) -> i64 {
        let of_part = (0..self.supplies.len()).filter(|at| self.supplies[*at].part == part);
        of_part.map(|at| state.sound[at] + state.damaged[at]).sum()
    }

    fn lacking_of(&self, state: &State, part: usize) -> i64 {
        let of_part = (0..self.demands.len()).filter(|at| self.demands[*at].part == part);
        of_part.map(|at| state.demands[at]).sum()
    }

    /// How many units of a way are possible.
    fn most(&self, state: &State, way: &Way) -> i64 {
        let expected = way.expected.iter().map(|(part, each)| self.lacking_of(state, *part) / each);
        let counted = way.counted.iter().map(|(part, each)| self.left_of(state, *part) / each);
        expected.chain(counted).min().unwrap_or(0)
    }

    /// Takes so many units of a way that is no plain flow. Each number that stands for others is dealt to their lines one
    /// after the other; where several numbers stand for a line together, the first of them carries what they stand for.
    fn take_bundle(&self, state: &mut State, way: usize, units: i64) {
        let (expected, counted) = (&self.ways[way].expected, &self.ways[way].counted);
        for (at, (part, each)) in expected.iter().enumerate() {
            let mut lacking = units * each;
            for demand in (0..self.demands.len()).filter(|demand| self.demands[*demand].part == *part) {
                let share = lacking.min(state.demands[demand]);
                if share == 0 {
                    continue;
                }
                for (nth, (part, pieces)) in counted.iter().enumerate() {
                    // Of several old numbers that become one, the pieces are booked with the first.
                    let pieces = if at == 0 { share * pieces / each } else { 0 };
                    if pieces > 0 {
                        let stands_for = if nth == 0 { share } else { 0 };
                        self.take(state, demand, *part, Some(way), pieces, stands_for);
                    }
                }
                if at > 0 {
                    state.demands[demand] -= share;
                    let first =
                        counted.first().and_then(|(part, _)| {
                            state.matches.iter().rev().find(|found| {
                                found.way == Some(way) && self.supplies[found.supply].part == *part
                            })
                        });
                    if let Some(Match { supply, .. }) = first.copied() {
                        state.matches.push(Match {
                            demand,
                            supply,
                            way: Some(way),
                            pieces: 0,
                            damaged: 0,
                            stands_for: share,
                        });
                    }
                }
                lacking -= share;
            }
        }
    }

    /// Matches what is left by plain ways.
    fn flow(&self, state: &mut State) {
        let sources = self.supplies.len();
        let supplies: Vec<i64> = state.sound.iter().chain(&state.damaged).copied().collect();
        let mut arcs: Vec<Arc<6>> = Vec::new();
        let mut by: Vec<usize> = Vec::new();
        for (at, way) in self.ways.iter().enumerate().filter(|(_, way)| way.is_plain()) {
            let (expected, counted) = (way.expected[0].0, way.counted[0].0);
            let of_way = |supply: &usize| self.supplies[*supply].part == counted;
            for supply in (0..sources).filter(of_way) {
                for demand in (0..self.demands.len()).filter(|demand| self.demands[*demand].part == expected)
                {
                    for damaged in [false, true] {
                        let mut cost = named(way.rank, 1);
                        cost[4] = i64::from(way.distance);
                        cost[5] = i64::from(damaged);
                        let supply = if damaged { sources + supply } else { supply };
                        arcs.push(Arc { supply, demand, cost });
                        by.push(at);
                    }
                }
            }
        }
        let transport = Transport { supplies, demands: state.demands.clone(), arcs };
        let flow = least_cost(&transport);
        for ((arc, way), pieces) in transport.arcs.iter().zip(by).zip(flow).filter(|(_, pieces)| *pieces > 0)
        {
            let (supply, damaged) =
                if arc.supply < sources { (arc.supply, 0) } else { (arc.supply - sources, pieces) };
            let left = if damaged > 0 { &mut state.damaged[supply] } else { &mut state.sound[supply] };
            *left -= pieces;
            state.demands[arc.demand] -= pieces;
            let way = Some(way);
            state.matches.push(Match {
                demand: arc.demand,
                supply,
                way,
                pieces,
                damaged,
                stands_for: pieces,
            });
        }
    }
}

/// The entry of a rank in what a matching is worth.
fn named(rank: Rank, amount: i64) -> Worth {
    let mut worth = [0; 6];
    match rank {
        Rank::Same => {}
        Rank::Successor => worth[0] = -amount,
        Rank::Interchangeable => worth[1] = -amount,
        Rank::Refused => worth[2] = -amount,
        Rank::Closest => worth[3] = -amount,
    }
    worth
}

/// What matches are worth; the same number apart, which always takes the same.
pub(super) fn worth(matches: &[Match], ways: &[Way]) -> Worth {
    let mut sum: Worth = [0; 6];
    for found in matches {
        let Some(way) = found.way.map(|way| &ways[way]) else { continue };
        for (total, amount) in sum.iter_mut().zip(named(way.rank, found.stands_for)) {
            *total = total.saturating_add(amount);
        }
        sum[4] = sum[4].saturating_add(i64::from(way.distance).saturating_mul(found.pieces));
        sum[5] = sum[5].saturating_add(found.damaged);
    }
    sum
}

/// Tries every number of units of every way that is no plain flow.
struct Search<'a> {
    table: Table<'a>,
    bundles: Vec<usize>,
    best: Option<(Worth, State)>,
    tried: usize,
}

impl Search<'_> {
    fn try_from(&mut self, at: usize, state: State) {
        let Some(way) = self.bundles.get(at).copied() else {
            self.tried += 1;
            let mut state = state;
            self.table.flow(&mut state);
            let worth = worth(&state.matches, self.table.ways);
            if self.best.as_ref().is_none_or(|(best, _)| worth < *best) {
                self.best = Some((worth, state));
            }
            return;
        };
        for units in (0..=self.table.most(&state, &self.table.ways[way])).rev() {
            if self.tried >= COMBINATIONS_MAX {
                return;
            }
            let mut state = state.clone();
            self.table.take_bundle(&mut state, way, units);
            self.try_from(at + 1, state);
        }
    }
}

/// So many thousandths as a quantity.
pub(super) fn quantity(thousandths: i64) -> Quantity {
    Quantity::from_raw(thousandths)
}
