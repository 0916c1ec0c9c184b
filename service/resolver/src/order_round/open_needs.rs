//! What an answer has decided on, as needs that can be met together with others.

use std::collections::BTreeSet;

use catalogue::{Code, PartKey, PartKind, Quantity, UnitKey};

use crate::answer::Answer;
use crate::graph::{Graph, PartIx};
use crate::input::Input;
use crate::supersession::Reading;

/// Pieces that an answer needs at one of its lines.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DecidedNeed {
    /// The unit.
    pub unit: UnitKey,
    /// The position; empty for fluids and companions without one.
    pub position: Option<Code>,
    /// The part that was decided on.
    pub part: PartKey,
    /// How many.
    pub quantity: Quantity,
    /// The numbers that serve, that one first.
    pub accepts: Vec<PartKey>,
}

/// The lines that an answer covers, each with the numbers that its frozen input lets serve: the one that was decided on,
/// and, where no joint speaks of the position, nobody asked for that very number and it brings nothing else along, those
/// that two-way notices tie to it.
///
/// The answer must be settled: one that leaves outcomes open needs one thing or another.
pub fn decided_needs(input: &Input, answer: &Answer) -> Vec<DecidedNeed> {
    let graph = Graph::new(&input.snapshot);
    let jointed: BTreeSet<(&UnitKey, &Code)> = input
        .snapshot
        .joints
        .iter()
        .flat_map(|joint| [(&joint.unit_a, &joint.position_a), (&joint.unit_b, &joint.position_b)])
        .collect();
    let needs = answer.sourcing.coverage.iter().map(|line| {
        let part = &line.part.part;
        let open = line.position.as_ref().is_none_or(|position| !jointed.contains(&(&line.unit, position)));
        let accepts = match graph.find(part).filter(|_| open && !named(input, &line.unit, part)) {
            Some(index) => tied(input, &graph, index),
            None => vec![part.clone()],
        };
        DecidedNeed {
            unit: line.unit.clone(),
            position: line.position.clone(),
            part: part.clone(),
            quantity: line.needed,
            accepts,
        }
    });
    needs.collect()
}

/// Whether the request asks for that very number in a unit.
fn named(input: &Input, unit: &UnitKey, part: &PartKey) -> bool {
    let of_unit = input.request.units.iter().filter(|asked| asked.unit == *unit);
    of_unit.flat_map(|asked| &asked.chosen).any(|chosen| chosen.any_of.contains(part))
}

/// A number and those that serve for it and it for them, with the same companions. Notices with a condition are left out:
/// whether it holds was for the answer to say.
fn tied(input: &Input, graph: &Graph<'_>, part: PartIx) -> Vec<PartKey> {
    let reading = Reading { graph, as_of: input.request.as_of, unit: None, branch: None };
    let brought = |part: PartIx| {
        let companions = graph.companions(part).iter();
        companions.map(|(companion, row)| (*companion, row.quantity)).collect::<Vec<_>>()
    };
    let own = brought(part);
    let mut accepts = vec![graph.part(part).part.clone()];
    for other in reading.two_way_class(part) {
        let row = graph.part(other);
        if other != part
            && row.kind != PartKind::Kit
            && brought(other) == own
            && !input.request.without_parts.contains(&row.part)
        {
            accepts.push(row.part.clone());
        }
    }
    accepts
}
