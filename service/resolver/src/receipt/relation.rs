//! How counted numbers are tied to expected ones: by notices, or by nothing but likeness.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Code, Interchange, PartKey, Quantity, SupersessionShape, key::normalised};

use super::input::ReceiptInput;
use super::matching::{Rank, Way};
use super::reason::ReceiptReason;
use crate::closest::distance;
use crate::graph::{Graph, PartIx};
use crate::supersession::{Reading, Successor};

/// The ways in which counted numbers may stand for expected ones, with their reasons.
pub(super) struct Relations {
    /// The ways.
    pub(super) ways: Vec<Way>,
    /// Why each holds, by its index.
    pub(super) reasons: Vec<ReceiptReason>,
    /// Faults of the catalogue that were met.
    pub(super) faults: BTreeSet<String>,
}

/// The numbers of a reconciliation: those of the catalogue by their place there, others behind them.
pub(super) struct Numbers {
    known: usize,
    others: BTreeMap<PartKey, usize>,
}

impl Numbers {
    /// Numbers all parts that were expected or counted.
    pub(super) fn of(input: &ReceiptInput) -> Self {
        let known = input.snapshot.parts.len();
        let expected = input.expected.iter().map(|line| &line.part);
        let counted = input.counted.iter().filter_map(|line| line.part.as_ref());
        let strange: BTreeSet<&PartKey> = expected.chain(counted).collect();
        let others = strange.into_iter().enumerate().map(|(at, part)| (part.clone(), known + at)).collect();
        Self { known, others }
    }

    /// The number of a part.
    pub(super) fn part(&self, graph: &Graph<'_>, part: &PartKey) -> usize {
        graph.find(part).or_else(|| self.others.get(part).copied()).unwrap_or(usize::MAX)
    }

    /// The number of a counted line whose part the catalogue does not know.
    pub(super) fn unknown(&self, line: usize) -> usize {
        self.known + self.others.len() + line
    }
}

/// Reads all ways off the notices of a day, and off the likeness of what they leave.
pub(super) fn relations(input: &ReceiptInput, graph: &Graph<'_>, numbers: &Numbers) -> Relations {
    let mut finder = Finder {
        reading: Reading { graph, as_of: input.as_of, unit: None, branch: None },
        input,
        numbers,
        found: Relations { ways: Vec::new(), reasons: Vec::new(), faults: BTreeSet::new() },
        tied: BTreeSet::new(),
        bundles: BTreeSet::new(),
    };
    let expected: BTreeSet<PartIx> =
        input.expected.iter().filter_map(|line| graph.find(&line.part)).collect();
    for part in &expected {
        finder.accepted(*part);
    }
    finder.refused();
    finder.closest();
    finder.found
}

/// Numbers with thousandths of each.
type Amounts = Vec<(usize, i64)>;

struct Finder<'a, 'b> {
    reading: Reading<'a, 'b>,
    input: &'b ReceiptInput,
    numbers: &'b Numbers,
    found: Relations,
    /// Expected and counted numbers that a plain way ties.
    tied: BTreeSet<(usize, usize)>,
    bundles: BTreeSet<(Amounts, Amounts)>,
}

impl Finder<'_, '_> {
    fn graph(&self) -> &Graph<'_> {
        self.reading.graph
    }

    fn key(&self, part: PartIx) -> PartKey {
        self.graph().part(part).part.clone()
    }

    fn notices(&self, rows: &[usize]) -> Vec<Code> {
        let mut notices: Vec<Code> = Vec::new();
        for row in rows {
            let notice = &self.graph().snapshot.supersessions[*row].notice;
            if notices.last() != Some(notice) {
                notices.push(notice.clone());
            }
        }
        notices
    }

    fn put(&mut self, way: Way, reason: ReceiptReason) {
        self.found.ways.push(way);
        self.found.reasons.push(reason);
    }

    /// A way of one number for one other.
    fn single(
        &mut self,
        rank: Rank,
        (ordered, part): (usize, usize),
        pieces: Quantity,
        reason: ReceiptReason,
    ) {
        if ordered == part || pieces <= Quantity::ZERO || !self.tied.insert((ordered, part)) {
            return;
        }
        let expected = vec![(ordered, Quantity::ONE.raw())];
        self.put(Way { rank, expected, counted: vec![(part, pieces.raw())], distance: 0 }, reason);
    }

    /// What may stand for an expected number: its successors, and what is interchangeable with them or with it.
    fn accepted(&mut self, ordered: PartIx) {
        let ways = match self.reading.successors(ordered) {
            Ok(ways) => ways,
            Err(fault) => {
                self.found.faults.insert(fault.detail);
                Vec::new()
            }
        };
        let mut stations: Vec<(PartIx, Quantity)> = vec![(ordered, Quantity::ONE)];
        for way in &ways {
            for (at, (part, pieces, _)) in self.reading.stops(ordered, way).into_iter().enumerate().skip(1) {
                stations.push((part, pieces));
                self.successor(ordered, part, pieces, &way.rows[..at]);
            }
            match (way.merge, way.parts.as_slice()) {
                (None, [(part, pieces)]) => {
                    stations.push((*part, *pieces));
                    self.successor(ordered, *part, *pieces, &way.rows);
                }
                (None, _) => self.split(ordered, way),
                (Some(row), _) => self.merge(ordered, way, row),
            }
        }
        for (station, pieces) in stations {
            for part in self.reading.two_way_class(station) {
                let reason =
                    ReceiptReason::InterchangeableBothWays { ordered: self.key(ordered), quantity: pieces };
                self.single(Rank::Interchangeable, (ordered, part), pieces, reason);
            }
        }
    }

    fn successor(&mut self, ordered: PartIx, part: PartIx, pieces: Quantity, rows: &[usize]) {
        let (ordered_key, notices) = (self.key(ordered), self.notices(rows));
        let reason = ReceiptReason::ProperSuccessor { ordered: ordered_key, notices, quantity: pieces };
        self.single(Rank::Successor, (ordered, part), pieces, reason);
    }

    fn bundle(
        &mut self,
        expected: Vec<(usize, i64)>,
        counted: Vec<(PartIx, Quantity)>,
        reason: ReceiptReason,
    ) {
        let counted: Amounts = counted.into_iter().map(|(part, pieces)| (part, pieces.raw())).collect();
        let whole = counted.iter().all(|(_, pieces)| *pieces > 0);
        if whole && self.bundles.insert((expected.clone(), counted.clone())) {
            self.put(Way { rank: Rank::Successor, expected, counted, distance: 0 }, reason);
        }
    }

    fn split(&mut self, ordered: PartIx, way: &Successor) {
        let reason = ReceiptReason::SplitTogether {
            ordered: self.key(ordered),
            notices: self.notices(&way.rows),
            together: way.parts.iter().map(|(part, _)| self.key(*part)).collect(),
        };
        self.bundle(vec![(ordered, Quantity::ONE.raw())], way.parts.clone(), reason);
    }

    /// One number for an old set, where all numbers of the set were ordered.
    fn merge(&mut self, ordered: PartIx, way: &Successor, row: usize) {
        let notice = &self.graph().snapshot.supersessions[row];
        if self.graph().find(&notice.old) != Some(ordered) {
            return;
        }
        let rows = self.graph().snapshot.supersessions.iter();
        let of_set = rows.filter(|other| other.notice == notice.notice && other.new == notice.new);
        let olds: BTreeSet<PartKey> = of_set.map(|other| other.old.clone()).collect();
        let all_ordered = olds.iter().all(|old| self.input.expected.iter().any(|line| line.part == *old));
        if !all_ordered {
            return;
        }
        let expected = olds
            .iter()
            .map(|old| (self.numbers.part(self.reading.graph, old), Quantity::ONE.raw()))
            .collect();
        let reason =
            ReceiptReason::MergedInto { ordered: olds.into_iter().collect(), notice: notice.notice.clone() };
        self.bundle(expected, way.parts.clone(), reason);
    }

    /// Old numbers that are refused because the interchange is one way, and numbers that a notice ties without interchange.
    fn refused(&mut self) {
        let counted: BTreeSet<PartIx> = self
            .input
            .counted
            .iter()
            .filter_map(|line| line.part.as_ref().and_then(|part| self.graph().find(part)))
            .collect();
        let expected: BTreeSet<PartIx> =
            self.input.expected.iter().filter_map(|line| self.graph().find(&line.part)).collect();
        for part in counted {
            let onward = self.onward(part);
            for ordered in &expected {
                let reason = match onward.get(ordered) {
                    Some(rows) => Some(ReceiptReason::InterchangeIsOneWay {
                        ordered: self.key(*ordered),
                        notices: self.notices(rows),
                    }),
                    None => self
                        .no_interchange(*ordered, part)
                        .map(|notice| ReceiptReason::NoInterchange { ordered: self.key(*ordered), notice }),
                };
                if let Some(reason) = reason {
                    self.single(Rank::Refused, (*ordered, part), Quantity::ONE, reason);
                }
            }
        }
    }

    /// The numbers that follow a number, with the rows of the notices that lead to them.
    fn onward(&self, part: PartIx) -> BTreeMap<PartIx, Vec<usize>> {
        let mut onward = BTreeMap::new();
        for way in self.reading.successors(part).unwrap_or_default() {
            for (at, (stop, _, _)) in self.reading.stops(part, &way).into_iter().enumerate().skip(1) {
                onward.entry(stop).or_insert_with(|| way.rows[..at].to_vec());
            }
            for (end, _) in &way.parts {
                onward.entry(*end).or_insert_with(|| way.rows.clone());
            }
        }
        onward.remove(&part);
        onward
    }

    fn no_interchange(&self, one: PartIx, other: PartIx) -> Option<Code> {
        let around = self.graph().notices_from(one).iter().chain(self.graph().notices_to(one));
        let mut found = around.filter(|notice| {
            (notice.old == other || notice.new == other)
                && notice.notice.interchange == Interchange::None
                && matches!(notice.notice.shape, SupersessionShape::OneToOne | SupersessionShape::OneOf)
                && self.reading.holds(notice.row, notice.notice)
        });
        found.next().map(|notice| notice.notice.notice.clone())
    }

    /// Likeness, for counted numbers that nothing ties to what was ordered.
    fn closest(&mut self) {
        let graph = self.reading.graph;
        let mut ordered: BTreeMap<usize, PartKey> = BTreeMap::new();
        for line in &self.input.expected {
            ordered.insert(self.numbers.part(graph, &line.part), line.part.clone());
        }
        let on_lists = todays_parts(self.input);
        let mut seen = BTreeSet::new();
        for (at, line) in self.input.counted.iter().enumerate() {
            let part = match &line.part {
                Some(key) => self.numbers.part(graph, key),
                None => self.numbers.unknown(at),
            };
            let is_tied = ordered.contains_key(&part)
                || self.found.ways.iter().any(|way| way.counted.iter().any(|(other, _)| *other == part))
                || line.part.as_ref().is_some_and(|key| on_lists.contains_key(key));
            if is_tied || !seen.insert(part) {
                continue;
            }
            let near: Vec<(usize, PartKey, u32)> = ordered
                .iter()
                .filter_map(|(number, key)| {
                    likeness(line.part.as_ref(), &line.written, key)
                        .map(|steps| (*number, key.clone(), steps))
                })
                .collect();
            for (number, key, steps) in near {
                let reason = ReceiptReason::ClosestNumber { ordered: key, distance: steps };
                let expected = vec![(number, Quantity::ONE.raw())];
                let counted = vec![(part, Quantity::ONE.raw())];
                self.put(Way { rank: Rank::Closest, expected, counted, distance: steps }, reason);
            }
        }
    }
}

/// By how many characters a counted number differs from an expected one; `None` where more than half differ.
fn likeness(part: Option<&PartKey>, written: &str, ordered: &PartKey) -> Option<u32> {
    let number = part.map_or_else(
        || normalised(written.rsplit_once('/').map_or(written, |(_, number)| number)),
        |part| part.number().to_owned(),
    );
    let steps = distance(&number, ordered.number());
    (steps <= (number.chars().count() / 2).max(1)).then(|| u32::try_from(steps).unwrap_or(u32::MAX))
}

/// The closest of the expected numbers to a counted one.
pub(super) fn closest_expected(input: &ReceiptInput, line: usize) -> Option<PartKey> {
    let counted = input.counted.get(line)?;
    let near = input.expected.iter().filter_map(|expected| {
        likeness(counted.part.as_ref(), &counted.written, &expected.part).map(|steps| (steps, &expected.part))
    });
    near.min().map(|(_, part)| part.clone())
}

/// The parts that today's lists of the ordered kits hold beyond what was frozen, with the kit.
pub(super) fn todays_parts(input: &ReceiptInput) -> BTreeMap<PartKey, PartKey> {
    let mut parts = BTreeMap::new();
    for frozen in &input.boxes {
        let today = super::contents::contents_of(&input.snapshot, &frozen.kit).unwrap_or_default();
        for content in today {
            if !frozen.contents.iter().any(|known| known.part == content.part) {
                parts.entry(content.part).or_insert_with(|| frozen.kit.clone());
            }
        }
    }
    parts
}
