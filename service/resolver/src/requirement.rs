//! The requirement of each unit: one line a position, over all branches, with reasons.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Code, Quantity};
use mechanics::Verdict;

use crate::allocation::{Allocation, Piece};
use crate::answer::{
    Action, Because, CoverageLine, JointNote, MissingLine, PartName, RequirementLine, UnitRequirement,
    UnknownOption,
};
use crate::branch::Branch;
use crate::causes::Causes;
use crate::context::Context;
use crate::explain::{sentence, why_not};
use crate::fit::Fit;
use crate::gearing::unit_gearing;
use crate::graph::PartIx;
use crate::line_variants::LineVariants;
use crate::need::For;
use crate::reason::Reason;
use crate::value::State;

/// A branch with its fit and what the plan does in it.
pub(crate) struct Solved<'a> {
    /// What is taken to hold.
    pub(crate) branch: Branch,
    /// The fit.
    pub(crate) fit: Fit<'a>,
    /// The lines' pieces.
    pub(crate) allocation: Allocation,
}

/// A part as a person knows it.
pub(crate) fn part_name(context: &Context<'_>, part: PartIx) -> PartName {
    let row = context.graph.part(part);
    PartName {
        part: row.part.clone(),
        maker: row.maker.to_string(),
        number: row.number.clone(),
        name: row.name.clone(),
    }
}

/// Reasons with their sentences.
pub(crate) fn because(reasons: &[Reason]) -> Vec<Because> {
    reasons.iter().map(|reason| Because { reason: reason.clone(), sentence: sentence(reason) }).collect()
}

/// A line of one branch, with where its pieces come from.
struct BranchLine {
    order: (bool, usize),
    line: RequirementLine,
    pieces: Option<Piece>,
    spoken_of: BTreeSet<Code>,
}

/// A line with the branches it holds in.
type InBranches = (BranchLine, Vec<usize>);

/// The requirement of all units, the coverage of its lines, and what is not to be had.
pub(crate) fn requirement<'a>(
    context: &Context<'a>,
    solved: &[Solved<'a>],
    matters: &[bool],
) -> (Vec<UnitRequirement>, Vec<CoverageLine>, Vec<MissingLine>) {
    let facts = &context.facts;
    let mut units = Vec::new();
    let (mut coverage, mut missing) = (Vec::new(), Vec::new());
    let variants = LineVariants::of(solved, facts);
    for unit in &context.units {
        let merged = merged_lines(context, solved, &variants, unit.index);
        for (line, pieces) in &merged {
            if let Some(piece) = pieces {
                coverage.push(coverage_line(&unit.unit.unit, line, piece));
                if piece.missing > Quantity::ZERO {
                    missing.push(missing_line(&unit.unit.unit, line, piece));
                }
            }
        }
        let (unverified_joints, contradictions) = joint_notes(context, solved, unit.index);
        let (gearing, gearing_by_outcome) = unit_gearing(context, solved, unit.index);
        let of_unit = facts.iter().zip(matters).filter(|(fact, _)| fact.unit == unit.index);
        units.push(UnitRequirement {
            unit: unit.unit.unit.clone(),
            code: unit.unit.code.clone(),
            name: unit.unit.name.clone(),
            operation: unit.operation.operation.clone(),
            operation_name: unit.operation.name.clone(),
            hours: unit.operation.hours,
            variants: unit.options.values().filter(|m| m.len() == 1).map(|m| m[0].variant.clone()).collect(),
            unknown: of_unit
                .map(|(fact, matters)| UnknownOption {
                    option_group: fact.group.clone(),
                    variants: fact.outcomes.iter().map(|outcome| outcome.name.clone()).collect(),
                    how_to_tell: fact.how_to_tell.clone(),
                    matters: *matters,
                })
                .collect(),
            lines: merged.into_iter().map(|(line, _)| line).collect(),
            record_differences: unit.request.record_differences.clone(),
            unverified_joints,
            contradictions,
            gearing,
            gearing_by_outcome,
        });
    }
    (units, coverage, missing)
}

/// For each open fact whether anything but what is kept differs by it.
pub(crate) fn matters<'a>(context: &Context<'a>, solved: &[Solved<'a>]) -> Vec<bool> {
    let facts = &context.facts;
    let variants = LineVariants::of(solved, facts);
    let mut codes: BTreeSet<Code> = BTreeSet::new();
    for unit in &context.units {
        let lines = merged_lines(context, solved, &variants, unit.index);
        let worked_on = lines.into_iter().filter(|(line, _)| line.action != Action::Keep);
        codes.extend(worked_on.flat_map(|(line, _)| line.variants));
    }
    facts.iter().map(|fact| fact.outcomes.iter().any(|outcome| codes.contains(&outcome.name))).collect()
}

/// The lines of all branches: those that are alike are one line, which names the outcomes it holds in unless it holds in all.
fn merged_lines<'a>(
    context: &Context<'a>,
    solved: &[Solved<'a>],
    variants: &LineVariants<'_>,
    unit: usize,
) -> Vec<(RequirementLine, Option<Piece>)> {
    // Places are told apart by their rank in the catalogue: their index differs by branch.
    let mut merged: BTreeMap<(bool, usize), Vec<InBranches>> = BTreeMap::new();
    for (at, solved) in solved.iter().enumerate() {
        for line in branch_lines(context, solved, unit) {
            let alike = merged.entry(line.order).or_default();
            match alike
                .iter_mut()
                .find(|(other, branches)| other.line == line.line && !branches.contains(&at))
            {
                Some((_, branches)) => branches.push(at),
                None => alike.push((line, vec![at])),
            }
        }
    }
    let mut found = Vec::new();
    for (line, branches) in merged.into_values().flatten() {
        for (_, codes) in variants.described(&branches, &line.spoken_of) {
            let mut row = line.line.clone();
            if !codes.is_empty() {
                row.reasons.extend(because(&[Reason::InVariant { variants: codes.clone() }]));
                row.variants = codes;
            }
            found.push((row, line.pieces.clone()));
        }
    }
    found
}

fn branch_lines<'a>(context: &Context<'a>, solved: &Solved<'a>, unit: usize) -> Vec<BranchLine> {
    let causes = Causes { context, fit: &solved.fit, allocation: &solved.allocation };
    let mut lines = Vec::new();
    let positions = context.graph.positions(&context.units[unit].unit.unit);
    let rank: BTreeMap<&Code, usize> =
        positions.iter().enumerate().map(|(rank, position)| (&position.position, rank)).collect();
    for (at, _) in solved.fit.places.iter().enumerate().filter(|(_, place)| place.unit == unit) {
        let value = causes.value(at);
        let pieces: Vec<&Piece> =
            solved.allocation.pieces.iter().filter(|piece| piece.line == For::Place(at)).collect();
        if pieces.is_empty() {
            // A kept part, or one whose single piece is counted at another position of its set.
            for (part, quantity) in &value.fitted {
                lines.push(place_line(context, &causes, (at, &rank), (*part, *quantity), None));
            }
        }
        for piece in pieces {
            lines.push(place_line(context, &causes, (at, &rank), (piece.part, piece.quantity), Some(piece)));
        }
    }
    for piece in &solved.allocation.pieces {
        if let For::Unit(of, reasons) = &piece.line
            && *of == unit
        {
            lines.push(supply_line(context, piece, reasons));
        }
    }
    lines
}

fn place_line(
    context: &Context<'_>,
    causes: &Causes<'_, '_>,
    (at, rank): (usize, &BTreeMap<&Code, usize>),
    (part, quantity): (PartIx, Quantity),
    piece: Option<&Piece>,
) -> BranchLine {
    let place = &causes.fit.places[at];
    let value = causes.value(at);
    let row = context.graph.part(part);
    let upgraded = causes.asked(at).is_some() || value.role == catalogue::CandidateRole::Upgrade;
    let action = match (value.state, upgraded) {
        (State::New, true) => Action::Upgrade,
        (State::New, false) => Action::Renew,
        (State::Kept | State::Absent, _) => Action::Keep,
    };
    let reasons = causes.reasons(at, Some(part));
    BranchLine {
        order: (false, rank.get(&place.position.position).copied().unwrap_or(usize::MAX)),
        spoken_of: causes.spoken_of(at, &reasons),
        line: RequirementLine {
            position: Some(place.position.position.clone()),
            name: place.position.name.clone(),
            subassembly: Some(place.position.subassembly.clone()),
            action,
            part: part_name(context, part),
            quantity,
            measure: row.measure,
            variants: Vec::new(),
            further_change: causes.is_further_change(at),
            reasons: because(&reasons),
        },
        pieces: piece.cloned(),
    }
}

fn supply_line(context: &Context<'_>, piece: &Piece, reasons: &[Reason]) -> BranchLine {
    let row = context.graph.part(piece.part);
    BranchLine {
        order: (true, 0),
        spoken_of: BTreeSet::new(),
        line: RequirementLine {
            position: None,
            name: row.name.clone(),
            subassembly: None,
            action: Action::Supply,
            part: part_name(context, piece.part),
            quantity: piece.quantity,
            measure: row.measure,
            variants: Vec::new(),
            further_change: false,
            reasons: because(reasons),
        },
        pieces: Some(piece.clone()),
    }
}

fn coverage_line(unit: &catalogue::UnitKey, line: &RequirementLine, piece: &Piece) -> CoverageLine {
    CoverageLine {
        unit: unit.clone(),
        position: line.position.clone(),
        part: line.part.clone(),
        variants: line.variants.clone(),
        needed: piece.quantity,
        from_stock: piece.from_stock,
        from_kits: piece.from_kits,
        bought: piece.bought,
    }
}

fn missing_line(unit: &catalogue::UnitKey, line: &RequirementLine, piece: &Piece) -> MissingLine {
    MissingLine {
        part: line.part.clone(),
        quantity: piece.missing,
        measure: line.measure,
        unit: unit.clone(),
        position: line.position.clone(),
        note: "no supplier has a price for it on this day, no kit that can be bought holds it, and the shelf does not \
               have enough"
            .into(),
    }
}

/// Joints without a verdict, and joints where calculation and statement contradict, over all branches. A joint that crosses
/// units is told with its first unit.
pub(crate) fn joint_notes<'a>(
    context: &Context<'a>,
    solved: &[Solved<'a>],
    unit: usize,
) -> (Vec<JointNote>, Vec<JointNote>) {
    let (mut unverified, mut contradictions) = (Vec::new(), Vec::new());
    for solved in solved {
        let causes = Causes { context, fit: &solved.fit, allocation: &solved.allocation };
        for placed in &solved.fit.joints {
            let (place_a, place_b) = (&solved.fit.places[placed.a], &solved.fit.places[placed.b]);
            if place_a.unit != unit {
                continue;
            }
            let (a, b) = (causes.value(placed.a), causes.value(placed.b));
            let judge = &solved.fit.judge;
            let Some(verdict) = judge.verdict(context, placed, (place_a, a), (place_b, b)) else {
                continue;
            };
            if verdict.verdict != Verdict::Unverified && !verdict.contradiction {
                continue;
            }
            let ends = judge.end(context, place_a, a, placed.joint.feature_a.as_str()).zip(judge.end(
                context,
                place_b,
                b,
                placed.joint.feature_b.as_str(),
            ));
            let Some((end_a, end_b)) = ends else { continue };
            let note = JointNote {
                joint: placed.joint.joint.clone(),
                kind: placed.joint.kind,
                unit_a: placed.joint.unit_a.clone(),
                position_a: placed.joint.position_a.clone(),
                part_a: part_name(context, end_a.part),
                unit_b: placed.joint.unit_b.clone(),
                position_b: placed.joint.position_b.clone(),
                part_b: part_name(context, end_b.part),
                note: why_not(&verdict),
            };
            if verdict.verdict == Verdict::Unverified && !unverified.contains(&note) {
                unverified.push(note.clone());
            }
            if verdict.contradiction && !contradictions.contains(&note) {
                contradictions.push(note);
            }
        }
    }
    (unverified, contradictions)
}
