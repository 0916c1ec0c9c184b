//! Statements on fit that contradict each other.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Code, PartKey, StatedVerdict};

use super::finding::Finding;
use super::notice_fact::NoticeFact;
use super::rows::CatalogueRows;

/// Who says what of two parts.
#[derive(Default)]
struct Said<'a> {
    fits: BTreeSet<&'a Code>,
    does_not_fit: BTreeSet<&'a Code>,
}

pub(super) fn check(rows: &CatalogueRows, findings: &mut Vec<Finding>) {
    let mut said: BTreeMap<(&PartKey, &PartKey), Said<'_>> = BTreeMap::new();
    for row in &rows.fit_statements {
        // Two parts fit each other whichever is named first.
        let pair = ((&row.part_a).min(&row.part_b), (&row.part_a).max(&row.part_b));
        let said = said.entry(pair).or_default();
        match row.verdict {
            StatedVerdict::Fits => said.fits.insert(&row.maker),
            StatedVerdict::DoesNotFit => said.does_not_fit.insert(&row.maker),
        };
    }
    for ((part_a, part_b), Said { fits, does_not_fit }) in said {
        if !fits.is_empty() && !does_not_fit.is_empty() {
            let owned = |makers: BTreeSet<&Code>| makers.into_iter().cloned().collect();
            let fact = NoticeFact::ContradictingStatements {
                part_a: part_a.clone(),
                part_b: part_b.clone(),
                fits: owned(fits),
                does_not_fit: owned(does_not_fit),
            };
            findings.push(Finding::new("fit_statements", &[part_a.as_str(), part_b.as_str()], fact));
        }
    }
}
