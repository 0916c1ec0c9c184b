//! For each wide constraint of a variable: which combinations of the other variables each value goes with.

use super::network::{Network, Wide};

/// Most bits spent on one constraint; beyond, its values are not compared.
const MOST_BITS: usize = 1 << 13;

/// The combinations of one constraint.
#[derive(Debug, Clone, Copy)]
struct Layout {
    constraint: u32,
    /// Start in `bits`, where it was laid out.
    bits: Option<usize>,
    /// Words for each value.
    words: usize,
    /// Start in `unverified`, where any count is above zero.
    unverified: Option<usize>,
}

/// The combinations of all wide constraints of one variable.
#[derive(Debug, Clone, Default)]
pub(super) struct Contexts {
    layouts: Vec<Layout>,
    bits: Vec<u64>,
    unverified: Vec<u32>,
}

impl Contexts {
    /// Lays out the wide constraints of a variable, in place of what was laid out before.
    pub(super) fn lay_out(&mut self, network: &Network, variable: usize) {
        self.layouts.clear();
        self.bits.clear();
        self.unverified.clear();
        for &constraint in network.incident(variable) {
            let Some(wide) = (constraint as usize).checked_sub(network.binaries.len()) else { continue };
            self.add(network, variable, constraint, network.wides[wide]);
        }
    }

    fn add(&mut self, network: &Network, variable: usize, constraint: u32, wide: Wide) {
        let scope = network.scope(constraint as usize);
        let mut contexts = 1_usize;
        for &other in scope.iter().filter(|&&other| other as usize != variable) {
            contexts = contexts.saturating_mul(network.domain[other as usize] as usize);
        }
        let values = network.domain[variable] as usize;
        let words = contexts.div_ceil(64);
        let mut layout = Layout { constraint, bits: None, words, unverified: None };
        if contexts.saturating_mul(values) <= MOST_BITS {
            let bits = self.bits.len();
            layout.bits = Some(bits);
            self.bits.resize(bits + words * values, 0);
            if wide.has_unverified {
                layout.unverified = Some(self.unverified.len());
                self.unverified.resize(self.unverified.len() + words * 64 * values, u32::MAX);
            }
            for at in 0..wide.len as usize {
                let start = wide.tuples as usize + at * scope.len();
                let (mut value, mut context) = (0, 0);
                for (&other, &entry) in scope.iter().zip(&network.tuples[start..start + scope.len()]) {
                    if other as usize == variable {
                        value = entry as usize;
                    } else {
                        context = context * network.domain[other as usize] as usize + entry as usize;
                    }
                }
                self.bits[bits + value * words + context / 64] |= 1 << (context % 64);
                if let Some(unverified) = layout.unverified {
                    let count = network.tuple_unverified[wide.unverified as usize + at];
                    let cell = &mut self.unverified[unverified + value * words * 64 + context];
                    *cell = count.min(*cell);
                }
            }
        }
        self.layouts.push(layout);
    }

    /// The most unverified joints that exchanging `weak` for `strong` can add; `None` if it can break the constraint,
    /// or if the constraint was too large to be laid out.
    pub(super) fn exchange(&self, constraint: u32, weak: usize, strong: usize) -> Option<i64> {
        let layout = self.layouts.iter().find(|layout| layout.constraint == constraint)?;
        let row =
            |value: usize| layout.bits.map(|bits| &self.bits[bits + value * layout.words..][..layout.words]);
        let (weak_row, strong_row) = (row(weak)?, row(strong)?);
        if weak_row.iter().zip(strong_row).any(|(weak, strong)| weak & !strong != 0) {
            return None;
        }
        let Some(unverified) = layout.unverified else { return Some(0) };
        let count = |value: usize, context: usize| {
            i64::from(self.unverified[unverified + value * layout.words * 64 + context])
        };
        let most = (0..layout.words * 64)
            .filter(|&context| weak_row[context / 64] >> (context % 64) & 1 == 1)
            .map(|context| count(strong, context) - count(weak, context))
            .max();
        Some(most.unwrap_or(0))
    }
}
