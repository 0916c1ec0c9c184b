//! Where the companions of newly fitted parts stand.

use crate::branch::Branch;
use crate::context::Context;
use crate::graph::PartIx;
use crate::need::accepted;
use crate::request_fault::RequestFault;
use crate::scope::Place;
use crate::value::{Asked, State, Value};

/// For each place the places of its unit at which companions of what may be newly fitted there may stand: of the same
/// sub-assembly before others. Whatever supersession accepts stands for a companion.
pub(crate) fn companion_places(
    context: &Context<'_>,
    branch: &Branch,
    places: &[Place<'_>],
    values: &[Vec<Value>],
) -> Result<Vec<Vec<(usize, PartIx)>>, RequestFault> {
    let mut found: Vec<Vec<(usize, PartIx)>> = vec![Vec::new(); places.len()];
    for (at, values_at) in values.iter().enumerate() {
        for value in values_at.iter().filter(|value| value.state == State::New) {
            for (companion, _) in value.fitted.iter().flat_map(|(part, _)| context.graph.companions(*part)) {
                if found[at].iter().any(|(_, known)| known == companion) {
                    continue;
                }
                let accepts = accepted(context, branch, places[at].unit, *companion)?;
                let here = |other: &usize| {
                    *other != at
                        && places[*other].unit == places[at].unit
                        && values[*other].iter().any(|v| stands_for_any(v, *companion, &accepts))
                };
                let same = |other: &usize| {
                    places[*other].position.subassembly == places[at].position.subassembly && here(other)
                };
                if let Some(place) = (0..places.len()).find(same).or_else(|| (0..places.len()).find(here)) {
                    found[at].push((place, *companion));
                }
            }
        }
    }
    Ok(found)
}

/// Whether a value is a part, or one that supersession accepts for it.
pub(crate) fn stands_for_any(value: &Value, part: PartIx, accepts: &[PartIx]) -> bool {
    value.stands_for(part) || accepts.iter().any(|other| value.stands_for(*other))
}

/// Where a part could be kept that a newly fitted one elsewhere brings along, its renewal is a value of its own: companions
/// are never a further change.
pub(crate) fn bring_along(
    places: &[Place<'_>],
    asked: &[Asked],
    values: &mut [Vec<Value>],
    companions: &[Vec<(usize, PartIx)>],
) {
    for (host, brought) in companions.iter().enumerate() {
        for (at, _) in brought {
            if places[*at].must.is_empty() && asked[*at].listed.is_empty() {
                let renewed = |value: &&Value| value.state == State::New && value.companion_of.is_none();
                let new: Vec<Value> = values[*at]
                    .iter()
                    .filter(renewed)
                    .map(|value| Value { companion_of: Some(host), ..value.clone() })
                    .filter(|value| !values[*at].contains(value))
                    .collect();
                values[*at].extend(new);
            }
        }
    }
}
