//! Leaves open in each branch what stands in some choice of fewest further changes, as the way from fit to cover does.

use solver::cover::{Choice, Problem, Table};
use solver::fit::{Budget, SupportsOutcome, supports};

use crate::cover_instance::Instance;

/// What fit leaves of an instance.
pub(crate) enum Narrowed {
    /// The cover problem with the values that are left, and the further changes over all branches.
    Left(Problem, u32),
    /// In some branch no values go together.
    Impossible,
}

impl Instance {
    /// The problem that cover is asked, once fit has left what goes together at fewest further changes.
    ///
    /// # Panics
    ///
    /// If the tables of fit do not say exactly what is left: no instance here is so wide.
    pub(crate) fn narrowed(&self) -> Narrowed {
        let mut problem = self.problem.clone();
        let mut changes = 0;
        for (branch, fit) in problem.branches.iter_mut().zip(&self.fits) {
            let left = match supports(fit, &Budget::default()).expect("a valid problem") {
                SupportsOutcome::Proven(left) => left,
                SupportsOutcome::Conflict(_) => return Narrowed::Impossible,
                SupportsOutcome::Bounded { .. } => panic!("{}: fit is not proven", self.id),
            };
            assert!(left.residual.exact, "{}: the tables do not say it all", self.id);
            changes += left.least.changes;
            for (choice, values) in branch.choices.iter_mut().zip(&left.values) {
                let values = values.iter().map(|&value| choice.values[value].clone()).collect();
                *choice = Choice { values };
            }
            let residual = left.residual;
            branch.tables = residual
                .problem
                .constraints
                .into_iter()
                .map(|table| Table {
                    scope: table.scope.iter().map(|&variable| residual.variables[variable]).collect(),
                    tuples: table
                        .tuples
                        .iter()
                        .map(|tuple| tuple.values.iter().map(|&value| value as usize).collect())
                        .collect(),
                })
                .collect();
        }
        Narrowed::Left(problem, changes)
    }
}
