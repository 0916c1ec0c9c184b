//! The best way of each alternative, side by side.

use std::collections::BTreeSet;

use catalogue::Money;

use super::answer::{CheckedAlternative, FitCase, SideBySideRow};

/// One row an alternative and case.
pub(super) fn rows(alternatives: &[CheckedAlternative]) -> Vec<SideBySideRow> {
    let mut rows: Vec<SideBySideRow> = alternatives
        .iter()
        .enumerate()
        .flat_map(|(at, alternative)| alternative.cases.iter().map(move |case| row(at, alternative, case)))
        .collect();
    let least: Option<Money> = rows.iter().filter_map(|row| row.cash).min();
    for row in &mut rows {
        row.cash_more = row.cash.zip(least).map(|(cash, least)| cash - least);
    }
    rows
}

fn row(at: usize, alternative: &CheckedAlternative, case: &FitCase) -> SideBySideRow {
    let names: Vec<String> =
        alternative.wanted.iter().map(|part| format!("{} {}", part.maker, part.number)).collect();
    let best = case.ways.first();
    let parts = best.map(|way| {
        let wanted = alternative.wanted.iter().map(|part| &part.part);
        let changed = way.changes.iter().flat_map(|change| &change.to).map(|part| &part.part);
        let along = way.along.iter().map(|line| &line.part.part);
        wanted.chain(changed).chain(along).collect::<BTreeSet<_>>().len()
    });
    SideBySideRow {
        alternative: at,
        text: names.join(" with "),
        variants: case.variants.clone(),
        verdict: case.verdict,
        further_changes: best.map(|way| way.further_changes),
        changes: best
            .map_or_else(Vec::new, |way| way.changes.iter().map(|change| change.position.clone()).collect()),
        unverified_joints: best.map(|way| way.unverified_joints.len()),
        parts,
        cash: best.map(|way| way.cost.cash),
        job_cost: best.map(|way| way.cost.job_cost),
        labour_more: best.map(|way| way.cost.labour_more),
        days: best.map(|way| way.cost.days),
        cash_more: None,
    }
}
