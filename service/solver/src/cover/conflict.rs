//! Why nothing covers the needs: a smallest group that cannot be met together.

use super::stages::is_possible;
use super::{Branch, Budget, Impossible, Invalid, Problem};

/// A group of needs and choices of one branch that cannot be met together, while any smaller part of it can. For a
/// problem that cannot be met; `None` if the budget ends first. Counts nodes in `nodes`.
pub(super) fn conflict(
    problem: &Problem,
    budget: &Budget<'_>,
    nodes: &mut u64,
) -> Result<Option<Impossible>, Invalid> {
    let mut asked = Asked { problem, budget, nodes };
    match asked.smallest() {
        Ok(found) => Ok(Some(found)),
        Err(Stopped::Spent) => Ok(None),
        Err(Stopped::Invalid(invalid)) => Err(invalid),
    }
}

/// Why there is no smallest group.
enum Stopped {
    Spent,
    Invalid(Invalid),
}

/// The problem, and how much may be spent on it.
struct Asked<'a> {
    problem: &'a Problem,
    budget: &'a Budget<'a>,
    nodes: &'a mut u64,
}

impl Asked<'_> {
    fn smallest(&mut self) -> Result<Impossible, Stopped> {
        let problem = self.problem;
        for branch in 0..problem.branches.len() {
            let held = &problem.branches[branch];
            let mut group = Impossible {
                branch,
                needs: (0..held.needs.len()).filter(|&need| held.needs[need].quantity > 0).collect(),
                choices: (0..held.choices.len()).collect(),
            };
            if self.possible(&group)? {
                continue;
            }
            if let Some(alone) = self.one_alone(&group)? {
                return Ok(alone);
            }
            self.shrink(&mut group)?;
            return Ok(group);
        }
        // Branches share no stock and purchases only add up, so one of them must fail by itself.
        Ok(Impossible::default())
    }

    /// A single need or choice that cannot be met.
    fn one_alone(&mut self, group: &Impossible) -> Result<Option<Impossible>, Stopped> {
        let branch = group.branch;
        let needs =
            group.needs.iter().map(|&need| Impossible { branch, needs: vec![need], choices: Vec::new() });
        let choices = group.choices.iter().map(|&choice| Impossible {
            branch,
            needs: Vec::new(),
            choices: vec![choice],
        });
        for alone in needs.chain(choices) {
            if !self.possible(&alone)? {
                return Ok(Some(alone));
            }
        }
        Ok(None)
    }

    /// Leaves out whatever can be left out with the rest still impossible; halves first, then one by one.
    fn shrink(&mut self, group: &mut Impossible) -> Result<(), Stopped> {
        let mut size = (group.needs.len() / 2).max(1);
        loop {
            let mut start = 0;
            while start < group.needs.len() {
                let mut smaller = group.clone();
                smaller.needs.drain(start..(start + size).min(smaller.needs.len()));
                if self.possible(&smaller)? {
                    start += size;
                } else {
                    *group = smaller;
                }
            }
            if size == 1 {
                break;
            }
            size = (size / 2).max(1);
        }
        let mut at = 0;
        while at < group.choices.len() {
            let mut smaller = group.clone();
            smaller.choices.remove(at);
            if self.possible(&smaller)? {
                at += 1;
            } else {
                *group = smaller;
            }
        }
        Ok(())
    }

    /// Whether the group can be met if nothing else is asked. Tables hold between choices of the group.
    fn possible(&mut self, group: &Impossible) -> Result<bool, Stopped> {
        let problem = self.problem;
        let held = &problem.branches[group.branch];
        let place = |choice: &usize| group.choices.iter().position(|held| held == choice);
        let tables = held.tables.iter().filter_map(|table| {
            let scope: Option<Vec<usize>> = table.scope.iter().map(place).collect();
            scope.map(|scope| super::Table { scope, tuples: table.tuples.clone() })
        });
        let branch = Branch {
            needs: group.needs.iter().map(|&need| held.needs[need].clone()).collect(),
            choices: group.choices.iter().map(|&choice| held.choices[choice].clone()).collect(),
            tables: tables.collect(),
        };
        let alone = Problem { branches: vec![branch], aims: Vec::new(), ..problem.clone() };
        is_possible(&alone, self.budget, self.nodes).map_err(Stopped::Invalid)?.ok_or(Stopped::Spent)
    }
}
