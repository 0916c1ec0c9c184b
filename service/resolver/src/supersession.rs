//! Following notices: which numbers stand today where a number stood.
//!
//! A chain is as strong as its weakest link; interchange *none* stops it. Each row has a quantity factor. Effective dates
//! are held against the day of asking, serial and build conditions against the unit.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Interchange, Quantity, Supersession, SupersessionNeed, SupersessionShape};
use chrono::NaiveDate;

use crate::branch::Branch;
use crate::graph::{Graph, Notice, PartIx};
use crate::identify::KnownUnit;
use crate::request_fault::{RequestFault, RequestFaultKind};

/// Where and when notices are read.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Reading<'a, 'b> {
    /// The rows.
    pub(crate) graph: &'b Graph<'a>,
    /// The day of asking.
    pub(crate) as_of: NaiveDate,
    /// The unit, for conditions; `None` reads only rows without one.
    pub(crate) unit: Option<&'b KnownUnit<'a>>,
    /// What is taken to hold.
    pub(crate) branch: Option<&'b Branch>,
}

/// What stands today in place of one piece of a number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Successor {
    /// The numbers with their pieces for one old piece; several after a split.
    pub(crate) parts: Vec<(PartIx, Quantity)>,
    /// Rows of the notices on the way.
    pub(crate) rows: Vec<usize>,
    /// The row of the last merge on the way; then the pieces are those for one old set.
    pub(crate) merge: Option<usize>,
}

/// Splits one after the other that are followed; more is bad data, and would cost stack.
const SPLITS_MAX: usize = 64;

/// Most combinations of the ways behind the numbers of one split.
const COMBINATIONS_MAX: usize = 64;

/// Where a search among notices stands.
#[derive(Debug, Default)]
struct Walk {
    /// The numbers it came through, to name a circle.
    path: Vec<PartIx>,
    /// The same numbers.
    on_path: BTreeSet<PartIx>,
    /// What is known of numbers at which notices split.
    known: BTreeMap<PartIx, Vec<Successor>>,
    /// Splits above.
    splits: usize,
}

impl Walk {
    fn back_to(&mut self, depth: usize) {
        for part in self.path.drain(depth..) {
            self.on_path.remove(&part);
        }
    }
}

/// Two ways together; pieces of one part add up.
fn joined(a: &Successor, b: &Successor) -> Successor {
    let mut sum = a.clone();
    for (part, quantity) in &b.parts {
        match sum.parts.iter_mut().find(|(known, _)| known == part) {
            Some((_, pieces)) => *pieces += *quantity,
            None => sum.parts.push((*part, *quantity)),
        }
    }
    sum.rows.extend(&b.rows);
    sum
}

fn times(quantity: Quantity, notice: &Supersession) -> Result<Quantity, RequestFault> {
    quantity.times(notice.quantity).ok_or_else(too_large)
}

fn too_large() -> RequestFault {
    let detail = "the quantity factors of the notices that follow each other here are too large";
    RequestFault::new(RequestFaultKind::CatalogueFault, "", detail)
}

impl<'a> Reading<'a, '_> {
    /// Whether a row of a notice holds here and now.
    pub(crate) fn holds(&self, row: usize, notice: &Supersession) -> bool {
        if notice.effective_from > self.as_of {
            return false;
        }
        let conditional = notice.unit.is_some()
            || notice.serial_from.is_some()
            || notice.serial_to.is_some()
            || notice.built_from.is_some()
            || notice.built_to.is_some();
        let (Some(unit), Some(branch)) = (self.unit, self.branch) else {
            return !conditional;
        };
        if notice.unit.as_ref().is_some_and(|key| *key != unit.unit.unit) {
            return false;
        }
        if notice.unit.is_some() && !branch.holds(unit.index, notice.variant.as_ref()) {
            return false;
        }
        unit.in_range((notice.serial_from, notice.serial_to), (notice.built_from, notice.built_to))
            .or_else(|| branch.conditions.get(&(unit.index, row)).copied())
            .unwrap_or(false)
    }

    /// The rows of the notice by which a number gives way now: of several notices the latest. A notice that splits a number
    /// into all of several does not hold before the last of them is effective.
    pub(crate) fn next(&self, old: PartIx) -> Vec<Notice<'a>> {
        let all = self.graph.notices_from(old);
        let whole = |n: &Notice<'a>| {
            n.notice.shape != SupersessionShape::AllOf
                || all.iter().filter(|other| other.notice.notice == n.notice.notice).all(|other| {
                    other.notice.shape != SupersessionShape::AllOf
                        || other.notice.effective_from <= self.as_of
                })
        };
        let holds = |n: &Notice<'a>| n.new != old && self.holds(n.row, n.notice) && whole(n);
        let holding: Vec<Notice<'a>> = all.iter().copied().filter(holds).collect();
        let latest = holding.iter().map(|n| (n.notice.effective_from, &n.notice.notice)).max();
        let Some((_, latest)) = latest else { return Vec::new() };
        holding.iter().copied().filter(|n| n.notice.notice == *latest).collect()
    }

    /// What may be fitted today where a number stood; itself where no notice gives a successor that fits. Several where a
    /// notice leaves the choice.
    pub(crate) fn successors(&self, part: PartIx) -> Result<Vec<Successor>, RequestFault> {
        self.follow(part, &mut Walk::default())
    }

    /// The rows by which a number gives way to one that fits where it did. Of all that a split gives together none is left
    /// out: where one does not fit, the number stands.
    fn passable(&self, part: PartIx) -> Vec<Notice<'a>> {
        let fits = |n: &Notice<'a>| n.notice.interchange != Interchange::None;
        let next = self.next(part);
        let half = next.iter().any(|n| n.notice.shape == SupersessionShape::AllOf && !fits(n));
        if half { Vec::new() } else { next.into_iter().filter(fits).collect() }
    }

    /// A straight run of notices is walked in a loop, so that a long one costs no stack; only a split goes down a level.
    fn follow(&self, part: PartIx, walk: &mut Walk) -> Result<Vec<Successor>, RequestFault> {
        let depth = walk.path.len();
        let (mut at, mut rows, mut factor, mut merge) = (part, Vec::new(), Quantity::ONE, None);
        let mut ways = loop {
            if let Some(known) = walk.known.get(&at) {
                break known.clone();
            }
            let here = self.passable(at);
            let [row] = here.as_slice() else { break self.end_or_split(at, &here, walk)? };
            self.enter(at, walk)?;
            rows.push(row.row);
            // A merge gives its pieces for one old set, whatever the numbers before it gave for one piece.
            factor = match row.notice.shape {
                SupersessionShape::Merge => row.notice.quantity,
                _ => times(factor, row.notice)?,
            };
            if row.notice.shape == SupersessionShape::Merge {
                merge = Some(row.row);
            }
            at = row.new;
        };
        walk.back_to(depth);
        for way in &mut ways {
            way.rows.splice(0..0, rows.iter().copied());
            if way.merge.is_none() {
                way.merge = merge;
                for (_, quantity) in &mut way.parts {
                    *quantity = quantity.times(factor).ok_or_else(too_large)?;
                }
            }
        }
        Ok(ways)
    }

    fn end_or_split(
        &self,
        at: PartIx,
        rows: &[Notice<'a>],
        walk: &mut Walk,
    ) -> Result<Vec<Successor>, RequestFault> {
        let Some(first) = rows.first() else {
            self.not_twice(at, walk)?;
            return Ok(vec![Successor { parts: vec![(at, Quantity::ONE)], rows: Vec::new(), merge: None }]);
        };
        self.enter(at, walk)?;
        if walk.splits == SPLITS_MAX {
            let detail = format!(
                "notices split {SPLITS_MAX} times one after the other at {}; correct them in supersessions.csv",
                self.graph.part(at).part
            );
            return Err(RequestFault::new(RequestFaultKind::CatalogueFault, "", detail));
        }
        walk.splits += 1;
        let found = match first.notice.shape {
            SupersessionShape::AllOf => self.all_of(rows, walk)?,
            SupersessionShape::OneToOne | SupersessionShape::OneOf | SupersessionShape::Merge => {
                let mut ways: Vec<Successor> = Vec::new();
                for row in rows {
                    for way in self.step(row, walk)? {
                        if !ways.iter().any(|known| known.parts == way.parts && known.merge == way.merge) {
                            ways.push(way);
                        }
                    }
                }
                ways
            }
        };
        walk.splits -= 1;
        walk.known.insert(at, found.clone());
        Ok(found)
    }

    /// All numbers of a split together, in every combination of what leads on from each, up to a limit. A merge behind a split
    /// would drag in positions that the split knows nothing of: the number before it stands.
    fn all_of(&self, rows: &[Notice<'a>], walk: &mut Walk) -> Result<Vec<Successor>, RequestFault> {
        let mut together = vec![Successor { parts: Vec::new(), rows: Vec::new(), merge: None }];
        for row in rows {
            let mut ways = self.step(row, walk)?;
            ways.retain(|way| way.merge.is_none());
            if ways.is_empty() {
                let parts = vec![(row.new, row.notice.quantity)];
                ways.push(Successor { parts, rows: vec![row.row], merge: None });
            }
            let mut longer: Vec<Successor> = Vec::new();
            for (so_far, way) in together.iter().flat_map(|so_far| ways.iter().map(move |way| (so_far, way)))
            {
                let sum = joined(so_far, way);
                if longer.len() < COMBINATIONS_MAX && !longer.iter().any(|known| known.parts == sum.parts) {
                    longer.push(sum);
                }
            }
            together = longer;
        }
        Ok(together)
    }

    fn step(&self, row: &Notice<'a>, walk: &mut Walk) -> Result<Vec<Successor>, RequestFault> {
        let mut ways = self.follow(row.new, walk)?;
        let merges = row.notice.shape == SupersessionShape::Merge;
        for way in &mut ways {
            way.rows.insert(0, row.row);
            if way.merge.is_none() {
                way.merge = merges.then_some(row.row);
                for (_, quantity) in &mut way.parts {
                    *quantity = times(*quantity, row.notice)?;
                }
            }
        }
        Ok(ways)
    }

    fn enter(&self, part: PartIx, walk: &mut Walk) -> Result<(), RequestFault> {
        self.not_twice(part, walk)?;
        walk.path.push(part);
        walk.on_path.insert(part);
        Ok(())
    }

    fn not_twice(&self, part: PartIx, walk: &Walk) -> Result<(), RequestFault> {
        if !walk.on_path.contains(&part) {
            return Ok(());
        }
        let start = walk.path.iter().position(|seen| *seen == part).unwrap_or(0);
        let circle = walk.path[start..].iter().chain(std::iter::once(&part));
        let names: Vec<&str> = circle.map(|part| self.graph.part(*part).part.as_str()).collect();
        Err(RequestFault::new(
            RequestFaultKind::CatalogueFault,
            "",
            format!("notices lead in a circle: {}; correct them in supersessions.csv", names.join(" → ")),
        ))
    }

    /// The numbers on the way from one number to a successor, each with its pieces for one piece of the first and the row by
    /// which it gives way; up to a split, and before a merge.
    pub(crate) fn stops(&self, part: PartIx, way: &Successor) -> Vec<(PartIx, Quantity, usize)> {
        let mut stops = Vec::new();
        let (mut at, mut factor) = (part, Quantity::ONE);
        for row in &way.rows {
            let notice = &self.graph.snapshot.supersessions[*row];
            if self.graph.find(&notice.old) != Some(at) || notice.shape == SupersessionShape::Merge {
                break;
            }
            stops.push((at, factor, *row));
            let straight = matches!(notice.shape, SupersessionShape::OneToOne | SupersessionShape::OneOf);
            let Some((next, product)) =
                self.graph.find(&notice.new).zip(factor.times(notice.quantity)).filter(|_| straight)
            else {
                break;
            };
            (at, factor) = (next, product);
        }
        stops
    }

    /// All numbers that may stand where a number stood, by whatever notices hold: its successors, those that need further
    /// changes in this unit, and what two-way notices tie to any of them.
    pub(crate) fn reachable(&self, part: PartIx) -> BTreeSet<PartIx> {
        let mut found = BTreeSet::from([part]);
        let mut frontier = vec![part];
        while let Some(at) = frontier.pop() {
            let onward = self
                .next(at)
                .into_iter()
                .filter(|n| n.notice.interchange != Interchange::None || !self.needs(n.notice).is_empty())
                .map(|n| n.new);
            for other in onward.chain(self.tied_both_ways(at)) {
                if found.insert(other) {
                    frontier.push(other);
                }
            }
        }
        found
    }

    /// What a notice needs in the unit.
    pub(crate) fn needs(&self, notice: &Supersession) -> Vec<&'a SupersessionNeed> {
        let unit = self.unit.map(|unit| &unit.unit.unit);
        let needs = self.graph.notice_needs(notice.notice.as_str());
        needs.iter().copied().filter(|need| Some(&need.unit) == unit).collect()
    }

    /// Numbers that serve for a number and it for them, one piece for one piece: itself and all that two-way notices tie to
    /// it, by index.
    pub(crate) fn two_way_class(&self, part: PartIx) -> Vec<PartIx> {
        let mut class = BTreeSet::from([part]);
        let mut frontier = vec![part];
        while let Some(at) = frontier.pop() {
            frontier.extend(self.tied_both_ways(at).filter(|other| class.insert(*other)));
        }
        class.into_iter().collect()
    }

    fn tied_both_ways(&self, at: PartIx) -> impl Iterator<Item = PartIx> {
        let around = self.graph.notices_from(at).iter().chain(self.graph.notices_to(at));
        around
            .filter(|n| {
                n.notice.interchange == Interchange::TwoWay
                    && n.notice.shape == SupersessionShape::OneToOne
                    && n.notice.quantity == Quantity::ONE
                    && self.holds(n.row, n.notice)
            })
            .map(move |n| if n.old == at { n.new } else { n.old })
    }
}
