//! The joints of a snapshot between places of a branch.

use std::collections::BTreeMap;

use catalogue::Joint;

use crate::context::Context;
use crate::scope::Place;

/// A joint with the places at its ends.
#[derive(Debug, Clone, Copy)]
pub(crate) struct PlacedJoint<'a> {
    /// Its row in the snapshot.
    pub(crate) row: usize,
    /// The joint.
    pub(crate) joint: &'a Joint,
    /// The place at its first end.
    pub(crate) a: usize,
    /// The place at its second end.
    pub(crate) b: usize,
}

/// The joints whose ends both exist; a joint between units ties the first unit of each code.
pub(crate) fn placed_joints<'a>(context: &Context<'a>, places: &[Place<'a>]) -> Vec<PlacedJoint<'a>> {
    let mut at: BTreeMap<(usize, &str), usize> = BTreeMap::new();
    for (index, place) in places.iter().enumerate() {
        at.insert((place.unit, place.position.position.as_str()), index);
    }
    let mut found = Vec::new();
    for (row, joint) in context.graph.snapshot.joints.iter().enumerate() {
        let instances = |key: &'a catalogue::UnitKey| {
            context.units.iter().filter(move |unit| unit.unit.unit == *key).map(|unit| unit.index)
        };
        let pairs: Vec<(usize, usize)> = if joint.unit_a == joint.unit_b {
            instances(&joint.unit_a).map(|unit| (unit, unit)).collect()
        } else {
            instances(&joint.unit_a).next().zip(instances(&joint.unit_b).next()).into_iter().collect()
        };
        for (unit_a, unit_b) in pairs {
            let ends = at
                .get(&(unit_a, joint.position_a.as_str()))
                .zip(at.get(&(unit_b, joint.position_b.as_str())));
            if let Some((a, b)) = ends {
                found.push(PlacedJoint { row, joint, a: *a, b: *b });
            }
        }
    }
    found
}
