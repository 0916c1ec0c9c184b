//! What stands alike in several branches: its choices and splits can be decided once.
//!
//! Needs and choices of a branch that accept a common part, or that a table ties, stand in one group; no other group of the
//! branch accepts a part of it. What is bought serves every branch, so a group that stands alike in two branches has in
//! both the same ways to be served, whatever else these branches need. As long as only one thing that is counted differs
//! between these ways (say, pieces left over), the best one is the same in both and nothing is lost by deciding it once.
//! Where two differ (the value of stock used and pieces left over), a branch that is not the worst in one may give way in
//! it for the other; then deciding once is only a start.

use std::collections::BTreeMap;

use super::classes::Owner;
use super::{Aim, Branch, Choice, Need, Problem, StockPolicy};

/// Which groups are decided once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Once {
    /// All that stand alike.
    Alike,
    /// Those of them where nothing can be lost by it.
    Lossless,
}

/// For each branch the needs and choices of an earlier branch that decide for its own.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Links {
    needs: Vec<BTreeMap<usize, (usize, usize)>>,
    choices: Vec<BTreeMap<usize, (usize, usize)>>,
}

/// Needs, choices and tables of one branch that hang together.
#[derive(Debug, Default)]
struct Group {
    /// Its needs, rising.
    needs: Vec<usize>,
    /// Its choices, rising.
    choices: Vec<usize>,
    /// The tables that tie its choices.
    tables: Vec<usize>,
}

/// What differs between the ways to serve something.
#[derive(Debug, Clone, Copy, Default)]
struct Varies {
    cash: bool,
    carried: bool,
    surplus: bool,
}

impl Links {
    /// Finds what stands alike in several branches.
    pub(super) fn of(problem: &Problem, once: Once) -> Self {
        let mut links = Self {
            needs: vec![BTreeMap::new(); problem.branches.len()],
            choices: vec![BTreeMap::new(); problem.branches.len()],
        };
        if problem.branches.len() < 2 {
            return links;
        }
        let mut known: BTreeMap<Vec<usize>, Vec<(usize, Group)>> = BTreeMap::new();
        for (at, branch) in problem.branches.iter().enumerate() {
            for (parts, group) in groups(branch, problem.parts.len()) {
                if parts.is_empty() || (once == Once::Lossless && !is_lossless(problem, at, &parts, &group)) {
                    continue;
                }
                let others = known.entry(parts).or_default();
                let same =
                    others.iter().find(|(of, other)| alike(&problem.branches[*of], other, branch, &group));
                match same {
                    Some((of, other)) => {
                        let from =
                            |list: &[usize]| list.iter().map(|first| (*of, *first)).collect::<Vec<_>>();
                        links.needs[at].extend(group.needs.iter().copied().zip(from(&other.needs)));
                        links.choices[at].extend(group.choices.iter().copied().zip(from(&other.choices)));
                    }
                    None => others.push((at, group)),
                }
            }
        }
        links
    }

    /// The branch and choice that decide for one.
    pub(super) fn choice(&self, branch: usize, choice: usize) -> Option<(usize, usize)> {
        self.choices[branch].get(&choice).copied()
    }

    /// The branch and owner of the demand that decides for one.
    pub(super) fn owner(&self, branch: usize, owner: Owner) -> Option<(usize, Owner)> {
        match owner {
            Owner::Always(need) => {
                self.needs[branch].get(&need).map(|(first, need)| (*first, Owner::Always(*need)))
            }
            Owner::If { choice, value, need } => {
                self.choice(branch, choice).map(|(first, choice)| (first, Owner::If { choice, value, need }))
            }
        }
    }
}

/// How many of the aims, taken in order, come to the same whether or not all that stands alike is decided once: up to the
/// first that differs between ways to serve a need.
pub(super) fn settled_aims(problem: &Problem, aims: &[Aim]) -> usize {
    let mut any = Varies::default();
    for (at, branch) in problem.branches.iter().enumerate() {
        for (parts, group) in groups(branch, problem.parts.len()) {
            let varies = varies(problem, at, &parts, &group);
            any.cash |= varies.cash;
            any.carried |= varies.carried;
            any.surplus |= varies.surplus;
        }
    }
    let differs = |aim: &Aim| match aim {
        Aim::Cash => any.cash,
        Aim::JobCost => any.cash || any.carried,
        Aim::Surplus => any.surplus,
        Aim::Days | Aim::Suppliers => false,
    };
    aims.iter().position(differs).map_or(aims.len(), |first| first + 1)
}

fn is_lossless(problem: &Problem, branch: usize, parts: &[usize], group: &Group) -> bool {
    let varies = varies(problem, branch, parts, group);
    let counts = |aims: &[Aim]| problem.aims.iter().any(|aim| aims.contains(aim));
    let differing = [
        varies.cash && counts(&[Aim::Cash, Aim::JobCost]),
        varies.carried && counts(&[Aim::JobCost]),
        varies.surplus && counts(&[Aim::Surplus]),
    ];
    differing.iter().filter(|differs| **differs).count() <= 1
}

/// What may differ between the ways to serve a group when the purchases are given.
fn varies(problem: &Problem, branch: usize, parts: &[usize], group: &Group) -> Varies {
    let held = &problem.branches[branch];
    let choices = || group.choices.iter().map(|at| &held.choices[*at]);
    let of_choices = choices().flat_map(|choice| &choice.values).flat_map(|value| &value.needs);
    let mut needs = group.needs.iter().map(|at| &held.needs[*at]).chain(of_choices);
    if group.choices.is_empty() && needs.all(|need| need.accepts.len() < 2) {
        return Varies::default();
    }
    let pieces = |value: &super::ChoiceValue| value.needs.iter().map(|need| need.quantity).sum::<i64>();
    let unlike =
        |choice: &Choice| choice.values.iter().any(|value| pieces(value) != pieces(&choice.values[0]));
    let in_stock =
        |part: &&usize| problem.policy != StockPolicy::None && problem.parts[**part].free_stock > 0;
    let mut shelf = parts.iter().filter(in_stock).peekable();
    let surplus = shelf.peek().is_some() || choices().any(unlike);
    Varies {
        cash: choices().any(|choice| choice.values.iter().any(|value| value.cash != choice.values[0].cash))
            || parts.iter().any(|part| problem.parts[*part].credit > 0),
        carried: shelf.any(|part| problem.parts[*part].carrying_value > 0),
        surplus,
    }
}

/// The groups of a branch by the parts they accept; no part stands in two.
fn groups(branch: &Branch, parts: usize) -> BTreeMap<Vec<usize>, Group> {
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
fn alike(branch_a: &Branch, a: &Group, branch_b: &Branch, b: &Group) -> bool {
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
        let links = Links::of(&problem(vec![first, second]), Once::Alike);
        assert_eq!(links.choice(1, 0), Some((0, 0)));
        assert_eq!(links.owner(1, Owner::Always(0)), None);
    }

    #[test]
    fn a_choice_that_shares_a_part_with_what_differs_is_decided_in_each_branch() {
        let first = Branch { needs: vec![need(1, &[0])], choices: vec![between([0, 1])], tables: Vec::new() };
        let second =
            Branch { needs: vec![need(1, &[1])], choices: vec![between([0, 1])], tables: Vec::new() };
        assert_eq!(Links::of(&problem(vec![first, second]), Once::Alike).choice(1, 0), None);
    }
}
