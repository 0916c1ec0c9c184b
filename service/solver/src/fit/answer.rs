//! What is answered.

use super::problem::{Cost, Problem};

/// A value for every variable.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assignment {
    /// The value of each variable, in the order of the variables.
    pub values: Vec<usize>,
    /// What it costs altogether.
    pub cost: Cost,
}

/// The answer of [`super::solve`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// The least cost, proven; among the assignments of that cost the lexicographically smallest value vector.
    Optimal(Assignment),
    /// The budget ended first.
    Bounded {
        /// The best assignment found so far, if any.
        best: Option<Assignment>,
        /// No assignment costs less than this: proven.
        bound: Cost,
    },
    /// No assignment exists, and why.
    Conflict(Conflict),
}

/// The answer of [`super::k_best`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Alternatives {
    /// The best distinct assignments, proven, by cost, then by value vector; fewer than asked for if no more exist.
    Proven(Vec<Assignment>),
    /// The budget ended first.
    Bounded {
        /// The best found so far, in the same order; each holds, none is proven to be among the best.
        found: Vec<Assignment>,
        /// No assignment costs less than this: proven.
        bound: Cost,
    },
    /// No assignment exists, and why.
    Conflict(Conflict),
}

/// The answer of [`super::supports`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SupportsOutcome {
    /// Proven.
    Proven(Supports),
    /// The budget ended first.
    Bounded {
        /// An assignment of few changes and unverified joints, if one was found.
        best: Option<Assignment>,
        /// No assignment has fewer (changes, unverified) than this: proven. `money` is zero.
        bound: Cost,
    },
    /// No assignment exists, and why.
    Conflict(Conflict),
}

/// What stays open once changes and unverified joints are as few as they can be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Supports {
    /// The least (changes, unverified); `money` is zero.
    pub least: Cost,
    /// For each variable the values, rising, that stand in some assignment with the least (changes, unverified).
    pub values: Vec<Vec<usize>>,
    /// The choice that is left.
    pub residual: Residual,
}

/// The choice that is left among the assignments of least (changes, unverified): variables with one supported value
/// are gone, and each value and variable has a new index.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Residual {
    /// The original index of each open variable, rising.
    pub variables: Vec<usize>,
    /// For each open variable the original index of each of its values, rising: the supported values.
    pub values: Vec<Vec<usize>>,
    /// The open choice as a problem in the new indices, without restrictions.
    ///
    /// Where [`exact`](Self::exact), its assignments are exactly those of least (changes, unverified), every `changes`
    /// and `unverified` in it is zero and only money is left. Otherwise it allows more than those: `changes` and
    /// `unverified` are kept in it, and only the assignments whose sums of both equal [`limit`](Self::limit) count.
    pub problem: Problem,
    /// Whether the constraints of `problem` alone leave exactly the optimal assignments.
    pub exact: bool,
    /// What the (changes, unverified) of `problem` must add up to; zero where `exact`.
    pub limit: Cost,
    /// What the fixed variables cost in money.
    pub fixed_money: i64,
}

/// Facts that cannot hold together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    /// Constraints that take part, rising.
    pub constraints: Vec<usize>,
    /// Variables whose restricted domain takes part, rising. A variable that has no value at all stands here too.
    pub domains: Vec<usize>,
    /// Whether leaving out any one of these facts makes the rest of them (with what may not be blamed) possible.
    /// `false` only where the budget ended before each was tried.
    pub minimal: bool,
}

/// Which facts a [`Conflict`] may name. What may not be blamed is taken as given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Blame<'a> {
    /// Every constraint and every restriction.
    All,
    /// These only.
    Only {
        /// Constraints, by index, in any order.
        constraints: &'a [usize],
        /// Variables whose restriction may be blamed, in any order.
        domains: &'a [usize],
    },
}
