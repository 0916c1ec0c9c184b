//! The choice that is left, written as a problem of its own.

use std::collections::BTreeMap;

use super::answer::Residual;
use super::optima::Row;
use super::problem::{Constraint, Cost, Problem, Value};
use super::tables::Tables;
use super::tuples::Tuples;
use super::weight::Weight;

/// What the values of some variables may be together.
#[derive(Debug, Clone)]
pub(super) struct Relation {
    pub(super) scope: Vec<usize>,
    pub(super) tuples: Vec<Vec<usize>>,
}

/// What became of one component, in the indices of the problem.
#[derive(Debug, Clone)]
pub(super) struct Share {
    /// The supported values of each of its variables.
    pub(super) values: Vec<(usize, Vec<usize>)>,
    /// Relations that hold of exactly its optima, if known.
    pub(super) relations: Option<Vec<Relation>>,
}

/// The relations between the variables of a component that hold of exactly its optima.
///
/// At each place the rows say what the variable may be, given its separator. A variable of the separator on which that
/// does not depend is left out: which separators occur at all is what the relations of later places say.
pub(super) fn relations<W: Weight>(
    tables: &Tables<'_, W>,
    rows: &[Vec<Row>],
    support: &[Vec<u32>],
) -> Vec<Relation> {
    let mut relations = Vec::new();
    for (position, rows) in rows.iter().enumerate() {
        let variable = tables.order.sequence[position] as usize;
        if support[variable].len() < 2 {
            continue;
        }
        let separator = tables.scope(tables.groups[position].out);
        let mut columns: Vec<usize> =
            (0..separator.len()).filter(|&column| support[separator[column] as usize].len() > 1).collect();
        for column in columns.clone() {
            let fewer: Vec<usize> = columns.iter().copied().filter(|&other| other != column).collect();
            if by_key(rows, &fewer).is_some() {
                columns = fewer;
            }
        }
        if columns.is_empty() {
            continue;
        }
        let mut scope: Vec<usize> = columns.iter().map(|&column| separator[column] as usize).collect();
        scope.push(variable);
        let keyed = by_key(rows, &columns).unwrap_or_default();
        let tuples = keyed
            .iter()
            .flat_map(|(key, values)| values.iter().map(move |value| (key, value)))
            .map(|(key, &value)| key.iter().chain([&value]).map(|&local| local as usize).collect())
            .collect();
        relations.push(Relation { scope, tuples });
    }
    relations
}

/// The values by the given columns of the separator; `None` if they do not decide them.
fn by_key<'r>(rows: &'r [Row], columns: &[usize]) -> Option<BTreeMap<Vec<u32>, &'r [u32]>> {
    let mut keyed: BTreeMap<Vec<u32>, &[u32]> = BTreeMap::new();
    for row in rows {
        let key = columns.iter().map(|&column| row.separator[column]).collect();
        if *keyed.entry(key).or_insert(&row.values) != row.values {
            return None;
        }
    }
    Some(keyed)
}

/// Puts the components together. `optimum` is any assignment of least (changes, unverified).
pub(super) fn assemble(
    problem: &Problem,
    optimum: &[usize],
    shares: &[Share],
) -> (Vec<Vec<usize>>, Residual) {
    let mut values: Vec<Vec<usize>> = optimum.iter().map(|&value| vec![value]).collect();
    for (variable, supported) in shares.iter().flat_map(|share| &share.values) {
        values[*variable].clone_from(supported);
    }
    let mut builder =
        Builder { problem, values: &values, new_index: vec![None; values.len()], open: Vec::new() };
    for (variable, supported) in values.iter().enumerate() {
        if supported.len() > 1 {
            builder.new_index[variable] = Some(builder.open.len());
            builder.open.push(variable);
        }
    }
    // Where the relations of a component are not known, its own costs stay in, and so do its constraints.
    let mut priced = vec![false; values.len()];
    for share in shares.iter().filter(|share| share.relations.is_none()) {
        for (variable, _) in &share.values {
            priced[*variable] = true;
        }
    }
    let exact = !builder.open.iter().any(|&variable| priced[variable]);
    let mut constraints: Vec<Constraint> = shares
        .iter()
        .flat_map(|share| share.relations.iter().flatten())
        .map(|relation| builder.relation(relation))
        .collect();
    for constraint in &problem.constraints {
        if constraint.scope.iter().any(|&variable| priced[variable] && values[variable].len() > 1) {
            constraints.extend(builder.narrowed(constraint));
        }
    }
    let variables = builder.open.iter().map(|&variable| builder.list(variable, priced[variable])).collect();
    let residual = Problem { variables, constraints, restrictions: Vec::new() };
    let fixed = values.iter().enumerate().filter(|(_, supported)| supported.len() == 1);
    let fixed_money =
        fixed.map(|(variable, supported)| problem.variables[variable][supported[0]].cost.money).sum();
    let limit = builder.limit(&residual, optimum);
    let residual = Residual {
        values: builder.open.iter().map(|&variable| values[variable].clone()).collect(),
        variables: builder.open,
        problem: residual,
        exact,
        limit,
        fixed_money,
    };
    (values, residual)
}

struct Builder<'a> {
    problem: &'a Problem,
    values: &'a [Vec<usize>],
    new_index: Vec<Option<usize>>,
    open: Vec<usize>,
}

impl Builder<'_> {
    /// The new index of a supported value.
    fn value(&self, variable: usize, value: usize) -> Option<usize> {
        self.values[variable].binary_search(&value).ok()
    }

    fn list(&self, variable: usize, priced: bool) -> Vec<Value> {
        self.values[variable]
            .iter()
            .map(|&value| self.problem.variables[variable][value].cost)
            .map(|cost| Value {
                cost: if priced { cost } else { Cost { money: cost.money, ..Cost::default() } },
            })
            .collect()
    }

    /// A relation in the new indices; all its variables are open and all its values supported.
    fn relation(&self, relation: &Relation) -> Constraint {
        let tuples = relation.tuples.iter().map(|tuple| {
            let places = relation.scope.iter().zip(tuple);
            places.filter_map(|(&v, &value)| self.value(v, value)).collect::<Vec<usize>>()
        });
        Constraint {
            tuples: Tuples::of(tuples),
            scope: relation.scope.iter().filter_map(|&variable| self.new_index[variable]).collect(),
        }
    }

    /// A constraint on the open variables only, with the supported values only; `None` if nothing is left of it.
    fn narrowed(&self, constraint: &Constraint) -> Option<Constraint> {
        let scope: Vec<usize> =
            constraint.scope.iter().filter_map(|&variable| self.new_index[variable]).collect();
        let mut kept: BTreeMap<Vec<usize>, u32> = BTreeMap::new();
        for tuple in constraint.tuples.iter() {
            let places = constraint.scope.iter().zip(tuple.values);
            let supported: Option<Vec<usize>> =
                places.map(|(&variable, &value)| self.value(variable, value as usize)).collect();
            let Some(supported) = supported else { continue };
            let open = constraint.scope.iter().zip(supported);
            let key =
                open.filter(|(variable, _)| self.new_index[**variable].is_some()).map(|(_, value)| value);
            let entry = kept.entry(key.collect()).or_insert(tuple.unverified);
            *entry = tuple.unverified.min(*entry);
        }
        let all = scope
            .iter()
            .try_fold(1_usize, |all, &variable| all.checked_mul(self.values[self.open[variable]].len()));
        if Some(kept.len()) == all && kept.values().all(|&unverified| unverified == 0) {
            return None;
        }
        Some(Constraint { scope, tuples: kept.into_iter().collect() })
    }

    /// The (changes, unverified) of an optimum as the residual problem counts them.
    fn limit(&self, residual: &Problem, optimum: &[usize]) -> Cost {
        let values: Vec<usize> =
            self.open.iter().map(|&variable| self.value(variable, optimum[variable]).unwrap_or(0)).collect();
        let own: Cost = residual.variables.iter().zip(&values).map(|(list, &value)| list[value].cost).sum();
        let joints: u32 = residual
            .constraints
            .iter()
            .filter_map(|constraint| {
                constraint.tuples.iter().find(|tuple| tuple.is_part_of(&values, &constraint.scope))
            })
            .map(|tuple| tuple.unverified)
            .sum();
        Cost { changes: own.changes, unverified: own.unverified + joints, money: 0 }
    }
}
