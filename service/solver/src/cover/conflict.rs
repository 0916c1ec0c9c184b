//! Why nothing covers the needs: a smallest group that cannot be met together.

use super::stages::is_possible;
use super::{Branch, Impossible, Invalid, Problem};

/// A group of needs and choices of one branch that cannot be met together, while any smaller part of it can. For a
/// problem that cannot be met.
pub(super) fn conflict(problem: &Problem) -> Result<Impossible, Invalid> {
    for branch in 0..problem.branches.len() {
        let held = &problem.branches[branch];
        let mut group = Impossible {
            branch,
            needs: (0..held.needs.len()).filter(|&need| held.needs[need].quantity > 0).collect(),
            choices: (0..held.choices.len()).collect(),
        };
        if possible(problem, &group)? {
            continue;
        }
        if let Some(alone) = one_alone(problem, &group)? {
            return Ok(alone);
        }
        shrink(problem, &mut group)?;
        return Ok(group);
    }
    // Branches share no stock and purchases only add up, so one of them must fail by itself.
    Ok(Impossible::default())
}

/// A single need or choice that cannot be met.
fn one_alone(problem: &Problem, group: &Impossible) -> Result<Option<Impossible>, Invalid> {
    let branch = group.branch;
    let needs = group.needs.iter().map(|&need| Impossible { branch, needs: vec![need], choices: Vec::new() });
    let choices =
        group.choices.iter().map(|&choice| Impossible { branch, needs: Vec::new(), choices: vec![choice] });
    for alone in needs.chain(choices) {
        if !possible(problem, &alone)? {
            return Ok(Some(alone));
        }
    }
    Ok(None)
}

/// Leaves out whatever can be left out with the rest still impossible; halves first, then one by one.
fn shrink(problem: &Problem, group: &mut Impossible) -> Result<(), Invalid> {
    let mut size = (group.needs.len() / 2).max(1);
    loop {
        let mut start = 0;
        while start < group.needs.len() {
            let mut smaller = group.clone();
            smaller.needs.drain(start..(start + size).min(smaller.needs.len()));
            if possible(problem, &smaller)? {
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
        if possible(problem, &smaller)? {
            at += 1;
        } else {
            *group = smaller;
        }
    }
    Ok(())
}

/// Whether the group can be met if nothing else is asked. Tables hold between choices of the group.
fn possible(problem: &Problem, group: &Impossible) -> Result<bool, Invalid> {
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
    is_possible(&Problem { branches: vec![branch], aims: Vec::new(), ..problem.clone() })
}
