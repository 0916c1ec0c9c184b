//! Positions that nothing can fill.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use catalogue::{
    Candidate, Code, Interchange, PartKey, PartKind, Supersession, SupersessionShape, UnitKey, Variant,
};

use super::finding::Finding;
use super::lookup::Lookup;
use super::unit_fact::UnitFact;

pub(super) fn check(lookup: &Lookup<'_>, available: &BTreeSet<&PartKey>, findings: &mut Vec<Finding>) {
    let kits = kits(lookup);
    let mut groups: BTreeMap<&UnitKey, BTreeMap<&Code, Vec<&Variant>>> = BTreeMap::new();
    for variant in &lookup.rows.variants {
        groups.entry(&variant.unit).or_default().entry(&variant.option_group).or_default().push(variant);
    }
    for row in &lookup.rows.positions {
        let (unit, position) = (&row.unit, &row.position);
        let key = [unit.as_str(), position.as_str()];
        let usual: Vec<&Candidate> = lookup.usual_candidates(unit, position).collect();
        if usual.is_empty() {
            let upgrades = lookup.candidates(unit, position).len();
            let fact = UnitFact::PositionWithoutCandidate {
                unit: unit.clone(),
                position: position.clone(),
                upgrades,
            };
            findings.push(Finding::new("positions", &key, fact));
            continue;
        }
        let can_be_had = |part: &PartKey| available.contains(part) && !kits.contains(part);
        if !usual.iter().any(|candidate| can_be_had(&candidate.part)) {
            let mut candidates: Vec<PartKey> = usual.iter().map(|candidate| candidate.part.clone()).collect();
            candidates.sort();
            let fact = UnitFact::PositionWithoutSupply {
                unit: unit.clone(),
                position: position.clone(),
                candidates,
            };
            findings.push(Finding::new("positions", &key, fact));
        }
        let Some(groups) = groups.get(unit) else { continue };
        for variant in variants_left_out(row.variant.as_ref(), &usual, groups) {
            let fact = UnitFact::VariantWithoutCandidate {
                unit: unit.clone(),
                position: position.clone(),
                variant: variant.clone(),
            };
            findings.push(Finding::new("positions", &key, fact));
        }
    }
}

/// Variants in which a position exists and no candidate may stand there.
fn variants_left_out<'a>(
    only_in: Option<&Code>,
    usual: &[&Candidate],
    groups: &BTreeMap<&Code, Vec<&'a Variant>>,
) -> Vec<&'a Code> {
    let named: Option<BTreeSet<&Code>> = usual.iter().map(|candidate| candidate.variant.as_ref()).collect();
    // A candidate without a variant may stand there in all of them.
    let Some(named) = named else { return Vec::new() };
    // Only where one option group decides: of several, which combinations were built is not known.
    let mut deciding =
        groups.values().filter(|variants| variants.iter().any(|variant| named.contains(&variant.variant)));
    let (Some(variants), None) = (deciding.next(), deciding.next()) else { return Vec::new() };
    let inside = variants.iter().any(|variant| Some(&variant.variant) == only_in);
    variants
        .iter()
        .map(|variant| &variant.variant)
        .filter(|variant| !named.contains(variant) && (!inside || Some(*variant) == only_in))
        .collect()
}

/// The kits. One stands nowhere itself, neither as a candidate nor as a successor.
fn kits<'a>(lookup: &Lookup<'a>) -> BTreeSet<&'a PartKey> {
    lookup.rows.parts.iter().filter(|part| part.kind == PartKind::Kit).map(|part| &part.part).collect()
}

/// Parts that can be had: by a price, from the shelf, out of a kit that can be had, or as a successor that can be had.
///
/// Followed backwards from what has a price or lies on the shelf, each part once: circles do no harm.
pub(super) fn available<'a>(lookup: &Lookup<'a>) -> BTreeSet<&'a PartKey> {
    let mut gives: BTreeMap<&PartKey, Vec<&'a PartKey>> = BTreeMap::new();
    for line in &lookup.rows.kit_lines {
        gives.entry(&line.kit).or_default().push(&line.part);
    }
    // A split into all of several needs them all.
    let mut lacking: BTreeMap<(&Code, &PartKey), BTreeSet<&PartKey>> = BTreeMap::new();
    let mut splits: BTreeMap<&PartKey, Vec<(&'a Code, &'a PartKey)>> = BTreeMap::new();
    let kits = kits(lookup);
    let leads_on = |row: &&Supersession| row.interchange != Interchange::None && !kits.contains(&row.new);
    for row in lookup.all_notices().filter(leads_on) {
        if row.shape == SupersessionShape::AllOf {
            lacking.entry((&row.notice, &row.old)).or_default().insert(&row.new);
            splits.entry(&row.new).or_default().push((&row.notice, &row.old));
        } else {
            gives.entry(&row.new).or_default().push(&row.old);
        }
    }
    let mut found: BTreeSet<&PartKey> = lookup.stocked.clone();
    found.extend(lookup.rows.prices.iter().map(|price| &price.part).filter(|part| lookup.is_priced(part)));
    let mut waiting: VecDeque<&PartKey> = found.iter().copied().collect();
    while let Some(part) = waiting.pop_front() {
        let mut next: Vec<&'a PartKey> = gives.get(part).cloned().unwrap_or_default();
        for split in splits.get(part).into_iter().flatten() {
            if let Some(left) = lacking.get_mut(split) {
                left.remove(part);
                if left.is_empty() {
                    next.push(split.1);
                }
            }
        }
        waiting.extend(next.into_iter().filter(|part| found.insert(part)));
    }
    found
}
