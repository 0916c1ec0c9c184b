//! Drops values that another value of the same variable can always stand in for.
//!
//! Value `strong` stands in for value `weak` where every combination with `weak` that is still possible stays possible
//! with `strong` put in its place, and the cost cannot rise by it: not even where the exchange meets the worst
//! unverified joints in every constraint at once. If the cost may stay equal, `strong` must also be the smaller index,
//! so that the lexicographically smallest optimum is never lost.

use super::contexts::Contexts;
use super::network::{Binary, Network};
use super::propagate::{Agenda, Silent, Wiped, propagate};
use super::weight::{Scale, Weight};

/// How an exchange at equal cost is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ties {
    /// Exchanged towards the smaller index: keeps the lexicographically smallest optimum, loses others.
    KeepFirst,
    /// Not exchanged: keeps every optimum, loses only what is in none.
    KeepAll,
}

/// Drops what can be dropped and propagates until nothing changes.
pub(super) fn drop_dominated<W: Weight>(
    network: &mut Network,
    agenda: &mut Agenda,
    cost: &[W],
    scale: &Scale,
    ties: Ties,
) -> Result<(), Wiped> {
    let variables = network.domain.len();
    let mut waiting: Vec<u32> = (0..variables as u32).collect();
    let mut listed = vec![true; variables];
    let (mut values, mut dropped) = (Vec::new(), Vec::new());
    let mut contexts = Contexts::default();
    let mut nearby = Vec::new();
    let unit: u128 = scale.unverified::<W>(1).widen();
    agenda.touched.clear();
    let mut next = 0;
    while let Some(&variable) = waiting.get(next) {
        let variable = variable as usize;
        next += 1;
        listed[variable] = false;
        if network.count[variable] < 2 {
            continue;
        }
        values.clear();
        network.for_live(variable, |value| values.push(value));
        contexts.lay_out(network, variable);
        let start = network.value_start[variable] as usize;
        nearby.clear();
        nearby.extend(
            network.incident(variable).iter().map(|&constraint| Nearby::of(network, variable, constraint)),
        );
        let exchange = Exchange {
            network,
            contexts: &contexts,
            nearby: &nearby,
            variable,
            cost: &cost[start..],
            unit: unit as i128,
            ties,
        };
        exchange.dominated(&mut values, &mut dropped);
        if dropped.is_empty() {
            continue;
        }
        for value in dropped.drain(..) {
            network.remove(variable, value);
        }
        agenda.disturb(network, variable, usize::MAX);
        propagate(network, agenda, &mut Silent)?;
        for touched in agenda.touched.drain(..) {
            for &constraint in network.incident(touched as usize) {
                for &neighbour in network.scope(constraint as usize) {
                    let entry = &mut listed[neighbour as usize];
                    if neighbour != touched && !*entry && network.count[neighbour as usize] > 1 {
                        *entry = true;
                        waiting.push(neighbour);
                    }
                }
            }
        }
    }
    Ok(())
}

/// A constraint of the variable at hand.
#[derive(Debug, Clone, Copy)]
enum Nearby {
    /// A binary one without unverified joints whose rows are one word each: where they start, and what is live opposite.
    Narrow { rows: usize, live: u64 },
    /// Any other binary one.
    Binary(Binary),
    /// One of more variables, by its number.
    Wide(u32),
}

impl Nearby {
    fn of(network: &Network, variable: usize, constraint: u32) -> Self {
        let Some(&binary) = network.binaries.get(constraint as usize) else { return Self::Wide(constraint) };
        let side = usize::from(binary.scope[0] as usize != variable);
        let words = network.words(binary.scope[1 - side] as usize);
        if binary.unverified.is_none() && words.len() == 1 {
            Self::Narrow { rows: binary.rows[side] as usize, live: network.live[words.start] }
        } else {
            Self::Binary(binary)
        }
    }
}

/// The exchange of one value of a variable for another.
struct Exchange<'a, W> {
    network: &'a Network,
    contexts: &'a Contexts,
    /// The constraints of the variable.
    nearby: &'a [Nearby],
    variable: usize,
    /// The cost of each value of the variable.
    cost: &'a [W],
    /// The packed cost of one unverified joint; zero if they do not count.
    unit: i128,
    ties: Ties,
}

impl<W: Weight> Exchange<'_, W> {
    /// Takes the values another one can stand in for, without those it stands in for, out of the list.
    fn dominated(&self, values: &mut Vec<usize>, dropped: &mut Vec<usize>) {
        let mut at = 0;
        while at < values.len() {
            let weak = values[at];
            if values.iter().any(|&strong| strong != weak && self.stands_in(weak, strong)) {
                dropped.push(values.remove(at));
            } else {
                at += 1;
            }
        }
    }

    fn stands_in(&self, weak: usize, strong: usize) -> bool {
        let pays = |rise: i128| rise < 0 || rise == 0 && self.ties == Ties::KeepFirst && strong < weak;
        // Packed costs stay below 2^127, so the difference is within range.
        let mut rise = self.cost[strong].widen() as i128 - self.cost[weak].widen() as i128;
        let priced = self.unit > 0 && self.network.most_unverified > 0;
        if !priced && !pays(rise) {
            return false;
        }
        for nearby in self.nearby {
            let more = match nearby {
                Nearby::Narrow { rows, live } => {
                    let rows = &self.network.rows[*rows..];
                    (rows[weak] & live & !rows[strong] == 0).then_some(0)
                }
                Nearby::Binary(binary) => self.binary(binary, weak, strong),
                Nearby::Wide(constraint) => self.contexts.exchange(*constraint, weak, strong),
            };
            match more {
                Some(more) => rise += i128::from(more) * self.unit,
                None => return false,
            }
        }
        pays(rise)
    }

    /// The most unverified joints the exchange can add in a binary constraint; `None` if it can break it.
    #[inline]
    fn binary(&self, binary: &Binary, weak: usize, strong: usize) -> Option<i64> {
        let side = usize::from(binary.scope[0] as usize != self.variable);
        let other = binary.scope[1 - side] as usize;
        let words = self.network.words(other);
        let row = |value: usize| binary.rows[side] as usize + value * words.len();
        let (weak_row, strong_row) = (row(weak), row(strong));
        let mut broken = 0;
        for (index, &live) in self.network.live[words.clone()].iter().enumerate() {
            broken |= self.network.rows[weak_row + index] & live & !self.network.rows[strong_row + index];
        }
        if broken != 0 {
            return None;
        }
        let Some(start) = binary.unverified else { return Some(0) };
        let size = self.network.domain[binary.scope[1] as usize] as usize;
        let count = |value: usize, other: usize| {
            let cell = if side == 0 { value * size + other } else { other * size + value };
            i64::from(self.network.unverified[start as usize + cell])
        };
        let mut most = i64::MIN;
        self.network.for_live(other, |context| {
            if self.network.rows[weak_row + context / 64] >> (context % 64) & 1 == 1 {
                most = most.max(count(strong, context) - count(weak, context));
            }
        });
        Some(if most == i64::MIN { 0 } else { most })
    }
}
