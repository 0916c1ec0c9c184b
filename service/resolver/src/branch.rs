//! One way in which what is not known may turn out.

use std::collections::BTreeMap;

use catalogue::Code;

use crate::graph::Graph;
use crate::identify::KnownUnit;
use crate::request_fault::{RequestFault, RequestFaultKind};

/// Most outcomes that are answered at once.
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

/// Notices with a serial or date condition that is not known for a unit. Rows of one notice are its outcomes; a row that
/// stands alone holds or does not.
fn open_conditions(graph: &Graph<'_>, unit: &KnownUnit<'_>) -> Vec<OpenFact> {
    let mut by_notice: BTreeMap<&Code, Vec<usize>> = BTreeMap::new();
    for (row, notice) in graph.snapshot.supersessions.iter().enumerate() {
        let speaks =
            notice.unit.as_ref().is_none_or(|key| *key == unit.unit.unit) && concerns(graph, unit, row);
        let range =
            unit.in_range((notice.serial_from, notice.serial_to), (notice.built_from, notice.built_to));
        if speaks && range.is_none() {
            by_notice.entry(&notice.notice).or_default().push(row);
        }
    }
    by_notice
        .into_iter()
        .map(|(notice, rows)| {
            let name = |row: usize| Code::from_stored(condition_name(graph, row));
            let mut outcomes: Vec<OpenOutcome> = rows
                .iter()
                .map(|row| OpenOutcome {
                    name: name(*row),
                    variant: None,
                    conditions: rows.iter().map(|other| (*other, other == row)).collect(),
                })
                .collect();
            if let [row] = rows.as_slice() {
                outcomes.push(OpenOutcome {
                    name: Code::from_stored(format!("NOT-{}", name(*row))),
                    variant: None,
                    conditions: vec![(*row, false)],
                });
            }
            let tell = "read the serial number and the build date on the plate".to_owned();
            OpenFact { unit: unit.index, group: notice.clone(), outcomes, how_to_tell: vec![tell] }
        })
        .collect()
}

/// Whether the old number of a notice stands in the unit, or follows from a number that does.
fn concerns(graph: &Graph<'_>, unit: &KnownUnit<'_>, row: usize) -> bool {
    let Some(mut frontier) = graph.find(&graph.snapshot.supersessions[row].old).map(|old| vec![old]) else {
        return false;
    };
    let mut seen = frontier.clone();
    while let Some(part) = frontier.pop() {
        let key = &graph.part(part).part;
        let stands = graph.snapshot.candidates.iter().any(|c| c.unit == unit.unit.unit && c.part == *key)
            || unit.request.inside.iter().any(|inside| inside.part == *key);
        if stands {
            return true;
        }
        for before in graph.notices_to(part) {
            if !seen.contains(&before.old) {
                seen.push(before.old);
                frontier.push(before.old);
            }
        }
    }
    false
}

fn condition_name(graph: &Graph<'_>, row: usize) -> String {
    let notice = &graph.snapshot.supersessions[row];
    match (notice.serial_from, notice.serial_to, notice.built_from, notice.built_to) {
        (Some(from), Some(to), _, _) => format!("SERIAL-{from}-TO-{to}"),
        (Some(from), None, _, _) => format!("SERIAL-FROM-{from}"),
        (None, Some(to), _, _) => format!("SERIAL-TO-{to}"),
        (None, None, Some(from), Some(to)) => format!("BUILT-{from}-TO-{to}"),
        (None, None, Some(from), None) => format!("BUILT-FROM-{from}"),
        (None, None, None, Some(to)) => format!("BUILT-TO-{to}"),
        (None, None, None, None) => "ALWAYS".to_owned(),
    }
}

/// All combinations of the outcomes of the open facts.
pub(crate) fn branches(units: &[KnownUnit<'_>], facts: &[OpenFact]) -> Result<Vec<Branch>, RequestFault> {
    let count = facts.iter().try_fold(1_usize, |product, fact| product.checked_mul(fact.outcomes.len()));
    if count.is_none_or(|count| count > BRANCHES_MAX) {
        let names: Vec<String> = facts.iter().map(|fact| fact.group.to_string()).collect();
        let mut fault = RequestFault::new(
            RequestFaultKind::TooManyUnknowns,
            "/units",
            format!(
                "too much is not known: more than {BRANCHES_MAX} outcomes are open; settle some of {}",
                names.join(", ")
            ),
        );
        fault.suggestions = names;
        return Err(fault);
    }
    let settled = Branch {
        variants: units
            .iter()
            .map(|unit| {
                unit.options
                    .values()
                    .filter(|m| m.len() == 1)
                    .map(|m| m[0].variant.clone())
                    .collect::<Vec<_>>()
            })
            .collect(),
        ..Branch::default()
    };
    Ok(facts.iter().fold(vec![settled], |branches, fact| {
        let with = |branch: &Branch, outcome: &OpenOutcome| {
            let mut branch = branch.clone();
            branch.variants[fact.unit].extend(outcome.variant.clone());
            branch
                .conditions
                .extend(outcome.conditions.iter().map(|(row, holds)| ((fact.unit, *row), *holds)));
            branch.open.push(outcome.name.clone());
            branch
        };
        branches
            .iter()
            .flat_map(|branch| fact.outcomes.iter().map(move |outcome| with(branch, outcome)))
            .collect()
    }))
}
