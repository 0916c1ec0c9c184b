//! Kits: what they hold, and what no kit brings.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Code, PartKey, PartKind, Position, Renewal, UnitKey};

use super::finding::Finding;
use super::lookup::Lookup;
use super::unit_fact::UnitFact;

pub(super) fn check(lookup: &Lookup<'_>, findings: &mut Vec<Finding>) {
    let with_lines: BTreeSet<&PartKey> = lookup.rows.kit_lines.iter().map(|line| &line.kit).collect();
    for part in &lookup.rows.parts {
        let key = [part.part.as_str()];
        match (part.kind == PartKind::Kit, with_lines.contains(&part.part)) {
            (true, false) if !part.retired => {
                let fact = UnitFact::KitWithoutLines { kit: part.part.clone() };
                findings.push(Finding::new("parts", &key, fact));
            }
            (false, true) => {
                let fact = UnitFact::LinesOfNoKit { part: part.part.clone() };
                findings.push(Finding::new("parts", &key, fact));
            }
            (true, true | false) | (false, false) => {}
        }
    }
    uncovered_positions(lookup, findings);
}

fn uncovered_positions(lookup: &Lookup<'_>, findings: &mut Vec<Finding>) {
    // Whatever lies in a kit of a kit lies in a kit.
    let boxed: BTreeSet<&PartKey> = lookup
        .rows
        .kit_lines
        .iter()
        .filter(|line| lookup.parts.get(&line.kit).is_some_and(|kit| !kit.retired))
        .map(|line| &line.part)
        .collect();
    let mut units: BTreeMap<&UnitKey, (usize, Vec<Code>)> = BTreeMap::new();
    for position in lookup.rows.positions.iter().filter(|position| always_renewed(lookup, position)) {
        let (always, uncovered) = units.entry(&position.unit).or_default();
        *always += 1;
        let covered = lookup
            .usual_candidates(&position.unit, &position.position)
            .any(|candidate| is_boxed(lookup, &boxed, &candidate.part, &position.unit));
        if !covered {
            uncovered.push(position.position.clone());
        }
    }
    for (unit, (always_renewed, mut positions)) in units {
        if !positions.is_empty() {
            positions.sort();
            let fact = UnitFact::PositionsNoKitCovers { unit: unit.clone(), positions, always_renewed };
            findings.push(Finding::new("units", &[unit.as_str()], fact));
        }
    }
}

/// Whether every overhaul renews a position: by the rule of a part that may stand there, else by its own, else by custom.
fn always_renewed(lookup: &Lookup<'_>, position: &Position) -> bool {
    let mut parts = lookup
        .usual_candidates(&position.unit, &position.position)
        .filter_map(|candidate| lookup.parts.get(&candidate.part))
        .peekable();
    let by_rule = |rule: Renewal| match rule {
        Renewal::AlwaysAtOverhaul | Renewal::SingleUse => true,
        Renewal::OnCondition => false,
    };
    if parts.peek().is_none() {
        return position.renewal.is_some_and(by_rule);
    }
    parts.any(|part| part.renewal.or(position.renewal).map_or(part.class.single_use_by_custom(), by_rule))
}

/// Whether a number or one that it gave way to lies in a kit.
fn is_boxed(lookup: &Lookup<'_>, boxed: &BTreeSet<&PartKey>, part: &PartKey, unit: &UnitKey) -> bool {
    let mut seen: BTreeSet<&PartKey> = BTreeSet::new();
    let mut waiting: Vec<&PartKey> = vec![part];
    while let Some(part) = waiting.pop() {
        if boxed.contains(part) {
            return true;
        }
        if seen.insert(part) {
            waiting.extend(lookup.notices_of(part, Some(unit)).map(|row| &row.new));
        }
    }
    false
}
