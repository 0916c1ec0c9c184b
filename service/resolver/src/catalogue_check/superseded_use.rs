//! Kit lines and positions that still name numbers that have given way.

use std::collections::BTreeSet;

use catalogue::{CandidateRole, Code, PartKey, UnitKey};

use super::finding::Finding;
use super::lookup::Lookup;
use super::notice_fact::NoticeFact;

pub(super) fn check(lookup: &Lookup<'_>, findings: &mut Vec<Finding>) {
    for row in &lookup.rows.kit_lines {
        if let Some((by, notices)) = gave_way(lookup, &row.part, None) {
            let fact = NoticeFact::KitLineSuperseded {
                kit: row.kit.clone(),
                line: row.line,
                part: row.part.clone(),
                by,
                notices,
            };
            findings.push(Finding::new("kit_lines", &[row.kit.as_str(), &row.line.to_string()], fact));
        }
    }
    for row in lookup.rows.candidates.iter().filter(|row| row.role == CandidateRole::Original) {
        if let Some((by, notices)) = gave_way(lookup, &row.part, Some(&row.unit)) {
            let fact = NoticeFact::OriginalSuperseded {
                unit: row.unit.clone(),
                position: row.position.clone(),
                part: row.part.clone(),
                by,
                notices,
            };
            let key = [row.unit.as_str(), row.position.as_str(), row.part.as_str()];
            findings.push(Finding::new("candidates", &key, fact));
        }
    }
}

/// What a number has given way to, and by which notices.
fn gave_way(
    lookup: &Lookup<'_>,
    part: &PartKey,
    unit: Option<&UnitKey>,
) -> Option<(Vec<PartKey>, Vec<Code>)> {
    let (mut by, mut notices) = (BTreeSet::new(), BTreeSet::new());
    for row in lookup.notices_of(part, unit) {
        by.insert(&row.new);
        notices.insert(&row.notice);
    }
    let by: Vec<PartKey> = by.into_iter().cloned().collect();
    (!by.is_empty()).then(|| (by, notices.into_iter().cloned().collect()))
}
