//! What was asked for: upgrades and parts by name, at the positions where they may stand.

use std::collections::BTreeSet;

use catalogue::{Code, Interchange, PartKind};

use crate::branch::Branch;
use crate::context::Context;
use crate::graph::PartIx;
use crate::kit_explosion::explode;
use crate::request_fault::{RequestFault, RequestFaultKind};
use crate::scope::Place;
use crate::supersession::Reading;
use crate::value::{State, Value};

/// One wish of the request: one of the alternatives must be fitted.
#[derive(Debug, Clone)]
pub(crate) struct Wish {
    /// JSON pointer to it.
    pub(crate) pointer: String,
    /// The alternatives.
    pub(crate) alternatives: Vec<Alternative>,
}

/// One way to meet a wish.
#[derive(Debug, Clone)]
pub(crate) struct Alternative {
    /// The number that was named.
    pub(crate) named: PartIx,
    /// Where it must stand.
    pub(crate) at: Vec<Stand>,
}

/// A number at a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Stand {
    /// The place.
    pub(crate) place: usize,
    /// The candidate from which it follows.
    pub(crate) listed: PartIx,
    /// The number; the candidate itself stands for whatever follows it.
    pub(crate) wanted: PartIx,
}

impl Stand {
    /// Whether a value at the place is what is wanted.
    pub(crate) fn is_met_by(&self, value: &Value) -> bool {
        value.state == State::New
            && value.listed == Some(self.listed)
            && (self.wanted == self.listed || value.fitted.iter().any(|(part, _)| *part == self.wanted))
    }
}

/// The wishes of a request in a branch. A part that may stand nowhere in any branch is a fault; one that may stand nowhere in
/// this branch is a wish without alternatives, which nothing can meet.
pub(crate) fn wishes(
    context: &Context<'_>,
    branch: &Branch,
    places: &[Place<'_>],
) -> Result<Vec<Wish>, RequestFault> {
    let mut wishes = Vec::new();
    for unit in &context.units {
        for (index, chosen) in unit.request.chosen.iter().enumerate() {
            let pointer = format!("/units/{}/chosen/{index}", unit.index);
            if chosen.any_of.is_empty() {
                let detail = "name at least one part, set or kit";
                return Err(RequestFault::new(
                    RequestFaultKind::BadValue,
                    format!("{pointer}/any_of"),
                    detail,
                ));
            }
            let mut alternatives = Vec::new();
            for (at, key) in chosen.any_of.iter().enumerate() {
                let pointer = format!("{pointer}/any_of/{at}");
                let named = context
                    .graph
                    .find(key)
                    .ok_or_else(|| not_for(context, unit.index, &pointer, key.as_str()))?;
                let parts = leaves(context, named)?;
                let wanted = chosen.position.as_ref();
                if !stands_anywhere(context, unit.index, &parts, wanted) {
                    return Err(not_for(context, unit.index, &pointer, key.as_str()));
                }
                let at = stands_at(context, branch, places, unit.index, &parts, wanted);
                if !at.is_empty() {
                    alternatives.push(Alternative { named, at });
                }
            }
            wishes.push(Wish { pointer, alternatives });
        }
    }
    Ok(wishes)
}

fn not_for(context: &Context<'_>, unit: usize, pointer: &str, key: &str) -> RequestFault {
    let unit = &context.units[unit];
    let known: Vec<Code> = context
        .graph
        .snapshot
        .candidates
        .iter()
        .filter(|c| c.unit == unit.unit.unit && c.role == catalogue::CandidateRole::Upgrade)
        .map(|c| Code::from_stored(c.part.as_str()))
        .collect();
    let mut fault = RequestFault::unknown(pointer, &format!("place in {} for", unit.unit.code), key, &known);
    if fault.suggestions.is_empty() && !known.is_empty() {
        let names: Vec<&str> = known.iter().map(Code::as_str).collect();
        fault.detail.push_str(&format!("; upgrades of this unit are {}", names.join(", ")));
    }
    fault
}

/// The part itself, or what lies in the kit.
fn leaves(context: &Context<'_>, named: PartIx) -> Result<Vec<PartIx>, RequestFault> {
    if context.graph.part(named).kind != PartKind::Kit {
        return Ok(vec![named]);
    }
    Ok(explode(context.graph, named)?.into_iter().map(|content| content.part).collect())
}

/// Whether any of the parts may stand in the unit, in whatever variant and by whatever notice.
fn stands_anywhere(context: &Context<'_>, unit: usize, parts: &[PartIx], wanted: Option<&Code>) -> bool {
    let graph = context.graph;
    let key = &context.units[unit].unit.unit;
    let mut ancestors: BTreeSet<PartIx> = parts.iter().copied().collect();
    let mut frontier = parts.to_vec();
    while let Some(at) = frontier.pop() {
        let before = graph.notices_to(at).iter().map(|n| n.old);
        let tied = graph.notices_from(at).iter().filter(|n| n.notice.interchange == Interchange::TwoWay);
        for other in before.chain(tied.map(|n| n.new)) {
            if ancestors.insert(other) {
                frontier.push(other);
            }
        }
    }
    graph
        .positions(key)
        .iter()
        .filter(|position| wanted.is_none_or(|wanted| position.position == *wanted))
        .flat_map(|position| graph.candidates(key, position.position.as_str()))
        .any(|(part, _)| ancestors.contains(part))
}

fn stands_at(
    context: &Context<'_>,
    branch: &Branch,
    places: &[Place<'_>],
    unit: usize,
    parts: &[PartIx],
    wanted: Option<&Code>,
) -> Vec<Stand> {
    let key = &context.units[unit].unit.unit;
    let reading = Reading {
        graph: context.graph,
        as_of: context.input.request.as_of,
        unit: Some(&context.units[unit]),
        branch: Some(branch),
    };
    let mut found = Vec::new();
    for (at, place) in places.iter().enumerate().filter(|(_, place)| place.unit == unit) {
        let position = &place.position.position;
        let candidates: Vec<PartIx> = context
            .graph
            .candidates(key, position.as_str())
            .iter()
            .filter(|(_, candidate)| branch.holds(unit, candidate.variant.as_ref()))
            .map(|(part, _)| *part)
            .collect();
        let listed = candidates.iter().copied().find(|part| parts.contains(part)).map(|part| (part, part));
        let followed = || {
            candidates.iter().copied().find_map(|candidate| {
                let reached = reading.reachable(candidate);
                parts.iter().copied().find(|part| reached.contains(part)).map(|part| (candidate, part))
            })
        };
        if let Some((part, names)) = listed.or_else(followed) {
            // A set fills all its positions, whichever of them was named.
            let set = context.graph.set_positions(key, part);
            let named =
                wanted.is_none_or(|wanted| wanted == position || set.iter().any(|s| s.position == *wanted));
            if named {
                found.push(Stand { place: at, listed: part, wanted: names });
            }
        }
    }
    found
}
