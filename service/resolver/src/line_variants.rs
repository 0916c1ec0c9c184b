//! In which outcomes of what is not known a line holds, said with as few of them as will do.

use std::collections::BTreeSet;

use catalogue::Code;

use crate::branch::OpenFact;
use crate::requirement::Solved;

/// An outcome of an open fact: the fact's index, and its outcome's name.
type Outcome<'s> = (usize, &'s Code);

/// The outcomes of every branch, to describe sets of branches by.
pub(crate) struct LineVariants<'s> {
    branches: Vec<&'s [Code]>,
    facts: &'s [OpenFact],
}

impl<'s> LineVariants<'s> {
    /// Reads the outcomes off the branches.
    pub(crate) fn of(solved: &'s [Solved<'_>], facts: &'s [OpenFact]) -> Self {
        Self { branches: solved.iter().map(|solved| solved.branch.open.as_slice()).collect(), facts }
    }

    /// The set of branches as few sets that outcomes held together describe: for each its branches and outcomes; no outcomes
    /// where it is all branches. `spoken_of` are variants and notices that the line itself names: they are said before
    /// others that come to the same.
    pub(crate) fn described(
        &self,
        within: &[usize],
        spoken_of: &BTreeSet<Code>,
    ) -> Vec<(Vec<usize>, Vec<Code>)> {
        let mut found = Vec::new();
        self.split(within, &[], spoken_of, &mut found);
        found
    }

    fn holding(&self, outcomes: &[Outcome<'_>]) -> Vec<usize> {
        (0..self.branches.len())
            .filter(|at| outcomes.iter().all(|(fact, code)| self.branches[*at].get(*fact) == Some(*code)))
            .collect()
    }

    fn split(
        &self,
        within: &[usize],
        fixed: &[Outcome<'s>],
        spoken_of: &BTreeSet<Code>,
        found: &mut Vec<(Vec<usize>, Vec<Code>)>,
    ) {
        let Some(first) = within.first().map(|at| self.branches[*at]) else { return };
        let shared: Vec<Outcome<'s>> = first
            .iter()
            .enumerate()
            .filter(|(fact, code)| within.iter().all(|at| self.branches[*at].get(*fact) == Some(*code)))
            .collect();
        if self.holding(&shared) == within {
            let fewest = self.fewest(shared, within, spoken_of);
            found.push((within.to_vec(), fewest.into_iter().map(|(_, code)| code.clone()).collect()));
            return;
        }
        let open = (0..self.facts.len()).find(|fact| {
            !fixed.iter().any(|(known, _)| known == fact) && !shared.iter().any(|(known, _)| known == fact)
        });
        let Some(fact) = open else { return };
        for outcome in &self.facts[fact].outcomes {
            let part: Vec<usize> = within
                .iter()
                .copied()
                .filter(|at| self.branches[*at].get(fact) == Some(&outcome.name))
                .collect();
            let fixed: Vec<Outcome<'s>> =
                fixed.iter().copied().chain(std::iter::once((fact, &outcome.name))).collect();
            self.split(&part, &fixed, spoken_of, found);
        }
    }

    /// Leaves out what the rest says already: first what the line does not speak of.
    fn fewest(
        &self,
        mut outcomes: Vec<Outcome<'s>>,
        within: &[usize],
        spoken_of: &BTreeSet<Code>,
    ) -> Vec<Outcome<'s>> {
        let speaks = |(fact, code): &Outcome<'_>| {
            spoken_of.contains(*code) || spoken_of.contains(&self.facts[*fact].group)
        };
        for named in [false, true] {
            let mut at = outcomes.len();
            while at > 0 {
                at -= 1;
                if speaks(&outcomes[at]) == named {
                    let dropped = outcomes.remove(at);
                    if self.holding(&outcomes) != within {
                        outcomes.insert(at, dropped);
                    }
                }
            }
        }
        outcomes
    }
}
