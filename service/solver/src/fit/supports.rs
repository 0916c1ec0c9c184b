//! What stays open once changes and unverified joints are as few as they can be.

use super::answer::{Assignment, Supports, SupportsOutcome};
use super::branch::{Answer, Wanted, bounds, search};
use super::conflict;
use super::core::Core;
use super::decode::Decoder;
use super::dominance::Ties;
use super::eliminate::{Stopped, eliminate};
use super::invalid::InvalidProblem;
use super::lay_out::Facts;
use super::network::Network;
use super::optima;
use super::order::Order;
use super::problem::{Budget, Cost, Problem};
use super::reduced::{HIDDEN, Reduced};
use super::residual::{Relation, Share, assemble, relations};
use super::solve::{components, stopped};
use super::weight::{Aim, Scale, Weight};

/// Finds the least (changes, unverified), the values that stand in some assignment of it whatever the money, and the
/// choice that is left among those assignments.
///
/// # Errors
///
/// [`InvalidProblem`] where the problem refers to what it does not have, or its sums leave the number range.
pub fn supports(problem: &Problem, budget: &Budget<'_>) -> Result<SupportsOutcome, InvalidProblem> {
    let network = Network::new(problem, &Facts::All)?;
    let scale = Scale::of(problem, network.most_unverified, Aim::Fewest)?;
    // Changes and unverified joints are 32 bits each; two bits are kept free for signed differences.
    Ok(if scale.fits_64_bits() {
        run::<u64>(network, problem, &scale, budget)
    } else {
        run::<u128>(network, problem, &scale, budget)
    })
}

fn run<W: Weight>(
    network: Network,
    problem: &Problem,
    scale: &Scale,
    budget: &Budget<'_>,
) -> SupportsOutcome {
    let impossible = || SupportsOutcome::Conflict(conflict::of_impossible(problem, budget));
    let Some(core) = Core::<W>::new(network, problem, scale, Some(Ties::KeepAll)) else {
        return impossible();
    };
    let reduced = &core.reduced;
    let mut nodes = budget.max_nodes;
    let mut least = reduced.base;
    let mut optimum = vec![0; reduced.len()];
    let mut found_all = true;
    let mut proven = true;
    let mut shares: Vec<Share> = Vec::new();
    for component in components(reduced) {
        let part = reduced.part(&component);
        let (answer, support) = examine(&part, budget, &mut nodes);
        if answer.proven && answer.found.is_empty() {
            return impossible();
        }
        least = least.plus(answer.bound);
        match answer.found.first() {
            Some((_, values)) => {
                component.iter().zip(values).for_each(|(&variable, &value)| optimum[variable] = value);
            }
            None => found_all = false,
        }
        match support.filter(|_| answer.proven) {
            Some((values, relations)) => shares.push(share(reduced, &component, values, relations)),
            None => proven = false,
        }
    }
    let optimum = core.values(&optimum);
    if !proven {
        let best = found_all.then(|| Assignment { cost: price(problem, &optimum), values: optimum });
        return SupportsOutcome::Bounded { best, bound: scale.unpack(least) };
    }
    let (values, residual) = assemble(problem, &optimum, &shares);
    SupportsOutcome::Proven(Supports { least: scale.unpack(least), values, residual })
}

/// The supported values of each variable of a component, and their relations if they say it all.
type Support = (Vec<Vec<u32>>, Option<Vec<Relation>>);

fn examine<W: Weight>(
    part: &Reduced<W>,
    budget: &Budget<'_>,
    nodes: &mut u64,
) -> (Answer<W>, Option<Support>) {
    let order = Order::of(part);
    if !order.fits(budget) {
        return match bounds(part, order, budget) {
            Ok(tables) => {
                let wanted = Wanted { k: 1, any_within: None, with: None };
                let answer = search(&tables, wanted, budget, nodes);
                let support = one_by_one(&tables, &answer, budget, nodes);
                (answer, support.map(|values| (values, None)))
            }
            Err(Stopped) => (stopped(part), None),
        };
    }
    let Ok(tables) = eliminate(part, order, usize::MAX, budget) else { return (stopped(part), None) };
    let bound = tables.bound;
    if bound == W::FORBIDDEN {
        return (Answer { found: Vec::new(), bound, proven: true }, None);
    }
    let mut values = vec![0; part.len()];
    Decoder::new(&tables).complete(&mut values, part.len());
    let rows = optima::rows(&tables);
    let mut support = vec![Vec::new(); part.len()];
    for (position, rows) in rows.iter().enumerate() {
        let values = &mut support[tables.order.sequence[position] as usize];
        values.extend(rows.iter().flat_map(|row| row.values.iter().copied()));
        values.sort_unstable();
        values.dedup();
    }
    let relations = (!part.variables.contains(&HIDDEN)).then(|| relations(&tables, &rows, &support));
    (Answer { found: vec![(bound, values)], bound, proven: true }, Some((support, relations)))
}

/// Asks for each value that no optimum has shown yet whether one has it. `None` if the budget ended.
fn one_by_one<W: Weight>(
    tables: &super::tables::Tables<'_, W>,
    answer: &Answer<W>,
    budget: &Budget<'_>,
    nodes: &mut u64,
) -> Option<Vec<Vec<u32>>> {
    let (least, first) = answer.found.first().filter(|_| answer.proven)?;
    let mut support: Vec<Vec<u32>> = first.iter().map(|&value| vec![value]).collect();
    for variable in 0..first.len() {
        if tables.reduced.variables[variable] == HIDDEN {
            continue;
        }
        for value in 0..tables.reduced.size(variable) as u32 {
            if support[variable].contains(&value) {
                continue;
            }
            let wanted = Wanted { k: 1, any_within: Some(*least), with: Some((variable as u32, value)) };
            let answer = search(tables, wanted, budget, nodes);
            if !answer.proven {
                return None;
            }
            for (values, &shown) in support.iter_mut().zip(answer.found.iter().flat_map(|(_, values)| values))
            {
                if !values.contains(&shown) {
                    values.push(shown);
                }
            }
        }
    }
    support.iter_mut().for_each(|values| values.sort_unstable());
    Some(support)
}

/// A component in the indices of the problem.
fn share<W: Weight>(
    reduced: &Reduced<W>,
    component: &[usize],
    support: Vec<Vec<u32>>,
    relations: Option<Vec<Relation>>,
) -> Share {
    let value = |at: usize, local: u32| reduced.value(component[at], local as usize);
    let values = support
        .iter()
        .enumerate()
        .filter(|&(at, _)| reduced.variables[component[at]] != HIDDEN)
        .map(|(at, locals)| {
            let values = locals.iter().map(|&local| value(at, local)).collect();
            (reduced.variables[component[at]] as usize, values)
        })
        .collect();
    let relations = relations.map(|relations| {
        relations
            .into_iter()
            .map(|relation| Relation {
                tuples: relation
                    .tuples
                    .iter()
                    .map(|tuple| {
                        tuple
                            .iter()
                            .zip(&relation.scope)
                            .map(|(&local, &at)| value(at, local as u32))
                            .collect()
                    })
                    .collect(),
                scope: relation.scope.iter().map(|&at| reduced.variables[component[at]] as usize).collect(),
            })
            .collect()
    });
    Share { values, relations }
}

/// What an assignment that holds costs.
fn price(problem: &Problem, values: &[usize]) -> Cost {
    let own = problem.variables.iter().zip(values).map(|(list, &value)| list[value].cost);
    let joints = problem.constraints.iter().map(|constraint| {
        let here = constraint.tuples.iter().filter(|tuple| tuple.is_part_of(values, &constraint.scope));
        let unverified = here.map(|tuple| tuple.unverified).min();
        Cost { unverified: unverified.unwrap_or(0), ..Cost::default() }
    });
    own.chain(joints).sum()
}
