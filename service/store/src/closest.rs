//! The keys that come closest to a text.

use std::collections::BTreeSet;

use crate::distance::{distance_within, slips_allowed};

/// Gathers the closest of the keys that are shown to it.
#[derive(Debug)]
pub(crate) struct Closest {
    wanted: Vec<char>,
    count: usize,
    found: BTreeSet<(usize, String)>,
}

impl Closest {
    /// Looks for so many keys that are close to a text.
    pub(crate) fn new(wanted: &str, count: usize) -> Self {
        Self { wanted: wanted.chars().collect(), count, found: BTreeSet::new() }
    }

    /// Shortest and longest key that can be close, in characters.
    pub(crate) fn lengths(&self) -> (usize, usize) {
        let slips = slips_allowed(self.wanted.len());
        (self.wanted.len().saturating_sub(slips), self.wanted.len() + slips)
    }

    /// Considers a key.
    pub(crate) fn look_at(&mut self, key: &str) {
        if self.count == 0 {
            return;
        }
        let worst = self.found.last().filter(|_| self.found.len() == self.count).map(|(steps, _)| *steps);
        let limit = worst.unwrap_or(usize::MAX).min(slips_allowed(self.wanted.len()));
        let chars: Vec<char> = key.chars().collect();
        if let Some(steps) = distance_within(&self.wanted, &chars, limit) {
            self.found.insert((steps, key.to_owned()));
            if self.found.len() > self.count {
                self.found.pop_last();
            }
        }
    }

    /// The closest keys, the closest first, those as close as each other in their own order.
    pub(crate) fn into_keys(self) -> Vec<String> {
        self.found.into_iter().map(|(_, key)| key).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_closest_come_first_and_far_ones_not_at_all() {
        let mut closest = Closest::new("BN460", 2);
        for key in ["BN552", "BN640", "BN460X", "BN469", "WINCH"] {
            closest.look_at(key);
        }
        assert_eq!(closest.into_keys(), ["BN460X", "BN469"]);
    }
}
