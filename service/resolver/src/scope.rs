//! What the operation and the findings ask for, position by position, before any part is chosen.

use std::collections::BTreeMap;

use catalogue::{
    BenchKind, BenchValue, CandidateRole, Code, Grade, JointKind, Position, Quantity, Renewal, ScopeEffect,
};

use crate::branch::Branch;
use crate::context::Context;
use crate::graph::PartIx;
use crate::identify::KnownUnit;
use crate::reason::Reason;
use crate::request::Finding;
use crate::request_fault::{RequestFault, RequestFaultKind};

/// A position of a unit of the request, in one branch.
#[derive(Debug, Clone)]
pub(crate) struct Place<'a> {
    /// The unit of the request.
    pub(crate) unit: usize,
    /// The position.
    pub(crate) position: &'a Position,
    /// What is inside, as far as it is known.
    pub(crate) inside: Option<PartIx>,
    /// Why it must be renewed; empty: it may be kept.
    pub(crate) must: Vec<Reason>,
}

impl Place<'_> {
    /// How many pieces stand there, of a part that has no quantity of its own.
    pub(crate) fn quantity(&self) -> Quantity {
        self.position.quantity
    }
}

/// The positions that exist in a branch, in order of assembly unit by unit, with why each must be renewed.
pub(crate) fn places<'a>(context: &Context<'a>, branch: &Branch) -> Result<Vec<Place<'a>>, RequestFault> {
    let mut places = Vec::new();
    for unit in &context.units {
        let start = places.len();
        for position in context.graph.positions(&unit.unit.unit) {
            if branch.holds(unit.index, position.variant.as_ref()) {
                places.push(place(context, branch, unit, position));
            }
        }
        apply_findings(context, unit, &mut places[start..])?;
    }
    Ok(places)
}

fn place<'a>(
    context: &Context<'a>,
    branch: &Branch,
    unit: &KnownUnit<'a>,
    position: &'a Position,
) -> Place<'a> {
    let told = told_inside(context, unit, &position.position);
    let originals: Vec<PartIx> = context
        .graph
        .candidates(&unit.unit.unit, position.position.as_str())
        .iter()
        .filter(|(_, c)| c.role == CandidateRole::Original && branch.holds(unit.index, c.variant.as_ref()))
        .map(|(part, _)| *part)
        .collect();
    // A position that exists only with a part is empty unless that part, or its own, is known to be inside.
    let by_custom = if position.only_with.is_none() || only_with_is_inside(unit, position) {
        originals.first().copied().or_else(|| sole_candidate(context, unit, position))
    } else {
        None
    };
    let inside = told.or(by_custom);
    let mut place = Place { unit: unit.index, position, inside, must: Vec::new() };
    if position.only_with.is_none() || inside.is_some() {
        place.must = rules(context, unit, &place);
    }
    place
}

/// What the request says is inside at a position; a set that is inside at one of its positions is inside at all of them.
fn told_inside(context: &Context<'_>, unit: &KnownUnit<'_>, position: &Code) -> Option<PartIx> {
    let told = |at: &Code| unit.request.inside.iter().find(|inside| inside.position == *at);
    if let Some(inside) = told(position) {
        return context.graph.find(&inside.part);
    }
    unit.request.inside.iter().find_map(|inside| {
        let part = context.graph.find(&inside.part)?;
        let fills = context.graph.set_positions(&unit.unit.unit, part);
        let both = fills.iter().any(|set| set.position == inside.position)
            && fills.iter().any(|set| set.position == *position);
        both.then_some(part)
    })
}

fn only_with_is_inside(unit: &KnownUnit<'_>, position: &Position) -> bool {
    position
        .only_with
        .as_ref()
        .is_some_and(|part| unit.request.inside.iter().any(|inside| inside.part == *part))
}

/// The only candidate of a position without an original.
fn sole_candidate(context: &Context<'_>, unit: &KnownUnit<'_>, position: &Position) -> Option<PartIx> {
    match context.graph.candidates(&unit.unit.unit, position.position.as_str()) {
        [(part, _)] => Some(*part),
        _ => None,
    }
}

/// Why the operation renews a position: the rule of the part that is fitted goes before the position's.
fn rules(context: &Context<'_>, unit: &KnownUnit<'_>, place: &Place<'_>) -> Vec<Reason> {
    let part = place.inside.map(|part| context.graph.part(part));
    let own = part.and_then(|part| part.renewal.map(|rule| (rule, Some(part.part.clone()))));
    let custom = part.is_some_and(|part| part.class.single_use_by_custom());
    let (rule, whose, by_custom) = match (own, place.position.renewal) {
        (Some((rule, whose)), _) => (rule, whose, false),
        (None, Some(rule)) => (rule, None, false),
        (None, None) if custom => (Renewal::SingleUse, None, true),
        (None, None) => (Renewal::OnCondition, None, false),
    };
    let operation = unit.operation;
    let scope = context.graph.snapshot.operation_scope.iter().find(|row| {
        row.unit == operation.unit
            && row.operation == operation.operation
            && row.position == place.position.position
    });
    let mut reasons = Vec::new();
    if operation.overhaul && rule == Renewal::AlwaysAtOverhaul {
        reasons.push(Reason::AlwaysAtOverhaul { part: whose.clone() });
    }
    if rule == Renewal::SingleUse && (operation.overhaul || scope.is_some()) {
        reasons.push(Reason::SingleUseDisturbed {
            part: whose,
            operation: operation.operation.clone(),
            by_custom,
        });
    }
    if scope.is_some_and(|row| row.effect == ScopeEffect::Renews) {
        reasons.push(Reason::OperationRenews { operation: operation.operation.clone() });
    }
    reasons
}

fn apply_findings<'a>(
    context: &Context<'a>,
    unit: &KnownUnit<'a>,
    places: &mut [Place<'a>],
) -> Result<(), RequestFault> {
    let at: BTreeMap<&Code, usize> =
        places.iter().enumerate().map(|(at, place)| (&place.position.position, at)).collect();
    for (index, finding) in unit.request.findings.iter().enumerate() {
        let pointer = |field: &str| format!("/units/{}/findings/{index}{field}", unit.index);
        let known = context.graph.positions(&unit.unit.unit).iter().map(|position| &position.position);
        if !known.clone().any(|position| *position == finding.position) {
            let what = format!("position of {}", unit.unit.code);
            return Err(RequestFault::unknown(pointer("/position"), &what, finding.position.as_str(), known));
        }
        if finding.grade.is_none() && finding.measured.is_none() {
            return Err(RequestFault::new(
                RequestFaultKind::BadValue,
                pointer(""),
                "a finding needs a grade, or a measured value with its bench value",
            ));
        }
        if let (Some(grade), Some(at)) = (finding.grade, at.get(&finding.position))
            && grade != Grade::Good
        {
            places[*at].must.push(Reason::Finding { grade });
        }
        if let Some(measured) = finding.measured {
            let value = bench_value(context, unit, finding, measured, &pointer)?;
            if let Some(limit) = past_limit(value, measured) {
                for position in renewed_past_limit(context, unit, value) {
                    if let Some(at) = at.get(position) {
                        places[*at].must.push(Reason::PastLimit {
                            position: value.position.clone(),
                            bench_value: value.bench_value.clone(),
                            measured,
                            limit,
                        });
                    }
                }
            }
        }
    }
    Ok(())
}

fn bench_value<'a>(
    context: &Context<'a>,
    unit: &KnownUnit<'a>,
    finding: &Finding,
    measured: f64,
    pointer: &dyn Fn(&str) -> String,
) -> Result<&'a BenchValue, RequestFault> {
    if !measured.is_finite() {
        return Err(RequestFault::new(
            RequestFaultKind::BadValue,
            pointer("/measured"),
            "this is not a number",
        ));
    }
    let values: Vec<&BenchValue> = context
        .graph
        .snapshot
        .bench_values
        .iter()
        .filter(|value| value.unit == unit.unit.unit && value.position == finding.position)
        .collect();
    let wanted = finding.bench_value.as_ref();
    let found = match wanted {
        Some(code) => values.iter().find(|value| value.bench_value == *code),
        None => values.iter().find(|_| values.len() == 1),
    };
    found.copied().ok_or_else(|| {
        let what = format!("bench value at {} of {}", finding.position, unit.unit.code);
        let known = values.iter().map(|value| &value.bench_value);
        RequestFault::unknown(pointer("/bench_value"), &what, wanted.map_or("", Code::as_str), known)
    })
}

/// The limit that a value has passed. A value on the limit is still good. The limit is an upper one unless it lies below the
/// values of a new part.
fn past_limit(value: &BenchValue, measured: f64) -> Option<f64> {
    let limit = value.wear_limit?;
    let lower = match (value.minimum, value.maximum) {
        (Some(least), Some(most)) => limit <= least && limit < most,
        (Some(least), None) => limit <= least,
        (None, most) => most.is_some_and(|most| limit < most),
    };
    let past = if lower { measured < limit } else { measured > limit };
    past.then_some(limit)
}

/// What a value past its limit renews: what the data name; if they name none, its own position, and for the backlash of a
/// pair its mates too.
fn renewed_past_limit<'a>(
    context: &Context<'a>,
    unit: &KnownUnit<'a>,
    value: &'a BenchValue,
) -> Vec<&'a Code> {
    let snapshot = context.graph.snapshot;
    let named: Vec<&Code> = snapshot
        .bench_renewals
        .iter()
        .filter(|row| {
            row.unit == value.unit && row.position == value.position && row.bench_value == value.bench_value
        })
        .map(|row| &row.renews)
        .collect();
    if !named.is_empty() {
        return named;
    }
    let mut renewed = vec![&value.position];
    if value.kind == BenchKind::Backlash {
        for joint in snapshot.joints.iter().filter(|joint| joint.kind == JointKind::Mesh) {
            let key = &unit.unit.unit;
            if joint.unit_a == *key && joint.position_a == value.position && joint.unit_b == *key {
                renewed.push(&joint.position_b);
            } else if joint.unit_b == *key && joint.position_b == value.position && joint.unit_a == *key {
                renewed.push(&joint.position_a);
            }
        }
    }
    renewed
}
