//! Variants of an option group: exactly one must hold for each unit that was built.

use std::collections::BTreeMap;

use catalogue::{Code, UnitKey, Variant};
use chrono::NaiveDate;

use super::finding::Finding;
use super::rows::CatalogueRows;
use super::unit_fact::UnitFact;

pub(super) fn check(rows: &CatalogueRows, findings: &mut Vec<Finding>) {
    let mut groups: BTreeMap<(&UnitKey, &Code), Vec<&Variant>> = BTreeMap::new();
    for variant in &rows.variants {
        groups.entry((&variant.unit, &variant.option_group)).or_default().push(variant);
    }
    for ((unit, group), mut variants) in groups {
        variants.sort_by(|a, b| a.variant.cmp(&b.variant));
        for (at, a) in variants.iter().enumerate() {
            for b in variants[at + 1..].iter().filter(|b| overlap(a, b)) {
                let fact = UnitFact::OverlappingEffectivity {
                    unit: unit.clone(),
                    option_group: group.clone(),
                    variants: vec![a.variant.clone(), b.variant.clone()],
                };
                let key = [unit.as_str(), a.variant.as_str()];
                findings.push(Finding::new("variants", &key, fact));
            }
        }
        gaps(unit, group, &variants, findings);
    }
}

type Range<T> = (Option<T>, Option<T>);

fn serials(variant: &Variant) -> Option<Range<i64>> {
    let range = (variant.serial_from, variant.serial_to);
    (range != (None, None)).then_some(range)
}

fn builds(variant: &Variant) -> Option<Range<NaiveDate>> {
    let range = (variant.built_from, variant.built_to);
    (range != (None, None)).then_some(range)
}

fn meet<T: PartialOrd + Copy>(a: Range<T>, b: Range<T>) -> bool {
    let reaches = |last: Option<T>, first: Option<T>| match (last, first) {
        (Some(last), Some(first)) => last >= first,
        (None, _) | (_, None) => true,
    };
    reaches(a.1, b.0) && reaches(b.1, a.0)
}

/// Whether two variants hold for the same units. A variant without a range is told by looking, so it overlaps nothing; of
/// two that give different sorts of range nothing can be said.
fn overlap(a: &Variant, b: &Variant) -> bool {
    let serial = serials(a).zip(serials(b)).map(|(a, b)| meet(a, b));
    let build = builds(a).zip(builds(b)).map(|(a, b)| meet(a, b));
    match (serial, build) {
        (None, None) => false,
        (serial, build) => serial.unwrap_or(true) && build.unwrap_or(true),
    }
}

fn gaps(unit: &UnitKey, group: &Code, variants: &[&Variant], findings: &mut Vec<Finding>) {
    let key = [unit.as_str(), group.as_str()];
    // A variant told by looking may fill any gap.
    if let Some(ranges) = variants.iter().map(|v| serials(v)).collect::<Option<Vec<_>>>() {
        for (from, to) in between(ranges, |n| n.checked_add(1), |n| n.checked_sub(1)) {
            let fact = UnitFact::SerialGap { unit: unit.clone(), option_group: group.clone(), from, to };
            findings.push(Finding::new("variants", &key, fact));
        }
    }
    if let Some(ranges) = variants.iter().map(|v| builds(v)).collect::<Option<Vec<_>>>() {
        for (from, to) in between(ranges, |day| day.succ_opt(), |day| day.pred_opt()) {
            let fact = UnitFact::BuildDateGap { unit: unit.clone(), option_group: group.clone(), from, to };
            findings.push(Finding::new("variants", &key, fact));
        }
    }
}

/// What lies between ranges and in none.
fn between<T: Ord + Copy>(
    mut ranges: Vec<Range<T>>,
    after: impl Fn(T) -> Option<T>,
    before: impl Fn(T) -> Option<T>,
) -> Vec<(T, T)> {
    // An open start comes first.
    ranges.sort();
    let mut gaps = Vec::new();
    let mut ranges = ranges.into_iter();
    let Some((_, mut reached)) = ranges.next() else { return gaps };
    for (first, last) in ranges {
        let Some(so_far) = reached else { break };
        if let (Some(first), Some(gap_from)) = (first, after(so_far))
            && gap_from < first
            && let Some(gap_to) = before(first)
        {
            gaps.push((gap_from, gap_to));
        }
        reached = last.map(|last| last.max(so_far));
    }
    gaps
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gaps_of(ranges: &[Range<i64>]) -> Vec<(i64, i64)> {
        between(ranges.to_vec(), |n| n.checked_add(1), |n| n.checked_sub(1))
    }

    #[test]
    fn what_no_range_covers_is_a_gap() {
        assert_eq!(gaps_of(&[(Some(20), None), (None, Some(9))]), [(10, 19)]);
        assert_eq!(gaps_of(&[(None, Some(9)), (Some(10), None)]), []);
        assert_eq!(gaps_of(&[(Some(1), Some(30)), (Some(5), Some(9)), (Some(40), Some(50))]), [(31, 39)]);
        assert_eq!(gaps_of(&[(Some(1), None), (Some(5), Some(9))]), []);
        assert_eq!(gaps_of(&[(Some(1), Some(i64::MAX)), (Some(i64::MAX), None)]), []);
    }

    #[test]
    fn ranges_include_both_ends() {
        assert!(meet((Some(1), Some(5)), (Some(5), None)));
        assert!(!meet((Some(1), Some(4)), (Some(5), None)));
        assert!(meet((None, Some(4)), (None, None::<i64>)));
    }
}
