//! One way in which what is not known may turn out.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Code, PartKey};

use crate::condition::{Condition, Points};
use crate::graph::Graph;
use crate::identify::KnownUnit;
use crate::request_fault::{RequestFault, RequestFaultKind};

/// Most combinations of what is not known that are looked at, whether or not the answer differs by them.
pub(crate) const COMBINATIONS_MAX: usize = 512;

/// Most outcomes with a need of their own that are answered at once.
pub(crate) const BRANCHES_MAX: usize = 64;

/// What is taken to hold.
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Branch {
    /// For each unit of the request the variants that hold.
    pub(crate) variants: Vec<Vec<Code>>,
    /// For each unit and row of a notice whose condition is not known: whether it holds.
    pub(crate) conditions: BTreeMap<(usize, usize), bool>,
    /// The open facts of this branch, as a person reads them: variants, and conditions of notices.
    pub(crate) open: Vec<Code>,
}

/// One fact that is not known, with its outcomes.
#[derive(Debug, Clone)]
pub(crate) struct OpenFact {
    /// The unit of the request.
    pub(crate) unit: usize,
    /// The option group, or the notice whose condition is open.
    pub(crate) group: Code,
    /// Its outcomes.
    pub(crate) outcomes: Vec<OpenOutcome>,
    /// How to tell on the bench.
    pub(crate) how_to_tell: Vec<String>,
}

/// One outcome of an open fact.
#[derive(Debug, Clone)]
pub(crate) struct OpenOutcome {
    /// What a person calls it.
    pub(crate) name: Code,
    /// The variant that holds in it.
    pub(crate) variant: Option<Code>,
    /// The rows of notices it settles.
    pub(crate) conditions: Vec<(usize, bool)>,
}

impl Branch {
    fn with(&self, fact: &OpenFact, outcome: &OpenOutcome) -> Self {
        let mut branch = self.clone();
        branch.variants[fact.unit].extend(outcome.variant.clone());
        branch.conditions.extend(outcome.conditions.iter().map(|(row, holds)| ((fact.unit, *row), *holds)));
        branch.open.push(outcome.name.clone());
        branch
    }

    /// Whether a variant holds in a unit; a row without one holds in all.
    pub(crate) fn holds(&self, unit: usize, variant: Option<&Code>) -> bool {
        variant.is_none_or(|variant| self.variants[unit].contains(variant))
    }
}

/// The facts that are open and that some row of the catalogue speaks of.
pub(crate) fn open_facts(graph: &Graph<'_>, units: &[KnownUnit<'_>]) -> Vec<OpenFact> {
    let mut facts = Vec::new();
    for unit in units {
        for (group, members) in &unit.options {
            let speaks = members.iter().any(|variant| is_spoken_of(graph, unit, &variant.variant));
            if members.len() > 1 && speaks {
                facts.push(OpenFact {
                    unit: unit.index,
                    group: Code::from_stored(*group),
                    outcomes: members
                        .iter()
                        .map(|variant| OpenOutcome {
                            name: variant.variant.clone(),
                            variant: Some(variant.variant.clone()),
                            conditions: Vec::new(),
                        })
                        .collect(),
                    how_to_tell: members.iter().filter_map(|variant| variant.how_to_tell.clone()).collect(),
                });
            }
        }
        facts.extend(open_conditions(graph, unit));
    }
    facts
}

fn is_spoken_of(graph: &Graph<'_>, unit: &KnownUnit<'_>, variant: &Code) -> bool {
    let key = &unit.unit.unit;
    let rows = graph.snapshot;
    rows.positions.iter().any(|row| row.unit == *key && row.variant.as_ref() == Some(variant))
        || rows.candidates.iter().any(|row| row.unit == *key && row.variant.as_ref() == Some(variant))
        || rows
            .supersessions
            .iter()
            .any(|row| row.unit.as_ref() == Some(key) && row.variant.as_ref() == Some(variant))
}

/// Notices with a serial or date condition that is not known for a unit. Rows of one condition hold together; of rows with
/// different ones each condition is an outcome, and so is that none of them holds.
fn open_conditions(graph: &Graph<'_>, unit: &KnownUnit<'_>) -> Vec<OpenFact> {
    let mut by_notice: BTreeMap<&Code, BTreeMap<Condition, Vec<usize>>> = BTreeMap::new();
    for (row, notice) in graph.snapshot.supersessions.iter().enumerate() {
        let speaks = notice.unit.as_ref().is_none_or(|key| *key == unit.unit.unit);
        let condition = Condition::of(notice);
        let open = unit.in_range(condition.serial, condition.built).is_none();
        if speaks && open && concerns(graph, unit, row) {
            by_notice.entry(&notice.notice).or_default().entry(condition).or_default().push(row);
        }
    }
    by_notice.into_iter().map(|(notice, rows)| open_condition(unit, notice, &rows)).collect()
}

fn open_condition(unit: &KnownUnit<'_>, notice: &Code, rows: &BTreeMap<Condition, Vec<usize>>) -> OpenFact {
    let points = Points::of(unit, rows.keys());
    let mut outcomes: BTreeMap<Vec<bool>, OpenOutcome> = BTreeMap::new();
    for point in points.all() {
        let holding: Vec<bool> = rows.keys().map(|condition| condition.holds_at(point)).collect();
        outcomes.entry(holding.clone()).or_insert_with(|| {
            let of = |wanted: bool| rows.keys().zip(&holding).filter(move |(_, h)| **h == wanted);
            let names: Vec<String> = of(true).map(|(condition, _)| condition.name()).collect();
            let name = match names.as_slice() {
                [] => of(false).map(|(c, _)| format!("NOT-{}", c.name())).collect::<Vec<_>>().join("-"),
                names => names.join("-"),
            };
            let settled = rows.values().zip(&holding);
            let conditions =
                settled.flat_map(|(rows, holds)| rows.iter().map(|row| (*row, *holds))).collect();
            OpenOutcome { name: Code::from_stored(name), variant: None, conditions }
        });
    }
    let mut outcomes: Vec<OpenOutcome> = outcomes.into_values().collect();
    // Those in which more holds come first, in the order of their rows.
    outcomes.reverse();
    let tell = "read the serial number and the build date on the plate".to_owned();
    OpenFact { unit: unit.index, group: notice.clone(), outcomes, how_to_tell: vec![tell] }
}

/// Whether the old number of a notice stands in the unit, or follows from a number that does.
fn concerns(graph: &Graph<'_>, unit: &KnownUnit<'_>, row: usize) -> bool {
    let Some(old) = graph.find(&graph.snapshot.supersessions[row].old) else { return false };
    let of_unit = graph.snapshot.candidates.iter().filter(|candidate| candidate.unit == unit.unit.unit);
    let inside = unit.request.inside.iter().map(|inside| &inside.part);
    let standing: BTreeSet<&PartKey> = of_unit.map(|candidate| &candidate.part).chain(inside).collect();
    let mut seen = BTreeSet::from([old]);
    let mut frontier = vec![old];
    while let Some(part) = frontier.pop() {
        if standing.contains(&graph.part(part).part) {
            return true;
        }
        frontier
            .extend(graph.notices_to(part).iter().map(|before| before.old).filter(|old| seen.insert(*old)));
    }
    false
}

/// All combinations of the outcomes of the open facts that some serial number and build date allow.
pub(crate) fn branches(
    graph: &Graph<'_>,
    units: &[KnownUnit<'_>],
    facts: &[OpenFact],
) -> Result<Vec<Branch>, RequestFault> {
    let settled = |unit: &KnownUnit<'_>| -> Vec<Code> {
        unit.options.values().filter(|m| m.len() == 1).map(|m| m[0].variant.clone()).collect()
    };
    let mut branches = vec![Branch { variants: units.iter().map(settled).collect(), ..Branch::default() }];
    for fact in facts {
        let mut next = Vec::new();
        for branch in &branches {
            next.extend(fact.outcomes.iter().map(|outcome| branch.with(fact, outcome)));
        }
        next.retain(|branch| can_be(graph, &units[fact.unit], branch));
        if next.len() > COMBINATIONS_MAX {
            let names = facts.iter().map(|fact| fact.group.to_string()).collect();
            return Err(too_much_unknown(COMBINATIONS_MAX, "combinations", names));
        }
        branches = next;
    }
    Ok(branches)
}

/// Refuses branches of which more than can be answered at once have a need of their own. `classes` says for each branch
/// which need it has; an unknown is named where the need differs by it alone.
pub(crate) fn check_outcomes(
    branches: &[Branch],
    classes: &[usize],
    facts: &[OpenFact],
) -> Result<(), RequestFault> {
    if classes.iter().collect::<BTreeSet<_>>().len() <= BRANCHES_MAX {
        return Ok(());
    }
    let differs = |fact: usize| {
        let mut by_rest: BTreeMap<Vec<&Code>, usize> = BTreeMap::new();
        branches.iter().zip(classes).any(|(branch, class)| {
            let rest = branch.open.iter().enumerate().filter(|(at, _)| *at != fact).map(|(_, code)| code);
            by_rest.insert(rest.collect(), *class).is_some_and(|before| before != *class)
        })
    };
    let groups =
        facts.iter().enumerate().filter(|(at, _)| differs(*at)).map(|(_, fact)| fact.group.to_string());
    Err(too_much_unknown(BRANCHES_MAX, "outcomes", groups.collect()))
}

fn too_much_unknown(most: usize, what: &str, names: Vec<String>) -> RequestFault {
    let mut fault = RequestFault::new(
        RequestFaultKind::TooManyUnknowns,
        "/units",
        format!(
            "too much is not known: more than {most} {what} are open; settle some of {}",
            names.join(", ")
        ),
    );
    fault.suggestions = names;
    fault
}

/// Whether some serial number and build date lets all hold that a branch takes to hold of a unit.
fn can_be(graph: &Graph<'_>, unit: &KnownUnit<'_>, branch: &Branch) -> bool {
    let variants =
        unit.options.values().flatten().filter(|v| branch.variants[unit.index].contains(&v.variant));
    let mut wanted: Vec<(Condition, bool)> = variants
        .map(|v| Condition { serial: (v.serial_from, v.serial_to), built: (v.built_from, v.built_to) })
        .map(|condition| (condition, true))
        .collect();
    for ((of, row), holds) in &branch.conditions {
        if *of == unit.index {
            wanted.push((Condition::of(&graph.snapshot.supersessions[*row]), *holds));
        }
    }
    let points = Points::of(unit, wanted.iter().map(|(condition, _)| condition));
    points.all().any(|point| wanted.iter().all(|(c, holds)| c.holds_at(point) == *holds))
}
