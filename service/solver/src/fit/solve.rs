//! The best assignments: which method, and what its answer means.

use super::answer::{Alternatives, Assignment, Outcome};
use super::branch::{Answer, Wanted, bounds, search};
use super::conflict;
use super::core::Core;
use super::dominance::Ties;
use super::eliminate::{Stopped, eliminate};
use super::invalid::InvalidProblem;
use super::k_best::{self, Found};
use super::lay_out::Facts;
use super::network::Network;
use super::order::{Order, neighbours};
use super::problem::{Budget, Problem};
use super::reduced::Reduced;
use super::weight::{Aim, Scale, Weight};

/// Finds the assignment of least [`Cost`](super::Cost); among those of equal cost the one with the lexicographically
/// smallest value vector.
///
/// # Errors
///
/// [`InvalidProblem`] where the problem refers to what it does not have, or its sums leave the number range.
pub fn solve(problem: &Problem, budget: &Budget<'_>) -> Result<Outcome, InvalidProblem> {
    let network = Network::new(problem, &Facts::All)?;
    let scale = Scale::of(problem, network.most_unverified, Aim::Full)?;
    let answer = if scale.fits_64_bits() {
        run::<u64>(network, problem, &scale, 1, budget)
    } else {
        run::<u128>(network, problem, &scale, 1, budget)
    };
    Ok(match answer {
        Alternatives::Proven(mut found) => match found.pop() {
            Some(best) => Outcome::Optimal(best),
            None => Outcome::Conflict(conflict::of_impossible(problem, budget)),
        },
        Alternatives::Bounded { mut found, bound } => Outcome::Bounded { best: found.pop(), bound },
        Alternatives::Conflict(conflict) => Outcome::Conflict(conflict),
    })
}

/// Finds the `k` best distinct assignments, by [`Cost`](super::Cost), then by value vector.
///
/// # Errors
///
/// [`InvalidProblem`] where the problem refers to what it does not have, or its sums leave the number range.
pub fn k_best(problem: &Problem, k: usize, budget: &Budget<'_>) -> Result<Alternatives, InvalidProblem> {
    let network = Network::new(problem, &Facts::All)?;
    let scale = Scale::of(problem, network.most_unverified, Aim::Full)?;
    Ok(if scale.fits_64_bits() {
        run::<u64>(network, problem, &scale, k, budget)
    } else {
        run::<u128>(network, problem, &scale, k, budget)
    })
}

fn run<W: Weight>(
    network: Network,
    problem: &Problem,
    scale: &Scale,
    k: usize,
    budget: &Budget<'_>,
) -> Alternatives {
    let ties = (k == 1).then_some(Ties::KeepFirst);
    let Some(core) = Core::<W>::new(network, problem, scale, ties) else {
        return Alternatives::Conflict(conflict::of_impossible(problem, budget));
    };
    let answer = best(&core.reduced, k, budget);
    if answer.proven && answer.found.is_empty() && k > 0 {
        return Alternatives::Conflict(conflict::of_impossible(problem, budget));
    }
    let base = core.reduced.base;
    let found = answer
        .found
        .iter()
        .map(|(cost, open)| Assignment { values: core.values(open), cost: scale.unpack(base.plus(*cost)) });
    if answer.proven {
        Alternatives::Proven(found.collect())
    } else {
        Alternatives::Bounded { found: found.collect(), bound: scale.unpack(base.plus(answer.bound)) }
    }
}

/// The `k` best assignments of the open variables, without the base cost.
pub(super) fn best<W: Weight>(reduced: &Reduced<W>, k: usize, budget: &Budget<'_>) -> Answer<W> {
    let order = Order::of(reduced);
    if order.fits(budget) {
        return best_exactly(reduced, order, k, budget);
    }
    let mut nodes = budget.max_nodes;
    let mut whole =
        Answer { found: vec![(W::default(), vec![0; reduced.len()])], bound: W::default(), proven: true };
    for variables in components(reduced) {
        let part = reduced.part(&variables);
        let order = Order::of(&part);
        let answer = if order.fits(budget) {
            best_exactly(&part, order, k, budget)
        } else {
            let wanted = Wanted { k, any_within: None, with: None };
            match bounds(&part, order, budget) {
                Ok(tables) => search(&tables, wanted, budget, &mut nodes),
                Err(Stopped) => stopped(&part),
            }
        };
        if answer.proven && answer.found.is_empty() {
            return answer;
        }
        whole.bound = whole.bound.plus(answer.bound);
        whole.proven &= answer.proven;
        whole.found = pairs(&whole.found, &answer.found, &variables, k);
    }
    whole
}

fn best_exactly<W: Weight>(reduced: &Reduced<W>, order: Order, k: usize, budget: &Budget<'_>) -> Answer<W> {
    match eliminate(reduced, order, usize::MAX, budget) {
        Ok(tables) => Answer { found: k_best::best(&tables, k), bound: tables.bound, proven: true },
        Err(Stopped) => stopped(reduced),
    }
}

/// What is known without any work: each variable costs its least value at least.
pub(super) fn stopped<W: Weight>(reduced: &Reduced<W>) -> Answer<W> {
    let least = |variable| reduced.unary(variable).iter().copied().min().unwrap_or_default();
    let bound = (0..reduced.len()).map(least).fold(W::default(), W::plus);
    Answer { found: Vec::new(), bound, proven: false }
}

/// The best of all combinations of two lists over different variables; `variables` are those of the second one.
fn pairs<W: Weight>(whole: &[Found<W>], part: &[Found<W>], variables: &[usize], k: usize) -> Vec<Found<W>> {
    let mut found = Vec::with_capacity(whole.len() * part.len());
    for (cost, values) in whole {
        for (more, own) in part {
            let mut values = values.clone();
            for (&variable, &value) in variables.iter().zip(own) {
                values[variable] = value;
            }
            found.push((cost.plus(*more), values));
        }
    }
    found.sort_unstable();
    found.truncate(k);
    found
}

/// The open variables in groups that no factor ties together, each rising.
pub(super) fn components<W: Weight>(reduced: &Reduced<W>) -> Vec<Vec<usize>> {
    let graph = neighbours(reduced);
    let mut seen = vec![false; reduced.len()];
    let mut components = Vec::new();
    for start in 0..reduced.len() {
        if std::mem::replace(&mut seen[start], true) {
            continue;
        }
        let mut component = vec![start];
        let mut next = 0;
        while let Some(&variable) = component.get(next) {
            next += 1;
            for &neighbour in &graph[variable] {
                if !std::mem::replace(&mut seen[neighbour as usize], true) {
                    component.push(neighbour as usize);
                }
            }
        }
        component.sort_unstable();
        components.push(component);
    }
    components
}
