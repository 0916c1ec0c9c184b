//! Notices that contradict themselves or each other.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Code, PartKey, Supersession, SupersessionShape};
use chrono::NaiveDate;

use super::finding::Finding;
use super::notice_fact::NoticeFact;
use super::rows::CatalogueRows;

pub(super) fn check(rows: &CatalogueRows, findings: &mut Vec<Finding>) {
    let mut by_old: BTreeMap<(&Code, &PartKey), Vec<&Supersession>> = BTreeMap::new();
    let mut merged: BTreeMap<&Code, BTreeSet<&PartKey>> = BTreeMap::new();
    let mut by_day: BTreeMap<(&PartKey, NaiveDate), Vec<&Supersession>> = BTreeMap::new();
    for row in &rows.supersessions {
        by_old.entry((&row.notice, &row.old)).or_default().push(row);
        by_day.entry((&row.old, row.effective_from)).or_default().push(row);
        if row.shape == SupersessionShape::Merge {
            merged.entry(&row.notice).or_default().insert(&row.new);
        }
    }
    for ((notice, old), group) in &by_old {
        shapes(notice, old, group, findings);
    }
    for (notice, new) in merged.iter().filter(|(_, new)| new.len() > 1) {
        let new = new.iter().map(|part| (*part).clone()).collect();
        let fact = NoticeFact::MergeIntoSeveral { notice: (*notice).clone(), new };
        findings.push(Finding::new("supersessions", &[notice.as_str()], fact));
    }
    for ((old, day), group) in &by_day {
        competing(old, *day, group, findings);
    }
    let known: BTreeSet<&Code> = rows.supersessions.iter().map(|row| &row.notice).collect();
    for need in rows.supersession_needs.iter().filter(|need| !known.contains(&need.notice)) {
        let fact = NoticeFact::NeedOfUnknownNotice { notice: need.notice.clone() };
        let key = [need.notice.as_str(), &need.line.to_string()];
        findings.push(Finding::new("supersession_needs", &key, fact));
    }
}

fn shapes(notice: &Code, old: &PartKey, group: &[&Supersession], findings: &mut Vec<Finding>) {
    let shapes: BTreeSet<SupersessionShape> = group.iter().map(|row| row.shape).collect();
    let key = [notice.as_str(), old.as_str()];
    if shapes.len() > 1 {
        let shapes = shapes.into_iter().collect();
        let fact = NoticeFact::MixedNotice { notice: notice.clone(), old: old.clone(), shapes };
        findings.push(Finding::new("supersessions", &key, fact));
    } else if shapes.contains(&SupersessionShape::OneToOne) && group.len() > 1 {
        let mut new: Vec<PartKey> = group.iter().map(|row| row.new.clone()).collect();
        new.sort();
        let fact = NoticeFact::OneToOneWithSeveral { notice: notice.clone(), old: old.clone(), new };
        findings.push(Finding::new("supersessions", &key, fact));
    }
}

/// Notices of one day whose conditions can hold together: which of them is followed would be chance.
fn competing(old: &PartKey, day: NaiveDate, group: &[&Supersession], findings: &mut Vec<Finding>) {
    let mut notices: BTreeSet<&Code> = BTreeSet::new();
    for (at, a) in group.iter().enumerate() {
        for b in group[at + 1..].iter().filter(|b| b.notice != a.notice && can_hold_together(a, b)) {
            notices.extend([&a.notice, &b.notice]);
        }
    }
    if !notices.is_empty() {
        let notices = notices.into_iter().cloned().collect();
        let fact = NoticeFact::CompetingNotices { old: old.clone(), effective_from: day, notices };
        findings.push(Finding::new("supersessions", &[old.as_str()], fact));
    }
}

fn can_hold_together(a: &Supersession, b: &Supersession) -> bool {
    fn apart<T: PartialEq>(a: Option<&T>, b: Option<&T>) -> bool {
        matches!((a, b), (Some(a), Some(b)) if a != b)
    }
    fn beyond<T: PartialOrd>(last: Option<T>, first: Option<T>) -> bool {
        matches!((last, first), (Some(last), Some(first)) if last < first)
    }
    !(apart(a.unit.as_ref(), b.unit.as_ref())
        || apart(a.variant.as_ref(), b.variant.as_ref())
        || beyond(a.serial_to, b.serial_from)
        || beyond(b.serial_to, a.serial_from)
        || beyond(a.built_to, b.built_from)
        || beyond(b.built_to, a.built_from))
}
