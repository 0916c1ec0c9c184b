//! Rows of a program: what is bought and what stock serves must reach what is fitted.
//!
//! Where all that is fitted of a class hangs on the values of one choice, at most one of them holds, and any function of the
//! pieces fitted is linear in the columns of these values. Stock used and pieces to be bought are then written that way.
//! Otherwise a value that a relaxation takes by half would find the whole shelf for half of its pieces, and the bound would
//! say little.

use std::collections::BTreeMap;

use super::classes::Owner;
use super::ledger::{Ledger, Terms};
use super::program::{Kind, Program};
use super::{Aim, StockPolicy};

/// The values of one choice on which all that is fitted of a class in a branch hangs.
struct Hangs {
    /// The column of each value and the most pieces fitted under it.
    under: BTreeMap<usize, i64>,
    /// Whether under a value exactly so many are fitted.
    exact: bool,
}

impl Hangs {
    /// A function of the pieces fitted, `constant` of them always.
    fn written(&self, constant: i64, function: impl Fn(i64) -> i64) -> Terms {
        let mut terms = Terms { constant: function(constant), terms: Vec::new() };
        for (&column, &pieces) in &self.under {
            terms.add(column, function(constant + pieces) - function(constant));
        }
        terms
    }
}

impl Program<'_> {
    /// Writes the rows of a class in every branch.
    pub(super) fn add_requirements(
        &mut self,
        class: usize,
        fitted: &[Vec<Terms>],
        most: &[Vec<i64>],
        ledger: &mut Ledger,
    ) {
        // Branches whose requirement is constant share the row of the largest; those that ask for the same share all.
        let mut shared: Option<i64> = None;
        for (branch, of_branch) in fitted.iter().enumerate() {
            let terms = &of_branch[class];
            if (0..branch).any(|other| fitted[other][class] == *terms) {
                continue;
            }
            let alike: Vec<usize> =
                (branch..fitted.len()).filter(|other| fitted[*other][class] == *terms).collect();
            let most = most[branch][class];
            let hangs = self.hangs(terms);
            let mut free = 0;
            let mut required = terms.clone();
            match self.problem.policy {
                StockPolicy::None => {}
                StockPolicy::First => {
                    free = self.demands.classes[class].free();
                    let used = self.use_stock_first(&alike, class, (terms, hangs.as_ref(), most), ledger);
                    required = to_buy(terms, hangs.as_ref(), free, used);
                }
                StockPolicy::Value => {
                    for column in
                        self.use_stock_by_value(&alike, class, (terms, hangs.as_ref(), most), ledger)
                    {
                        required.add(column, -1);
                    }
                }
            }
            if most - free <= 0 {
                continue;
            }
            if required.terms.is_empty() {
                shared = Some(shared.unwrap_or(0).max(required.constant));
                continue;
            }
            let row = self.row(Some(required.constant), None);
            for &(column, pieces) in &required.terms {
                self.entry(row, column, -pieces);
            }
            self.bring(class, row, most - free);
        }
        if let Some(required) = shared {
            let row = self.row(Some(required), None);
            self.bring(class, row, required);
        }
    }

    /// Lets every source of a class serve a row that never asks for more than `most`.
    fn bring(&mut self, class: usize, row: usize, most: i64) {
        for (at, source) in self.sources.list.iter().enumerate() {
            if let Ok(place) = source.brings.binary_search_by_key(&class, |&(class, _)| class) {
                let mut pieces = source.brings[place].1;
                // One unit alone is enough: counting more of it would only loosen the relaxation. Sound where every
                // number of units can be bought.
                let even = self.sources.stairs(self.problem, at, 0).even_price.is_some();
                if even {
                    pieces = pieces.min(most);
                }
                self.source_entries[at].push((row, pieces));
            }
        }
    }

    /// Whether the pieces fitted, but for the constant, hang on one choice; `None` if not.
    fn hangs(&self, fitted: &Terms) -> Option<Hangs> {
        let mut found = Hangs { under: BTreeMap::new(), exact: true };
        for &(column, factor) in &fitted.terms {
            let (value, pieces) = match self.columns[column].kind {
                Kind::Value(..) => (column, factor),
                Kind::Split(demand, _) => {
                    let demand = &self.demands.demands[demand];
                    let Owner::If { choice, value, .. } = demand.owner else { return None };
                    found.exact = false;
                    (self.value_columns[demand.branch][choice][value], factor * demand.quantity)
                }
                _ => return None,
            };
            *found.under.entry(value).or_default() += pieces;
        }
        let choice = |column: &usize| match self.columns[*column].kind {
            Kind::Value(branch, choice, _) => Some((branch, choice)),
            _ => None,
        };
        let mut choices = found.under.keys().map(choice);
        let first = choices.next()?;
        (first.is_some() && choices.all(|other| other == first)).then_some(found)
    }

    /// Stock used raises surplus (less of what is bought is fitted), lowers its credit no more, and is carried.
    pub(super) fn stock_factors(&self, class: usize, carrying_value: i64) -> [(Aim, i64); 3] {
        let credit = self.demands.classes[class].credit;
        [(Aim::Surplus, 1), (Aim::Cash, -credit), (Aim::JobCost, carrying_value - credit)]
    }

    /// The columns of the stock used, one for each lot.
    fn use_stock_by_value(
        &mut self,
        branches: &[usize],
        class: usize,
        (fitted, hangs, most): (&Terms, Option<&Hangs>, i64),
        ledger: &mut Ledger,
    ) -> Vec<usize> {
        let lots = self.demands.classes[class].lots.clone();
        lots.iter()
            .map(|lot| {
                let column = self.column(Kind::Stock, 0, lot.free.min(most));
                for (aim, factor) in self.stock_factors(class, lot.carrying_value) {
                    ledger.add_to(branches, aim, column, factor);
                }
                self.use_only_under(fitted, hangs, column, lot.free);
                column
            })
            .collect()
    }

    /// No more stock is used than the values allow that hold, if that says more than the number of pieces does.
    fn use_only_under(&mut self, fitted: &Terms, hangs: Option<&Hangs>, used: usize, free: i64) {
        let says_more = |hangs: &&Hangs| hangs.under.values().any(|&pieces| pieces > free);
        let Some(hangs) = hangs.filter(|_| fitted.constant == 0).filter(says_more) else { return };
        let row = self.row(Some(0), None);
        for (&value, &pieces) in &hangs.under {
            self.entry(row, value, pieces.min(free));
        }
        self.entry(row, used, -1);
    }

    /// Stock used is the lesser of what is fitted and what is free; where neither is always the lesser and the pieces do not
    /// follow from a choice, a column holds it, and a binary column says which. That column, if there is one.
    fn use_stock_first(
        &mut self,
        branches: &[usize],
        class: usize,
        (fitted, hangs, most): (&Terms, Option<&Hangs>, i64),
        ledger: &mut Ledger,
    ) -> Option<usize> {
        let &lot = self.demands.classes[class].lots.first()?;
        let factors = self.stock_factors(class, lot.carrying_value);
        let follows = if fitted.constant >= lot.free || fitted.terms.is_empty() {
            Some(Terms { constant: lot.free.min(fitted.constant), terms: Vec::new() })
        } else if most <= lot.free {
            Some(fitted.clone())
        } else {
            hangs.filter(|hangs| hangs.exact).map(|hangs| hangs.written(fitted.constant, |n| n.min(lot.free)))
        };
        if let Some(used) = follows {
            for (aim, factor) in factors {
                ledger.constant_to(branches, aim, factor * used.constant);
                for &(column, pieces) in &used.terms {
                    ledger.add_to(branches, aim, column, factor * pieces);
                }
            }
            return None;
        }
        if factors.iter().all(|&(aim, factor)| factor == 0 || !self.sums.contains(&aim)) {
            return None;
        }
        let used = self.column(Kind::Stock, 0, lot.free);
        for (aim, factor) in factors {
            ledger.add_to(branches, aim, used, factor);
        }
        self.tie_stock(fitted, used, lot.free, most);
        self.use_only_under(fitted, hangs, used, lot.free);
        Some(used)
    }

    /// used <= fitted; used >= free if spent; used >= fitted unless spent.
    fn tie_stock(&mut self, fitted: &Terms, used: usize, free: i64, most: i64) {
        let spent = self.column(Kind::StockSpent, 0, 1);
        let not_more = self.row(Some(-fitted.constant), None);
        let all = self.row(Some(0), None);
        let no_less = self.row(Some(fitted.constant), None);
        for &(column, pieces) in &fitted.terms {
            self.entry(not_more, column, pieces);
            self.entry(no_less, column, -pieces);
        }
        self.entry(not_more, used, -1);
        self.entry(all, used, 1);
        self.entry(all, spent, -free);
        self.entry(no_less, used, 1);
        self.entry(no_less, spent, most - free);
    }
}

/// What stock does not serve that is used first.
fn to_buy(fitted: &Terms, hangs: Option<&Hangs>, free: i64, used: Option<usize>) -> Terms {
    let mut terms = fitted.clone();
    match (used, hangs) {
        (_, Some(hangs)) if hangs.exact => return hangs.written(fitted.constant, |n| (n - free).max(0)),
        (Some(used), _) => terms.add(used, -1),
        (None, Some(hangs)) if fitted.constant == 0 => {
            hangs.under.iter().for_each(|(&value, &pieces)| terms.add(value, -pieces.min(free)));
        }
        _ => terms.constant -= free,
    }
    terms
}
