//! What may stand at a position: what is kept, what may be fitted, or nothing.

mod old_stock;

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{CandidateRole, Code, Interchange, PartKind, Quantity};

use crate::branch::Branch;
use crate::context::Context;
use crate::graph::PartIx;
use crate::reason::Acceptance;
use crate::request::StockUse;
use crate::request_fault::RequestFault;
use crate::scope::Place;
use crate::supersession::{Reading, Successor};

/// One value of a position.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Value {
    /// What happens.
    pub(crate) state: State,
    /// The parts that stand there with their pieces, the listed one's main successor first; empty: none.
    pub(crate) fitted: Vec<(PartIx, Quantity)>,
    /// Numbers that serve as well, piece for piece, where pieces of several may be mixed.
    pub(crate) also: Vec<PartIx>,
    /// The candidate from which the value follows.
    pub(crate) listed: Option<PartIx>,
    /// What the candidate is to the unit.
    pub(crate) role: CandidateRole,
    /// Rows of the notices from the candidate to what is fitted.
    pub(crate) rows: Vec<usize>,
    /// Why a number other than the listed one's successor is accepted.
    pub(crate) accepted: Option<Acceptance>,
    /// The row under which old stock is used up.
    pub(crate) used_up: Option<usize>,
    /// The row whose further needs must be met for this value.
    pub(crate) needs_of: Option<usize>,
    /// One piece that fills several positions: the set, or the new number of a merge.
    pub(crate) shared: Option<Shared>,
    /// The place whose newly fitted part brings this one along.
    pub(crate) companion_of: Option<usize>,
    /// Old stock where a merge is to be: only if the merge would change hard parts further.
    pub(crate) reluctant: bool,
}

/// What happens at a position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum State {
    /// What is inside stays.
    Kept,
    /// The position stays empty.
    Absent,
    /// A part is newly fitted.
    New,
}

/// One piece for several positions of a unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Shared {
    /// A set.
    Set(PartIx),
    /// The new number of a merge, by the first row of its notice and the first place of the group that it fills.
    Merge(PartIx, usize, usize),
}

impl Value {
    fn kept(part: PartIx, quantity: Quantity, shared: Option<Shared>) -> Self {
        Self { fitted: vec![(part, quantity)], shared, ..Self::bare(State::Kept) }
    }

    fn absent() -> Self {
        Self::bare(State::Absent)
    }

    fn bare(state: State) -> Self {
        Self {
            state,
            fitted: Vec::new(),
            also: Vec::new(),
            listed: None,
            role: CandidateRole::Original,
            rows: Vec::new(),
            accepted: None,
            used_up: None,
            needs_of: None,
            shared: None,
            companion_of: None,
            reluctant: false,
        }
    }

    /// Whether it is a part, or what follows it.
    pub(crate) fn stands_for(&self, part: PartIx) -> bool {
        self.listed == Some(part) || self.fitted.iter().any(|(fitted, _)| *fitted == part)
    }

    /// The part that stands there.
    pub(crate) fn main(&self) -> Option<PartIx> {
        self.fitted.first().map(|(part, _)| *part)
    }
}

/// Which candidates are let in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Upgrades {
    /// Only those asked for.
    Asked,
    /// All: nothing else lets the asked ones fit.
    All,
}

/// What wishes name at a place.
#[derive(Debug, Clone, Default)]
pub(crate) struct Asked {
    /// The candidates that are let in.
    pub(crate) listed: Vec<PartIx>,
    /// The numbers that were named: candidates, or what follows them.
    pub(crate) named: Vec<PartIx>,
}

/// Makes the values of all places, counting off old stock that is used up as it goes.
pub(crate) struct Values<'c, 'a> {
    context: &'c Context<'a>,
    branch: &'c Branch,
    upgrades: Upgrades,
    places: &'c [Place<'a>],
    /// Old stock not yet counted off.
    left: BTreeMap<PartIx, Quantity>,
    /// Sets of old stock counted off already, by unit.
    sets: BTreeSet<(usize, PartIx)>,
    /// Old stock of which there is not enough for all that must be renewed: where it goes is left to the plan.
    scarce: BTreeSet<PartIx>,
}

/// A candidate at a place, with how it may be fitted.
#[derive(Clone, Copy)]
struct Listed<'p, 'a> {
    place: &'p Place<'a>,
    part: PartIx,
    role: CandidateRole,
    quantity: Quantity,
    jointed: bool,
    asked: &'p Asked,
}

impl<'c, 'a> Values<'c, 'a> {
    /// Starts with all free stock.
    pub(crate) fn new(
        context: &'c Context<'a>,
        branch: &'c Branch,
        upgrades: Upgrades,
        places: &'c [Place<'a>],
    ) -> Self {
        let (left, sets, scarce) = (context.free.clone(), BTreeSet::new(), BTreeSet::new());
        Self { context, branch, upgrades, places, left, sets, scarce }
    }

    /// The values of all places. What must be renewed has the first hand on old stock. `jointed` tells where joints meet.
    pub(crate) fn all(
        mut self,
        asked: &[Asked],
        jointed: &BTreeSet<usize>,
    ) -> Result<Vec<Vec<Value>>, RequestFault> {
        self.scarce = self.scarce_old_stock(asked)?;
        let mut values = vec![Vec::new(); self.places.len()];
        for must in [true, false] {
            for (at, place) in self.places.iter().enumerate() {
                if place.must.is_empty() != must {
                    values[at] = self.of(place, &asked[at], jointed.contains(&at))?;
                }
            }
        }
        Ok(values)
    }

    fn reading(&self, unit: usize) -> Reading<'a, 'c> {
        Reading {
            graph: self.context.graph,
            as_of: self.context.input.request.as_of,
            unit: Some(&self.context.units[unit]),
            branch: Some(self.branch),
        }
    }

    fn of(&mut self, place: &Place<'a>, asked: &Asked, jointed: bool) -> Result<Vec<Value>, RequestFault> {
        let mut values = Vec::new();
        if let (Some(inside), true) = (place.inside, place.must.is_empty()) {
            values.push(Value::kept(inside, self.quantity(place, inside), self.shared(place, inside)));
        }
        if place.position.only_with.is_some() || (place.inside.is_none() && place.must.is_empty()) {
            values.push(Value::absent());
        }
        for listed in self.listed(place, asked, jointed) {
            self.candidate(listed, &mut values)?;
        }
        stay_with_their_needs(place, &mut values);
        self.drop_what_cannot_be_had(&mut values, asked);
        Ok(values)
    }

    /// The candidates of a place that are let in.
    fn listed<'p>(&self, place: &'p Place<'a>, asked: &'p Asked, jointed: bool) -> Vec<Listed<'p, 'a>> {
        let unit = &self.context.units[place.unit].unit.unit;
        let mut found = Vec::new();
        for (part, candidate) in self.context.graph.candidates(unit, place.position.position.as_str()) {
            let let_in = asked.listed.contains(part)
                || candidate.role != CandidateRole::Upgrade
                || self.upgrades == Upgrades::All;
            if let_in && self.branch.holds(place.unit, candidate.variant.as_ref()) {
                let quantity = candidate.quantity.unwrap_or_else(|| place.quantity());
                found.push(Listed { place, part: *part, role: candidate.role, quantity, jointed, asked });
            }
        }
        found
    }

    fn quantity(&self, place: &Place<'a>, part: PartIx) -> Quantity {
        let unit = &self.context.units[place.unit].unit.unit;
        let candidates = self.context.graph.candidates(unit, place.position.position.as_str());
        candidates
            .iter()
            .find(|(candidate, _)| *candidate == part)
            .and_then(|(_, candidate)| candidate.quantity)
            .unwrap_or_else(|| place.quantity())
    }

    fn shared(&self, place: &Place<'a>, part: PartIx) -> Option<Shared> {
        let unit = &self.context.units[place.unit].unit.unit;
        let fills = self.context.graph.set_positions(unit, part);
        fills.iter().any(|set| set.position == place.position.position).then_some(Shared::Set(part))
    }

    fn candidate(&mut self, listed: Listed<'_, 'a>, values: &mut Vec<Value>) -> Result<(), RequestFault> {
        let Listed { place, part, role, quantity, .. } = listed;
        let shared = self.shared(place, part);
        let reading = self.reading(place.unit);
        for way in reading.successors(part)? {
            let value = Value { listed: Some(part), role, rows: way.rows.clone(), ..Value::bare(State::New) };
            let old = self.old_stock_first(&reading, &value, &way, listed);
            let only = old.as_ref().is_some_and(|(_, only)| *only);
            if let Some((old, _)) = old {
                push(values, old);
            }
            if only {
                // Nothing new is bought while the old lasts.
            } else if let Some(row) = way.merge {
                self.merge(&reading, listed, value, (&way, row), values);
            } else if let Some(fitted) = times(&way.parts, quantity) {
                let value_of_old = value.clone();
                let new = Value { fitted, shared: shared.map(|_| Shared::Set(way.parts[0].0)), ..value };
                self.with_its_class(&reading, new, listed, values);
                self.old_both_ways(&reading, &way, listed, &value_of_old, values);
            }
            self.with_needs(&reading, listed, &way, values)?;
        }
        Ok(())
    }

    /// The new number of a merge, at the positions that it fills together; and the number before it off the shelf, which needs
    /// no other position to change: first where it is to be used until it is gone, else only if the merge is too much.
    fn merge(
        &mut self,
        reading: &Reading<'a, '_>,
        listed: Listed<'_, 'a>,
        value: Value,
        (way, row): (&Successor, usize),
        values: &mut Vec<Value>,
    ) {
        let Listed { place, part, quantity, .. } = listed;
        let rows = &self.context.graph.snapshot.supersessions;
        let notice = &rows[row];
        if let Some((group, fitted)) = self.merge_group(place, row).zip(times(&way.parts, quantity)) {
            // All rows of the notice stand for the one piece; the first names it.
            let first = rows.iter().position(|other| other.notice == notice.notice).unwrap_or(row);
            let shared = Some(Shared::Merge(fitted[0].0, first, group));
            push(values, Value { fitted, shared, reluctant: notice.use_old_until_gone, ..value.clone() });
        }
        let stops = reading.stops(part, way);
        let before = match stops.last() {
            None => Some((part, quantity)),
            Some((_, factor, last)) => {
                let pieces = factor.times(rows[*last].quantity).and_then(|each| each.times(quantity));
                self.context.graph.find(&rows[*last].new).zip(pieces)
            }
        };
        let Some((old, pieces)) = before.filter(|(old, _)| !self.context.ruled_out(*old)) else { return };
        if self.context.input.request.stock != StockUse::None
            && self.count_off(place.unit, old, pieces, false)
        {
            let used_up = notice.use_old_until_gone.then_some(row);
            let reluctant = used_up.is_none() && notice.interchange != Interchange::TwoWay;
            let (rows, shared) = (way.rows[..stops.len()].to_vec(), self.shared(place, old));
            push(values, Value { fitted: vec![(old, pieces)], rows, shared, used_up, reluctant, ..value });
        }
    }

    /// The group of places that a merge fills with a place, by its first: those that the notice names in the unit, or else
    /// those of the same sub-assembly. `None` where the notice names others.
    fn merge_group(&self, place: &Place<'a>, row: usize) -> Option<usize> {
        let named = merge_drags(self.context, place.unit, row);
        let together = |other: &Place<'a>| {
            other.unit == place.unit
                && match &named {
                    Some(named) => named.contains(&other.position.position),
                    None => other.position.subassembly == place.position.subassembly,
                }
        };
        self.places.iter().position(together).filter(|_| together(place))
    }

    /// The value, and the numbers that two-way notices tie to it: as values of their own where a joint must be judged, where
    /// other companions come with them or where they were named; else as numbers that may be mixed.
    fn with_its_class(
        &self,
        reading: &Reading<'a, '_>,
        value: Value,
        listed: Listed<'_, 'a>,
        values: &mut Vec<Value>,
    ) {
        let [(main, quantity)] = value.fitted[..] else {
            push(values, value);
            return;
        };
        let graph = self.context.graph;
        let brought =
            |part: PartIx| graph.companions(part).iter().map(|(c, row)| (*c, row.quantity)).collect();
        let of_main: Vec<(PartIx, Quantity)> = brought(main);
        let had = reading.two_way_class(main).into_iter().filter(|part| {
            *part != main && !self.context.ruled_out(*part) && self.context.can_be_had(*part, Quantity::ONE)
        });
        let named = |part: &PartIx| listed.asked.named.contains(part);
        let (mixed, apart): (Vec<PartIx>, Vec<PartIx>) = had
            .partition(|part| !listed.jointed && !named(part) && !named(&main) && brought(*part) == of_main);
        push(values, Value { also: mixed, ..value.clone() });
        for part in apart {
            let shared = value.shared.map(|_| Shared::Set(part));
            let accepted = Some(Acceptance::Interchangeable);
            push(values, Value { fitted: vec![(part, quantity)], shared, accepted, ..value.clone() });
        }
    }

    /// New numbers without interchange, where what their notice needs in this unit may change too.
    fn with_needs(
        &self,
        reading: &Reading<'a, '_>,
        listed: Listed<'_, 'a>,
        way: &Successor,
        values: &mut Vec<Value>,
    ) -> Result<(), RequestFault> {
        let ([(end, each)], None) = (&way.parts[..], way.merge) else { return Ok(()) };
        for next in reading.next(*end) {
            if next.notice.interchange != Interchange::None || reading.needs(next.notice).is_empty() {
                continue;
            }
            let pieces = each.times(next.notice.quantity).and_then(|each| each.times(listed.quantity));
            for onward in reading.successors(next.new)?.into_iter().filter(|onward| onward.merge.is_none()) {
                let Some(fitted) = pieces.and_then(|pieces| times(&onward.parts, pieces)) else { continue };
                let rows = way.rows.iter().chain(&[next.row]).chain(&onward.rows).copied().collect();
                let set = self.shared(listed.place, listed.part).map(|_| Shared::Set(fitted[0].0));
                push(
                    values,
                    Value {
                        fitted,
                        listed: Some(listed.part),
                        role: listed.role,
                        rows,
                        needs_of: Some(next.row),
                        shared: set,
                        ..Value::bare(State::New)
                    },
                );
            }
        }
        Ok(())
    }

    /// Drops new values that nobody can supply, unless nothing else is left; and, unless it was asked for, a new number with
    /// further needs where the old one can be had.
    fn drop_what_cannot_be_had(&self, values: &mut Vec<Value>, asked: &Asked) {
        let had = |value: &Value| {
            value.fitted.iter().all(|(part, quantity)| {
                let set = matches!(value.shared, Some(Shared::Set(_)));
                let pieces = if set { Quantity::ONE } else { *quantity };
                self.context.can_be_had(*part, pieces)
                    || value.also.iter().any(|other| self.context.can_be_had(*other, *quantity))
            })
        };
        let is_new = |value: &Value| value.state == State::New;
        let asked_for = |value: &Value| value.fitted.iter().any(|(part, _)| asked.named.contains(part));
        let ruled_out = |value: &Value| value.fitted.iter().any(|(part, _)| self.context.ruled_out(*part));
        values.retain(|value| !(is_new(value) && ruled_out(value)));
        if values.iter().any(|value| is_new(value) && had(value)) {
            values.retain(|value| !is_new(value) || had(value) || asked_for(value));
        }
        if values.iter().any(|value| is_new(value) && value.needs_of.is_none() && had(value)) {
            values.retain(|value| !is_new(value) || value.needs_of.is_none() || asked_for(value));
        }
    }
}

/// A number without interchange that is inside already: what its notice needs holds for it too, and it is not renewed with
/// the number that it took the place of.
fn stay_with_their_needs(place: &Place<'_>, values: &mut Vec<Value>) {
    let is_inside = |value: &Value| value.main().is_some() && value.main() == place.inside;
    let needs = |value: &Value| value.needs_of.filter(|_| value.state == State::New && is_inside(value));
    let Some(row) = values.iter().find_map(needs) else { return };
    let as_listed = |value: &Value| value.needs_of.is_none() && value.listed == place.inside;
    if values.iter().any(|value| value.state == State::New && as_listed(value)) {
        // It is a candidate of its own, too.
        return;
    }
    for value in values.iter_mut().filter(|value| value.state == State::Kept) {
        value.needs_of = Some(row);
    }
    let listed = values.iter().find(|value| needs(value).is_some()).and_then(|value| value.listed);
    values.retain(|value| value.state != State::New || value.listed != listed || value.needs_of.is_some());
}

/// Adds a value unless an equal way to fit the same parts is there.
fn push(values: &mut Vec<Value>, value: Value) {
    let same = |other: &Value| {
        other.state == value.state && other.fitted == value.fitted && other.shared == value.shared
    };
    if !values.iter().any(same) {
        values.push(value);
    }
}

/// Pieces for so many old ones.
fn times(parts: &[(PartIx, Quantity)], quantity: Quantity) -> Option<Vec<(PartIx, Quantity)>> {
    parts.iter().map(|(part, each)| each.times(quantity).map(|pieces| (*part, pieces))).collect()
}

/// Whether renewing a part that could be kept counts as a further change: hard parts, and sets of them.
pub(crate) fn is_hard(kind: PartKind) -> bool {
    match kind {
        PartKind::Hard | PartKind::Set => true,
        PartKind::Wear | PartKind::Consumable | PartKind::Kit => false,
    }
}

/// The position codes that a merge drags in: those its notice names, or else those of the same sub-assembly.
pub(crate) fn merge_drags(context: &Context<'_>, unit: usize, row: usize) -> Option<Vec<Code>> {
    let notice = &context.graph.snapshot.supersessions[row].notice;
    let key = &context.units[unit].unit.unit;
    let named: Vec<Code> = context
        .graph
        .notice_needs(notice.as_str())
        .iter()
        .filter(|need| need.unit == *key)
        .map(|need| need.position.clone())
        .collect();
    (!named.is_empty()).then_some(named)
}
