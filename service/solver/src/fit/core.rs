//! From a problem to its open part: laid flat, priced, propagated, reduced.

use super::dominance::{Ties, drop_dominated};
use super::network::Network;
use super::problem::Problem;
use super::propagate::{Agenda, Silent, propagate};
use super::reduced::{HIDDEN, Reduced};
use super::weight::{Scale, Weight};

/// The open part of a problem and the values of the variables that are not open.
#[derive(Debug, Clone)]
pub(super) struct Core<W> {
    pub(super) reduced: Reduced<W>,
    /// The only value of each variable that is not open; zero for the others.
    fixed: Vec<usize>,
}

impl<W: Weight> Core<W> {
    /// Propagates and reduces. `ties` says which values may be dropped because another stands in for them; `None` drops
    /// none. Gives `None` if no assignment exists; that it gives one does not mean that there is one.
    pub(super) fn new(
        mut network: Network,
        problem: &Problem,
        scale: &Scale,
        ties: Option<Ties>,
    ) -> Option<Self> {
        if network.never.is_some() || network.count.contains(&0) {
            return None;
        }
        let mut agenda = Agenda::full(&network);
        propagate(&mut network, &mut agenda, &mut Silent).ok()?;
        let cost = prices(&network, problem, scale);
        if let Some(ties) = ties {
            drop_dominated(&mut network, &mut agenda, &cost, scale, ties).ok()?;
        }
        let reduced = Reduced::new(&network, &cost, scale);
        let mut fixed = vec![0; network.domain.len()];
        for (variable, fixed) in fixed.iter_mut().enumerate() {
            if network.count[variable] == 1 {
                network.for_live(variable, |value| *fixed = value);
            }
        }
        Some(Self { reduced, fixed })
    }

    /// The values of all variables for values of the open ones.
    pub(super) fn values(&self, open: &[u32]) -> Vec<usize> {
        let mut values = self.fixed.clone();
        for (at, (&variable, &local)) in self.reduced.variables.iter().zip(open).enumerate() {
            if variable != HIDDEN {
                values[variable as usize] = self.reduced.value(at, local as usize);
            }
        }
        values
    }
}

/// The packed cost of each value, unary constraints included.
fn prices<W: Weight>(network: &Network, problem: &Problem, scale: &Scale) -> Vec<W> {
    let mut cost = Vec::with_capacity(network.value_start.last().map_or(0, |&end| end as usize));
    for values in &problem.variables {
        let least = values.iter().map(|value| value.cost.money).min().unwrap_or(0);
        cost.extend(values.iter().map(|value| scale.pack::<W>(value.cost, least)));
    }
    for (cost, &count) in cost.iter_mut().zip(&network.unary_unverified) {
        *cost = cost.plus(scale.unverified(count));
    }
    cost
}
