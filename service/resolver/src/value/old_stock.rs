//! Old stock that is to be used until it is gone.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Interchange, Quantity, SupersessionShape};

use super::{Asked, Listed, Shared, Value, Values, push};
use crate::graph::PartIx;
use crate::reason::Acceptance;
use crate::request::StockUse;
use crate::request_fault::RequestFault;
use crate::supersession::{Reading, Successor};

impl<'a> Values<'_, 'a> {
    /// Old stock of which what must be renewed could take more than there is. Where stock competes at its value there is none:
    /// then old stock goes first at whatever place comes first, as nothing else would make it go.
    pub(super) fn scarce_old_stock(&self, asked: &[Asked]) -> Result<BTreeSet<PartIx>, RequestFault> {
        let mut wanted: BTreeMap<PartIx, Quantity> = BTreeMap::new();
        let mut sets: BTreeSet<(usize, PartIx)> = BTreeSet::new();
        if self.context.input.request.stock != StockUse::First {
            return Ok(BTreeSet::new());
        }
        for (place, asked) in self.places.iter().zip(asked).filter(|(place, _)| !place.must.is_empty()) {
            let mut here: BTreeMap<PartIx, Quantity> = BTreeMap::new();
            for listed in self.listed(place, asked, false) {
                let reading = self.reading(place.unit);
                let set = self.shared(place, listed.part).is_some();
                for way in reading.successors(listed.part)? {
                    for (old, needed, ..) in self.old_numbers(&reading, &way, listed) {
                        if !set || sets.insert((place.unit, old)) {
                            let known = here.entry(old).or_default();
                            *known = (*known).max(needed);
                        }
                    }
                }
            }
            for (old, needed) in here {
                *wanted.entry(old).or_default() += needed;
            }
        }
        wanted.retain(|old, wanted| *wanted > self.context.free_stock(*old));
        Ok(wanted.into_keys().collect())
    }

    /// The numbers on the way that are to be used until they are gone, with the pieces of the shelf and at the place, the row by
    /// which each gives way, and how many rows lead to it.
    fn old_numbers(
        &self,
        reading: &Reading<'a, '_>,
        way: &Successor,
        listed: Listed<'_, 'a>,
    ) -> Vec<(PartIx, Quantity, Quantity, usize, usize)> {
        let asked_for_the_new = way.parts.iter().any(|(part, _)| listed.asked.named.contains(part));
        if self.context.input.request.stock == StockUse::None || asked_for_the_new {
            return Vec::new();
        }
        let set = self.shared(listed.place, listed.part).is_some();
        let mut found = Vec::new();
        for (at, (old, factor, row)) in reading.stops(listed.part, way).into_iter().enumerate() {
            let used_up = self.context.graph.snapshot.supersessions[row].use_old_until_gone;
            let pieces = listed.quantity.times(factor).filter(|_| used_up && !self.context.ruled_out(old));
            if let Some(pieces) = pieces {
                found.push((old, if set { Quantity::ONE } else { pieces }, pieces, row, at));
            }
        }
        found
    }

    /// Old stock before new pieces: of the numbers on the way the first that is to be used until it is gone, where enough of
    /// it is left; and whether nothing else is to be fitted, as there is enough for all.
    pub(super) fn old_stock_first(
        &mut self,
        reading: &Reading<'a, '_>,
        value: &Value,
        way: &Successor,
        listed: Listed<'_, 'a>,
    ) -> Option<(Value, bool)> {
        let set = self.shared(listed.place, listed.part).is_some();
        for (old, needed, pieces, row, at) in self.old_numbers(reading, way, listed) {
            let scarce = self.scarce.contains(&old);
            let enough = match scarce {
                true => self.context.free_stock(old) >= needed,
                false => self.count_off(listed.place.unit, old, needed, set),
            };
            if enough {
                let value = Value {
                    fitted: vec![(old, pieces)],
                    rows: way.rows[..at].to_vec(),
                    used_up: Some(row),
                    shared: set.then_some(Shared::Set(old)),
                    ..value.clone()
                };
                return Some((value, !scarce));
            }
        }
        None
    }

    /// Numbers on the shelf whose notices hold both ways, but not one piece for one piece, or only for units such as this: each a value
    /// of its own, as its pieces are not mixed with the new ones.
    pub(super) fn old_both_ways(
        &self,
        reading: &Reading<'a, '_>,
        way: &Successor,
        listed: Listed<'_, 'a>,
        value: &Value,
        values: &mut Vec<Value>,
    ) {
        let rows = &self.context.graph.snapshot.supersessions;
        let [(main, _)] = way.parts[..] else { return };
        let class = reading.two_way_class(main);
        for (at, (old, factor, _)) in reading.stops(listed.part, way).into_iter().enumerate() {
            let both_ways = way.rows[at..].iter().all(|row| rows[*row].interchange == Interchange::TwoWay);
            let whole = way.rows[at..].iter().all(|row| rows[*row].shape != SupersessionShape::AllOf);
            let Some(pieces) = factor.times(listed.quantity).filter(|_| both_ways && whole) else { continue };
            let set = self.shared(listed.place, listed.part).is_some();
            let needed = if set { Quantity::ONE } else { pieces };
            let had = self.context.free_stock(old) >= needed && !self.context.ruled_out(old);
            if had && !class.contains(&old) {
                let value = Value {
                    fitted: vec![(old, pieces)],
                    rows: way.rows[..at].to_vec(),
                    accepted: (at > 0).then_some(Acceptance::Interchangeable),
                    shared: set.then_some(Shared::Set(old)),
                    ..value.clone()
                };
                push(values, value);
            }
        }
    }

    /// Takes old stock if enough is left; a set once for all its positions.
    pub(super) fn count_off(&mut self, unit: usize, old: PartIx, needed: Quantity, set: bool) -> bool {
        if set && self.sets.contains(&(unit, old)) {
            return true;
        }
        let Some(left) = self.left.get_mut(&old).filter(|left| **left >= needed) else { return false };
        *left = *left - needed;
        if set {
            self.sets.insert((unit, old));
        }
        true
    }
}
