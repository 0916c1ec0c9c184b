//! What each branch needs, piece by piece, with the line it is for.

use catalogue::{PartKind, Quantity};

use crate::branch::Branch;
use crate::context::Context;
use crate::fit::Fit;
use crate::graph::PartIx;
use crate::reason::{Place as PlaceName, Reason};
use crate::request_fault::RequestFault;
use crate::supersession::Reading;
use crate::unplaced_need::UnplacedNeeds;
use crate::value::{Shared, State, Value};

/// The line that a need is for.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum For {
    /// A place, by its index in the fit.
    Place(usize),
    /// Something without a place, in a unit of the request, with its reasons.
    Unit(usize, Box<[Reason]>),
}

/// Pieces of a part that are needed.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Need {
    /// What for.
    pub(crate) line: For,
    /// How many.
    pub(crate) quantity: Quantity,
    /// The parts that serve, the first before the others; pieces of several may be mixed.
    pub(crate) accepts: Vec<PartIx>,
}

/// The needs of one branch.
#[derive(Debug, Default)]
pub(crate) struct BranchNeeds {
    /// What is needed whatever is chosen.
    pub(crate) fixed: Vec<Need>,
    /// For each open variable of the fit: its index, and the needs of each of its open values.
    pub(crate) choices: Vec<(usize, Vec<Vec<Need>>)>,
}

/// The needs that a fit leaves to sourcing.
pub(crate) fn branch_needs(
    context: &Context<'_>,
    branch: &Branch,
    fit: &Fit<'_>,
) -> Result<BranchNeeds, RequestFault> {
    let mut needs = BranchNeeds::default();
    let mut unplaced = UnplacedNeeds::beside(context, branch, fit);
    for (variable, open) in fit.open.iter().enumerate() {
        let Some(values) = fit.values.get(variable) else {
            // A wish with several ways: the way itself needs nothing.
            if open.len() > 1 {
                needs.choices.push((variable, vec![Vec::new(); open.len()]));
            }
            continue;
        };
        let mut of_values = Vec::with_capacity(open.len());
        for value in open {
            of_values.push(value_needs(context, &mut unplaced, fit, variable, &values[*value])?);
        }
        match of_values.len() {
            1 => needs.fixed.append(&mut of_values[0]),
            _ => needs.choices.push((variable, of_values)),
        }
    }
    for unit in &context.units {
        for fluid in &context.graph.snapshot.fluids {
            if fluid.unit == unit.unit.unit && fluid.operation == unit.operation.operation {
                let Some(part) = context.graph.find(&fluid.part) else { continue };
                let reason = Reason::UsedByOperation {
                    operation: fluid.operation.clone(),
                    purpose: fluid.purpose.clone(),
                    grade: fluid.grade.clone(),
                };
                needs.fixed.extend(unplaced.of(unit.index, part, fluid.quantity, reason)?);
            }
        }
    }
    Ok(needs)
}

fn value_needs(
    context: &Context<'_>,
    unplaced: &mut UnplacedNeeds<'_, '_>,
    fit: &Fit<'_>,
    at: usize,
    value: &Value,
) -> Result<Vec<Need>, RequestFault> {
    if value.state != State::New || !bears_the_need(fit, at, value) {
        return Ok(Vec::new());
    }
    let mut needs: Vec<Need> = Vec::new();
    for (index, (part, quantity)) in value.fitted.iter().enumerate() {
        let mut accepts = vec![*part];
        if index == 0 {
            accepts.extend(value.also.iter().copied());
        }
        // One piece of a set or of a merge's new number fills all its positions.
        let quantity = match value.shared {
            Some(Shared::Set(_)) => Quantity::ONE,
            Some(Shared::Merge(..)) | None => *quantity,
        };
        needs.push(Need { line: For::Place(at), quantity, accepts });
        needs.extend(companions(context, unplaced, fit, at, *part, quantity)?);
    }
    Ok(needs)
}

/// Of the places that one piece fills, the first bears its need.
pub(crate) fn bears_the_need(fit: &Fit<'_>, at: usize, value: &Value) -> bool {
    let Some(shared) = value.shared else { return true };
    let unit = fit.places[at].unit;
    let first = (0..fit.places.len()).find(|place| {
        fit.places[*place].unit == unit
            && fit.values[*place].iter().any(|v| v.shared == Some(shared) && v.state == State::New)
    });
    first == Some(at)
}

/// Companions of a newly fitted part that have no place of their own in the unit.
fn companions(
    context: &Context<'_>,
    unplaced: &mut UnplacedNeeds<'_, '_>,
    fit: &Fit<'_>,
    at: usize,
    part: PartIx,
    quantity: Quantity,
) -> Result<Vec<Need>, RequestFault> {
    let placed: Vec<PartIx> = fit.companions[at].iter().map(|(_, companion)| *companion).collect();
    let place = &fit.places[at];
    let mut needs = Vec::new();
    for (companion, row) in context.graph.companions(part) {
        if placed.contains(companion) {
            continue;
        }
        let reason = Reason::Companion {
            of: context.graph.part(part).part.clone(),
            because: Some(PlaceName {
                unit: place.position.unit.clone(),
                position: place.position.position.clone(),
            }),
        };
        let pieces = row.quantity.times(quantity).unwrap_or(row.quantity);
        needs.extend(unplaced.of(place.unit, *companion, pieces, reason)?);
    }
    Ok(needs)
}

/// The numbers that serve where one stands without a position: its successor first, then those tied to it both ways.
pub(crate) fn accepted(
    context: &Context<'_>,
    branch: &Branch,
    unit: usize,
    part: PartIx,
) -> Result<Vec<PartIx>, RequestFault> {
    let reading = Reading {
        graph: context.graph,
        as_of: context.input.request.as_of,
        unit: Some(&context.units[unit]),
        branch: Some(branch),
    };
    let ways = reading.successors(part)?;
    let main = ways.first().and_then(|way| way.parts.first()).map_or(part, |(part, _)| *part);
    let mut accepts = vec![main];
    accepts.extend(reading.two_way_class(main).into_iter().filter(|other| *other != main));
    accepts.retain(|part| context.graph.part(*part).kind != PartKind::Kit && !context.ruled_out(*part));
    Ok(if accepts.is_empty() { vec![main] } else { accepts })
}
