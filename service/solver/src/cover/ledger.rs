//! What the columns of each branch add to each aim, before it is known which branch is the worst.

use std::collections::BTreeMap;

use super::Aim;

/// A linear expression of columns.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Terms {
    pub(super) constant: i64,
    pub(super) terms: Vec<(usize, i64)>,
}

impl Terms {
    pub(super) fn add(&mut self, column: usize, factor: i64) {
        if factor != 0 {
            self.terms.push((column, factor));
        }
    }
}

/// Takes out of all branches what every one of them adds alike.
pub(super) fn take_common(branches: &mut [Terms]) -> Vec<(usize, i64)> {
    for terms in branches.iter_mut() {
        let mut by_column: BTreeMap<usize, i64> = BTreeMap::new();
        terms.terms.iter().for_each(|(column, factor)| *by_column.entry(*column).or_default() += factor);
        terms.terms = by_column.into_iter().filter(|(_, factor)| *factor != 0).collect();
    }
    let Some((first, others)) = branches.split_first() else { return Vec::new() };
    let in_all = |term: &&(usize, i64)| others.iter().all(|terms| terms.terms.binary_search(term).is_ok());
    let common: Vec<(usize, i64)> = first.terms.iter().filter(in_all).copied().collect();
    for terms in branches {
        terms.terms.retain(|term| common.binary_search(term).is_err());
    }
    common
}

/// What the columns of each branch add to each sum.
pub(super) struct Ledger {
    sums: Vec<Aim>,
    counted: Option<usize>,
    pub(super) by_aim: Vec<Vec<Terms>>,
}

impl Ledger {
    pub(super) fn new(branches: usize, sums: Vec<Aim>, counted: Option<usize>) -> Self {
        let branches = if counted.is_some() { 1 } else { branches };
        Self { by_aim: vec![vec![Terms::default(); branches]; sums.len()], sums, counted }
    }

    fn terms(&mut self, branch: usize, aim: Aim) -> Option<&mut Terms> {
        let at = self.sums.iter().position(|&held| held == aim)?;
        match self.counted {
            None => Some(&mut self.by_aim[at][branch]),
            Some(counted) => (counted == branch).then_some(&mut self.by_aim[at][0]),
        }
    }

    pub(super) fn constant(&mut self, branch: usize, aim: Aim, amount: i64) {
        if let Some(terms) = self.terms(branch, aim) {
            terms.constant += amount;
        }
    }

    pub(super) fn add(&mut self, branch: usize, aim: Aim, column: usize, factor: i64) {
        if let Some(terms) = self.terms(branch, aim) {
            terms.add(column, factor);
        }
    }

    pub(super) fn constant_to(&mut self, branches: &[usize], aim: Aim, amount: i64) {
        branches.iter().for_each(|branch| self.constant(*branch, aim, amount));
    }

    pub(super) fn add_to(&mut self, branches: &[usize], aim: Aim, column: usize, factor: i64) {
        branches.iter().for_each(|branch| self.add(*branch, aim, column, factor));
    }
}
