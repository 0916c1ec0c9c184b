//! What was asked for: upgrades and parts by name, at the positions where they may stand.

use catalogue::{Code, PartKind};

use crate::branch::Branch;
use crate::context::Context;
use crate::graph::PartIx;
use crate::kit_explosion::explode;
use crate::request_fault::{RequestFault, RequestFaultKind};
use crate::scope::Place;

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
    /// Places, and the candidate that must stand there (or what follows it).
    pub(crate) at: Vec<(usize, PartIx)>,
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

fn stands_anywhere(context: &Context<'_>, unit: usize, parts: &[PartIx], wanted: Option<&Code>) -> bool {
    let key = &context.units[unit].unit.unit;
    context.graph.positions(key).iter().filter(|p| wanted.is_none_or(|wanted| p.position == *wanted)).any(
        |p| context.graph.candidates(key, p.position.as_str()).iter().any(|(part, _)| parts.contains(part)),
    )
}

fn stands_at(
    context: &Context<'_>,
    branch: &Branch,
    places: &[Place<'_>],
    unit: usize,
    parts: &[PartIx],
    wanted: Option<&Code>,
) -> Vec<(usize, PartIx)> {
    let key = &context.units[unit].unit.unit;
    let mut found = Vec::new();
    for (at, place) in places.iter().enumerate().filter(|(_, place)| place.unit == unit) {
        let position = &place.position.position;
        let candidate = context
            .graph
            .candidates(key, position.as_str())
            .iter()
            .find(|(part, c)| parts.contains(part) && branch.holds(unit, c.variant.as_ref()));
        if let Some((part, _)) = candidate {
            // A set fills all its positions, whichever of them was named.
            let set = context.graph.set_positions(key, *part);
            let named =
                wanted.is_none_or(|wanted| wanted == position || set.iter().any(|s| s.position == *wanted));
            if named {
                found.push((at, *part));
            }
        }
    }
    found
}
