//! Rows that lead back to themselves.

use std::collections::BTreeMap;

use catalogue::{Code, PartKey, UnitKey};

use super::circle_fact::CircleFact;
use super::cycle::{Cycle, cycles};
use super::finding::Finding;
use super::rows::CatalogueRows;

pub(super) fn check(rows: &CatalogueRows, findings: &mut Vec<Finding>) {
    supersessions(rows, findings);
    kits(rows, findings);
    companions(rows, findings);
    likelihoods(rows, findings);
    for joint in &rows.joints {
        let same = (&joint.unit_a, &joint.position_a, &joint.feature_a)
            == (&joint.unit_b, &joint.position_b, &joint.feature_b);
        if same {
            let fact = CircleFact::JointWithItself { joint: joint.joint.clone() };
            findings.push(Finding::new("joints", &[joint.joint.as_str()], fact));
        }
    }
}

fn supersessions(rows: &CatalogueRows, findings: &mut Vec<Finding>) {
    for row in rows.supersessions.iter().filter(|row| row.old == row.new) {
        let fact = CircleFact::SupersededByItself { notice: row.notice.clone(), part: row.old.clone() };
        let key = [row.notice.as_str(), row.old.as_str(), row.new.as_str()];
        findings.push(Finding::new("supersessions", &key, fact));
    }
    let mut notices: BTreeMap<(&PartKey, &PartKey), &Code> = BTreeMap::new();
    for row in &rows.supersessions {
        let notice = notices.entry((&row.old, &row.new)).or_insert(&row.notice);
        *notice = (*notice).min(&row.notice);
    }
    for Cycle { path, members } in cycles(notices.keys().copied()) {
        let steps = path.iter().zip(path.iter().cycle().skip(1));
        let by: Vec<Code> =
            steps.filter_map(|(old, new)| notices.get(&(*old, *new))).copied().cloned().collect();
        let first = by.first().map_or("", Code::as_str).to_owned();
        let key = [first.as_str(), path[0].as_str(), path[1].as_str()];
        let fact = CircleFact::SupersessionCycle { parts: owned(&path), notices: by.clone(), members };
        findings.push(Finding::new("supersessions", &key, fact));
    }
}

fn kits(rows: &CatalogueRows, findings: &mut Vec<Finding>) {
    for row in rows.kit_lines.iter().filter(|row| row.kit == row.part) {
        let fact = CircleFact::KitHoldsItself { kit: row.kit.clone(), line: row.line };
        findings.push(Finding::new("kit_lines", &[row.kit.as_str(), &row.line.to_string()], fact));
    }
    for Cycle { path, members } in cycles(rows.kit_lines.iter().map(|row| (&row.kit, &row.part))) {
        let fact = CircleFact::KitCycle { kits: owned(&path), members };
        findings.push(Finding::new("kit_lines", &[path[0].as_str()], fact));
    }
}

fn companions(rows: &CatalogueRows, findings: &mut Vec<Finding>) {
    for row in rows.companions.iter().filter(|row| row.part == row.companion) {
        let fact = CircleFact::CompanionOfItself { part: row.part.clone() };
        findings.push(Finding::new("companions", &[row.part.as_str(), row.companion.as_str()], fact));
    }
    for Cycle { path, members } in cycles(rows.companions.iter().map(|row| (&row.part, &row.companion))) {
        let fact = CircleFact::CompanionCycle { parts: owned(&path), members };
        findings.push(Finding::new("companions", &[path[0].as_str(), path[1].as_str()], fact));
    }
}

fn likelihoods(rows: &CatalogueRows, findings: &mut Vec<Finding>) {
    let rests = || {
        rows.weak_points.iter().filter_map(|row| {
            row.given.as_ref().map(|given| ((&row.unit, &row.weak_point), (&row.unit, given)))
        })
    };
    for ((unit, weak_point), _) in rests().filter(|(from, to)| from == to) {
        let fact = CircleFact::LikelihoodGivenItself { unit: unit.clone(), weak_point: weak_point.clone() };
        findings.push(Finding::new("weak_points", &[unit.as_str(), weak_point.as_str()], fact));
    }
    for Cycle { path, .. } in cycles::<(&UnitKey, &Code)>(rests()) {
        let (unit, first) = path[0];
        let weak_points = path.iter().map(|(_, weak_point)| (*weak_point).clone()).collect();
        let fact = CircleFact::LikelihoodCycle { unit: unit.clone(), weak_points };
        findings.push(Finding::new("weak_points", &[unit.as_str(), first.as_str()], fact));
    }
}

fn owned(path: &[&PartKey]) -> Vec<PartKey> {
    path.iter().map(|part| (*part).clone()).collect()
}
