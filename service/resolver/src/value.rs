//! What may stand at a position: what is kept, what may be fitted, or nothing.

use std::collections::BTreeMap;

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
    /// The new number of a merge, by the row of its notice.
    Merge(PartIx, usize),
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
        }
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

/// Makes the values of all places, counting off old stock that is used up as it goes.
pub(crate) struct Values<'c, 'a> {
    /// The context.
    pub(crate) context: &'c Context<'a>,
    /// What is taken to hold.
    pub(crate) branch: &'c Branch,
    /// Which upgrades are let in.
    pub(crate) upgrades: Upgrades,
    /// Old stock not yet counted off.
    left: BTreeMap<PartIx, Quantity>,
}

impl<'c, 'a> Values<'c, 'a> {
    /// Starts with all free stock.
    pub(crate) fn new(context: &'c Context<'a>, branch: &'c Branch, upgrades: Upgrades) -> Self {
        Self { context, branch, upgrades, left: context.free.clone() }
    }

    fn reading(&self, unit: usize) -> Reading<'a, 'c> {
        Reading {
            graph: self.context.graph,
            as_of: self.context.input.request.as_of,
            unit: Some(&self.context.units[unit]),
            branch: Some(self.branch),
        }
    }

    /// The values of a place. `asked` are the candidates that wishes name here, `jointed` tells whether a joint meets there.
    pub(crate) fn of(
        &mut self,
        place: &Place<'a>,
        asked: &[PartIx],
        jointed: bool,
    ) -> Result<Vec<Value>, RequestFault> {
        let mut values = Vec::new();
        if let (Some(inside), true) = (place.inside, place.must.is_empty()) {
            values.push(Value::kept(inside, self.quantity(place, inside), self.shared(place, inside)));
        }
        if place.position.only_with.is_some() || (place.inside.is_none() && place.must.is_empty()) {
            values.push(Value::absent());
        }
        let unit = &self.context.units[place.unit].unit.unit;
        for (part, candidate) in self.context.graph.candidates(unit, place.position.position.as_str()) {
            let let_in = asked.contains(part)
                || candidate.role != CandidateRole::Upgrade
                || self.upgrades == Upgrades::All;
            if let_in && self.branch.holds(place.unit, candidate.variant.as_ref()) {
                let quantity = candidate.quantity.unwrap_or_else(|| place.quantity());
                self.candidate(place, *part, candidate.role, quantity, jointed, &mut values)?;
            }
        }
        self.drop_what_cannot_be_had(&mut values, asked);
        Ok(values)
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

    fn candidate(
        &mut self,
        place: &Place<'a>,
        part: PartIx,
        role: CandidateRole,
        quantity: Quantity,
        jointed: bool,
        values: &mut Vec<Value>,
    ) -> Result<(), RequestFault> {
        let shared = self.shared(place, part);
        let reading = self.reading(place.unit);
        for way in reading.successors(part)? {
            let value = Value { listed: Some(part), role, rows: way.rows.clone(), ..Value::bare(State::New) };
            if let Some(value) = self.old_stock_first(&value, &way, part, quantity, shared) {
                push(values, value);
                continue;
            }
            if let Some(row) = way.merge {
                self.merge(place, value, &way, row, quantity, values);
                continue;
            }
            let Some(fitted) = times(&way.parts, quantity) else { continue };
            let new = Value { fitted, shared: shared.map(|_| Shared::Set(way.parts[0].0)), ..value };
            self.with_its_class(&reading, new, jointed, values);
        }
        self.with_needs(&reading, part, role, quantity, values);
        Ok(())
    }

    /// Old stock before new pieces, where a notice on the way says so and enough is left of the listed number.
    fn old_stock_first(
        &mut self,
        value: &Value,
        way: &Successor,
        part: PartIx,
        quantity: Quantity,
        shared: Option<Shared>,
    ) -> Option<Value> {
        if self.context.input.request.stock == StockUse::None || self.context.ruled_out(part) {
            return None;
        }
        let row = self.reading_use_up(way)?;
        let left = self.left.get_mut(&part).filter(|left| **left >= quantity)?;
        *left = *left - quantity;
        let fitted = vec![(part, quantity)];
        Some(Value { fitted, rows: Vec::new(), used_up: Some(row), shared, ..value.clone() })
    }

    fn reading_use_up(&self, way: &Successor) -> Option<usize> {
        way.rows
            .iter()
            .copied()
            .find(|row| self.context.graph.snapshot.supersessions[*row].use_old_until_gone)
    }

    /// The new number of a merge, at the positions that it fills together; and the old number off the shelf, which needs no
    /// other position to change.
    fn merge(
        &self,
        place: &Place<'a>,
        value: Value,
        way: &Successor,
        row: usize,
        quantity: Quantity,
        values: &mut Vec<Value>,
    ) {
        let (new, pieces) = way.parts[0];
        let old = value.listed;
        // All rows of the notice to this number stand for the one piece; the first names it.
        let notice = &self.context.graph.snapshot.supersessions[row].notice;
        let same = self.context.graph.notices_to(new).iter().filter(|n| n.notice.notice == *notice);
        let first_row = same.map(|n| n.row).min().unwrap_or(row);
        push(
            values,
            Value {
                fitted: vec![(new, pieces)],
                shared: Some(Shared::Merge(new, first_row)),
                ..value.clone()
            },
        );
        if let Some(old) = old.filter(|old| self.context.free_stock(*old) >= quantity) {
            push(
                values,
                Value {
                    fitted: vec![(old, quantity)],
                    rows: Vec::new(),
                    shared: self.shared(place, old),
                    ..value
                },
            );
        }
    }

    /// The value, and the numbers that two-way notices tie to it: as values of their own where a joint must be judged, as
    /// numbers that may be mixed where none meets.
    fn with_its_class(
        &self,
        reading: &Reading<'a, '_>,
        value: Value,
        jointed: bool,
        values: &mut Vec<Value>,
    ) {
        let [(main, quantity)] = value.fitted[..] else {
            push(values, value);
            return;
        };
        let class: Vec<PartIx> = reading
            .two_way_class(main)
            .into_iter()
            .filter(|p| *p != main && !self.context.ruled_out(*p))
            .collect();
        let had: Vec<PartIx> =
            class.into_iter().filter(|part| self.context.can_be_had(*part, Quantity::ONE)).collect();
        if !jointed {
            push(values, Value { also: had, ..value });
            return;
        }
        push(values, value.clone());
        for part in had {
            let shared = value.shared.map(|_| Shared::Set(part));
            let accepted = Some(Acceptance::Interchangeable);
            push(values, Value { fitted: vec![(part, quantity)], shared, accepted, ..value.clone() });
        }
    }

    /// A new number without interchange, where what its notice needs may change too.
    fn with_needs(
        &self,
        reading: &Reading<'a, '_>,
        part: PartIx,
        role: CandidateRole,
        quantity: Quantity,
        values: &mut Vec<Value>,
    ) {
        for next in reading.next(part) {
            let without = next.notice.interchange == Interchange::None;
            if without && !self.context.graph.notice_needs(next.notice.notice.as_str()).is_empty() {
                if let Some(fitted) = times(&[(next.new, next.notice.quantity)], quantity) {
                    push(
                        values,
                        Value {
                            fitted,
                            listed: Some(part),
                            role,
                            rows: vec![next.row],
                            needs_of: Some(next.row),
                            ..Value::bare(State::New)
                        },
                    );
                }
            }
        }
    }

    /// Drops new values that nobody can supply, unless nothing else is left; and, unless it was asked for, a new number with
    /// further needs where the old one can be had.
    fn drop_what_cannot_be_had(&self, values: &mut Vec<Value>, asked: &[PartIx]) {
        let had = |value: &Value| {
            value.fitted.iter().all(|(part, quantity)| {
                !self.context.ruled_out(*part)
                    && (self.context.can_be_had(*part, *quantity)
                        || value.also.iter().any(|other| self.context.can_be_had(*other, *quantity)))
            })
        };
        let is_new = |value: &Value| value.state == State::New;
        if values.iter().any(|value| is_new(value) && had(value)) {
            values.retain(|value| !is_new(value) || had(value));
        }
        values.retain(|value| {
            !value.fitted.iter().any(|(part, _)| is_new(value) && self.context.ruled_out(*part))
        });
        let asked_for = |value: &Value| value.main().is_some_and(|part| asked.contains(&part));
        if values.iter().any(|value| is_new(value) && value.needs_of.is_none() && had(value)) {
            values.retain(|value| value.needs_of.is_none() || asked_for(value));
        }
    }
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
