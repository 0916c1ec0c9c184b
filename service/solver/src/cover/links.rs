//! What is the same in every branch and shares no part with what differs: its choices and splits are decided once.
//!
//! Needs and choices of a branch that accept a common part, or that a table ties, stand in one group. A group that stands
//! alike in every branch is served alike in every branch: what is bought for it in one branch serves it in the others,
//! since nothing else of any branch accepts its parts. So nothing is lost by deciding it once.

use std::collections::BTreeMap;

use super::classes::Owner;
use super::{Branch, Choice, Need, Problem};

/// For each branch the needs and choices of the first branch that decide for its own.
#[derive(Debug, Clone, Default)]
pub(super) struct Links {
    needs: Vec<BTreeMap<usize, usize>>,
    choices: Vec<BTreeMap<usize, usize>>,
}

/// Needs, choices and tables of one branch that hang together.
#[derive(Debug, Default)]
pub(super) struct Group {
    /// Its needs, rising.
    pub(super) needs: Vec<usize>,
    /// Its choices, rising.
    pub(super) choices: Vec<usize>,
    /// The tables that tie its choices.
    pub(super) tables: Vec<usize>,
}

impl Links {
    /// Finds what is the same in every branch.
    pub(super) fn of(problem: &Problem) -> Self {
        let mut links = Self {
            needs: vec![BTreeMap::new(); problem.branches.len()],
            choices: vec![BTreeMap::new(); problem.branches.len()],
        };
        if problem.branches.len() < 2 {
            return links;
        }
        let grouped: Vec<BTreeMap<Vec<usize>, Group>> =
            problem.branches.iter().map(|branch| groups(branch, problem.parts.len())).collect();
        for (parts, first) in &grouped[0] {
            let same: Option<Vec<&Group>> = (1..grouped.len())
                .map(|at| {
                    let group = grouped[at].get(parts)?;
                    alike(&problem.branches[0], first, &problem.branches[at], group).then_some(group)
                })
                .collect();
            let Some(same) = same.filter(|_| !parts.is_empty()) else { continue };
            for (at, group) in same.into_iter().enumerate() {
                links.needs[at + 1].extend(group.needs.iter().copied().zip(first.needs.iter().copied()));
                links.choices[at + 1]
                    .extend(group.choices.iter().copied().zip(first.choices.iter().copied()));
            }
        }
        links
    }

    /// The choice of the first branch that decides for one.
    pub(super) fn choice(&self, branch: usize, choice: usize) -> Option<usize> {
        self.choices[branch].get(&choice).copied()
    }

    /// The owner in the first branch of the demand that decides for one.
    pub(super) fn owner(&self, branch: usize, owner: Owner) -> Option<Owner> {
        match owner {
            Owner::Always(need) => self.needs[branch].get(&need).map(|first| Owner::Always(*first)),
            Owner::If { choice, value, need } => {
                self.choice(branch, choice).map(|choice| Owner::If { choice, value, need })
            }
        }
    }
}

/// The groups of a branch by the parts they accept; no part stands in two.
pub(super) fn groups(branch: &Branch, parts: usize) -> BTreeMap<Vec<usize>, Group> {
    let (needs, choices) = (branch.needs.len(), branch.choices.len());
    // Nodes: parts, then needs, then choices.
    let mut leader: Vec<usize> = (0..parts + needs + choices).collect();
    for (at, need) in branch.needs.iter().enumerate() {
        need.accepts.iter().for_each(|part| join(&mut leader, parts + at, *part));
    }
    for (at, choice) in branch.choices.iter().enumerate() {
        accepted(choice).for_each(|part| join(&mut leader, parts + needs + at, part));
    }
    for table in &branch.tables {
        for pair in table.scope.windows(2) {
            join(&mut leader, parts + needs + pair[0], parts + needs + pair[1]);
        }
    }
    let mut by_leader: BTreeMap<usize, (Vec<usize>, Group)> = BTreeMap::new();
    for at in 0..needs {
        by_leader.entry(find(&mut leader, parts + at)).or_default().1.needs.push(at);
    }
    for at in 0..choices {
        by_leader.entry(find(&mut leader, parts + needs + at)).or_default().1.choices.push(at);
    }
    for (at, table) in branch.tables.iter().enumerate() {
        if let Some(choice) = table.scope.first() {
            by_leader.entry(find(&mut leader, parts + needs + choice)).or_default().1.tables.push(at);
        }
    }
    for part in 0..parts {
        let leader = find(&mut leader, part);
        if let Some((of_group, _)) = by_leader.get_mut(&leader) {
            of_group.push(part);
        }
    }
    by_leader.into_values().collect()
}

fn accepted(choice: &Choice) -> impl Iterator<Item = usize> {
    choice.values.iter().flat_map(|value| &value.needs).flat_map(|need| need.accepts.iter().copied())
}

fn find(leader: &mut [usize], mut at: usize) -> usize {
    while leader[at] != at {
        leader[at] = leader[leader[at]];
        at = leader[at];
    }
    at
}

fn join(leader: &mut [usize], a: usize, b: usize) {
    let (a, b) = (find(leader, a), find(leader, b));
    leader[a.max(b)] = a.min(b);
}

/// A table with its scope as places in a group.
type Placed = (Vec<Option<usize>>, Vec<Vec<usize>>);

/// Whether two groups ask for the same in the same order.
pub(super) fn alike(branch_a: &Branch, a: &Group, branch_b: &Branch, b: &Group) -> bool {
    let needs = |branch: &'_ Branch, group: &Group| -> Vec<Need> {
        group.needs.iter().map(|at| branch.needs[*at].clone()).collect()
    };
    let choices = |branch: &'_ Branch, group: &Group| -> Vec<Choice> {
        group.choices.iter().map(|at| branch.choices[*at].clone()).collect()
    };
    let tables = |branch: &Branch, group: &Group| -> Vec<Placed> {
        let place = |choice: &usize| group.choices.iter().position(|other| other == choice);
        let table = |at: &usize| {
            let table = &branch.tables[*at];
            (table.scope.iter().map(place).collect(), table.tuples.clone())
        };
        group.tables.iter().map(table).collect()
    };
    needs(branch_a, a) == needs(branch_b, b)
        && choices(branch_a, a) == choices(branch_b, b)
        && tables(branch_a, a) == tables(branch_b, b)
}

#[cfg(test)]
mod tests {
    use super::super::{ChoiceValue, Part, StockPolicy};
    use super::*;

    fn need(quantity: i64, accepts: &[usize]) -> Need {
        Need { quantity, accepts: accepts.to_vec() }
    }

    fn between(parts: [usize; 2]) -> Choice {
        let value = |part| ChoiceValue { needs: vec![need(1, &[part])], cash: 0 };
        Choice { values: parts.map(value).to_vec() }
    }

    fn problem(branches: Vec<Branch>) -> Problem {
        Problem {
            parts: vec![Part::default(); 6],
            suppliers: Vec::new(),
            offers: Vec::new(),
            branches,
            policy: StockPolicy::None,
            aims: Vec::new(),
        }
    }

    #[test]
    fn what_is_the_same_everywhere_is_decided_once() {
        let first = Branch { needs: vec![need(1, &[4])], choices: vec![between([0, 1])], tables: Vec::new() };
        let second =
            Branch { needs: vec![need(1, &[5])], choices: vec![between([0, 1])], tables: Vec::new() };
        let links = Links::of(&problem(vec![first, second]));
        assert_eq!(links.choice(1, 0), Some(0));
        assert_eq!(links.owner(1, Owner::Always(0)), None);
    }

    #[test]
    fn a_choice_that_shares_a_part_with_what_differs_is_decided_in_each_branch() {
        let first = Branch { needs: vec![need(1, &[0])], choices: vec![between([0, 1])], tables: Vec::new() };
        let second =
            Branch { needs: vec![need(1, &[1])], choices: vec![between([0, 1])], tables: Vec::new() };
        assert_eq!(Links::of(&problem(vec![first, second])).choice(1, 0), None);
    }
}
