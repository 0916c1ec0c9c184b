//! The ways in which the weak points of a request may turn out, as far as they ask for different work.

use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

use catalogue::{Grade, WeakPoint};

use crate::branch::Branch;
use crate::context::Context;
use crate::request::Finding;
use crate::request_fault::RequestFault;
use crate::scope::places;
use crate::weak_points::{components, observed};

/// What a finding asks for: a position, with the grade where outside work depends on it.
pub(super) type Asks = (usize, catalogue::Code, Grade);

/// Weak points that hang together, with the ways in which they turn out.
#[derive(Debug)]
pub(super) struct Group<'a> {
    /// The unit of the request.
    pub(super) unit: usize,
    /// The points.
    pub(super) points: Vec<&'a WeakPoint>,
    /// The different ways, likeliest first.
    pub(super) ways: Vec<Way>,
}

/// Ways of a group that ask for the same.
#[derive(Debug, Clone)]
pub(super) struct Way {
    /// What they ask for, sorted.
    pub(super) asks: Vec<Asks>,
    /// How likely one of them is.
    pub(super) likelihood: f64,
    /// For each point how likely it is that one of them holds and the point is found.
    pub(super) found: Vec<f64>,
}

/// All groups of a request.
#[derive(Debug)]
pub(super) struct Space<'a> {
    /// The groups; what one of them asks for no other does.
    pub(super) groups: Vec<Group<'a>>,
}

/// One outcome: a way of each group.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Outcome {
    /// The way of each group.
    pub(super) ways: Vec<usize>,
    /// How likely it is.
    pub(super) likelihood: f64,
}

/// The groups of a request's units.
pub(super) fn space<'a>(context: &Context<'a>, branches: &[Branch]) -> Result<Space<'a>, RequestFault> {
    let renewed = renewed_anyway(context, branches)?;
    let mut groups = Vec::new();
    for unit in &context.units {
        for component in components(context.graph.snapshot, &unit.unit.unit)? {
            let seen: Vec<Option<bool>> =
                component.points.iter().map(|point| observed(point, &unit.request.findings)).collect();
            let mut ways: BTreeMap<Vec<Asks>, (f64, Vec<f64>)> = BTreeMap::new();
            for (way, likelihood) in component.knowing(&seen).into_iter().enumerate() {
                if likelihood <= 0.0 {
                    continue;
                }
                let found = |at: usize| way >> at & 1 == 1;
                let asks: BTreeSet<Asks> = (0..component.points.len())
                    .filter(|at| found(*at) && seen[*at].is_none())
                    .filter_map(|at| asks(context, unit.index, component.points[at], &renewed))
                    .collect();
                let entry = ways
                    .entry(asks.into_iter().collect())
                    .or_insert_with(|| (0.0, vec![0.0; component.points.len()]));
                entry.0 += likelihood;
                (0..component.points.len()).filter(|at| found(*at)).for_each(|at| entry.1[at] += likelihood);
            }
            let mut ways: Vec<Way> =
                ways.into_iter().map(|(asks, (likelihood, found))| Way { asks, likelihood, found }).collect();
            ways.sort_by(|a, b| b.likelihood.total_cmp(&a.likelihood).then_with(|| a.asks.cmp(&b.asks)));
            groups.push(Group { unit: unit.index, points: component.points, ways });
        }
    }
    Ok(Space { groups })
}

/// Positions that are renewed in every branch in which they exist, whatever is found there.
fn renewed_anyway(
    context: &Context<'_>,
    branches: &[Branch],
) -> Result<BTreeMap<(usize, catalogue::Code), bool>, RequestFault> {
    let mut renewed: BTreeMap<(usize, catalogue::Code), bool> = BTreeMap::new();
    for branch in branches {
        for place in places(context, branch)? {
            let must = !place.must.is_empty();
            let entry = renewed.entry((place.unit, place.position.position.clone())).or_insert(true);
            *entry &= must;
        }
    }
    Ok(renewed)
}

/// What a weak point asks for when it is found; `None` if that changes nothing. Grades count alike where no outside work tells
/// them apart.
fn asks(
    context: &Context<'_>,
    unit: usize,
    point: &WeakPoint,
    renewed: &BTreeMap<(usize, catalogue::Code), bool>,
) -> Option<Asks> {
    let key = (unit, point.position.clone());
    let works = context
        .graph
        .snapshot
        .outside_work
        .iter()
        .filter(|work| work.unit == point.unit && work.position.as_ref() == Some(&point.position));
    let speaks: Vec<Option<Grade>> = works.map(|work| work.finding).collect();
    let work = speaks.iter().any(|finding| finding.is_none_or(|grade| grade == point.finding));
    let nothing_more = renewed.get(&key).is_none_or(|renewed| *renewed);
    if point.finding == Grade::Good || (nothing_more && !work) {
        return None;
    }
    let grade = if speaks.iter().any(Option::is_some) { point.finding } else { Grade::Worn };
    Some((key.0, key.1, grade))
}

impl Space<'_> {
    /// How many outcomes there are; as many as can be counted.
    pub(super) fn count(&self) -> usize {
        self.groups.iter().fold(1, |count: usize, group| count.saturating_mul(group.ways.len().max(1)))
    }

    /// At most so many outcomes, the likeliest first.
    pub(super) fn likeliest(&self, most: usize) -> Vec<Outcome> {
        let likelihood = |ways: &[usize]| {
            self.groups.iter().zip(ways).map(|(group, way)| group.ways[*way].likelihood).product()
        };
        let first = vec![0; self.groups.len()];
        let mut heap = BinaryHeap::from([Next { likelihood: likelihood(&first), ways: first.clone() }]);
        let mut seen: BTreeSet<Vec<usize>> = BTreeSet::from([first]);
        let mut found = Vec::new();
        while let Some(Next { likelihood: is, ways }) = heap.pop() {
            for at in 0..ways.len() {
                let mut next = ways.clone();
                next[at] += 1;
                if next[at] < self.groups[at].ways.len() && seen.insert(next.clone()) {
                    heap.push(Next { likelihood: likelihood(&next), ways: next });
                }
            }
            found.push(Outcome { ways, likelihood: is });
            if found.len() == most {
                break;
            }
        }
        found
    }

    /// The findings of an outcome, with their units.
    pub(super) fn findings(&self, outcome: &Outcome) -> Vec<(usize, Finding)> {
        let asks = self.groups.iter().zip(&outcome.ways).flat_map(|(group, way)| &group.ways[*way].asks);
        asks.map(finding).collect()
    }

    /// The findings that every outcome holds.
    pub(super) fn certain_findings(&self) -> Vec<(usize, Finding)> {
        let mut certain = Vec::new();
        for group in &self.groups {
            let all = group.ways.iter().flat_map(|way| &way.asks).collect::<BTreeSet<_>>();
            certain.extend(all.into_iter().filter(|asks| group.ways.iter().all(|w| w.asks.contains(asks))));
        }
        certain.into_iter().map(finding).collect()
    }

    /// All findings that any outcome holds.
    pub(super) fn all_findings(&self) -> Vec<(usize, Finding)> {
        let all: BTreeSet<&Asks> =
            self.groups.iter().flat_map(|group| &group.ways).flat_map(|way| &way.asks).collect();
        all.into_iter().map(finding).collect()
    }
}

fn finding((unit, position, grade): &Asks) -> (usize, Finding) {
    let finding =
        Finding { position: position.clone(), grade: Some(*grade), bench_value: None, measured: None };
    (*unit, finding)
}

/// An outcome in the queue: the likelier comes first, of equals the one whose ways come first.
#[derive(PartialEq)]
struct Next {
    likelihood: f64,
    ways: Vec<usize>,
}

impl Eq for Next {}

impl PartialOrd for Next {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Next {
    fn cmp(&self, other: &Self) -> Ordering {
        self.likelihood.total_cmp(&other.likelihood).then_with(|| other.ways.cmp(&self.ways))
    }
}
