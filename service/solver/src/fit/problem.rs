//! What is asked: variables with priced values, constraints with the combinations they allow.

use std::iter::Sum;
use std::ops::Add;

use super::tuples::Tuples;

/// What an assignment costs, compared in the order of the fields: fewest further changes first, then fewest
/// unverified joints, then least money.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Cost {
    /// Further changes, a count.
    pub changes: u32,
    /// Joints without a verdict, a count.
    pub unverified: u32,
    /// Money in 1/10000 of the base currency; a credit is negative.
    pub money: i64,
}

impl Add for Cost {
    type Output = Self;

    /// Adds field by field. Stops at the ends of the number range instead of wrapping; sums over one checked
    /// [`Problem`] never reach them.
    fn add(self, other: Self) -> Self {
        Self {
            changes: self.changes.saturating_add(other.changes),
            unverified: self.unverified.saturating_add(other.unverified),
            money: self.money.saturating_add(other.money),
        }
    }
}

impl Sum for Cost {
    fn sum<I: Iterator<Item = Self>>(costs: I) -> Self {
        costs.fold(Self::default(), Add::add)
    }
}

/// One value a variable may take.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Value {
    /// What taking it costs.
    pub cost: Cost,
}

/// The combinations some variables may take together; everything not listed is forbidden.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Constraint {
    /// The variables, each once. One variable makes a unary constraint; none makes a constraint that holds if any
    /// (empty) tuple is listed.
    pub scope: Vec<usize>,
    /// The allowed combinations.
    pub tuples: Tuples,
}

/// Narrows the domain of one variable, as a fact of its own that a [`Conflict`] can name.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Restriction {
    /// The variable; at most one restriction each.
    pub variable: usize,
    /// The values that stay allowed.
    pub allowed: Vec<usize>,
}

/// A fit problem: choose one value for each variable so that every constraint and restriction holds, at least [`Cost`].
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Problem {
    /// The values of each variable. A variable without values makes the problem impossible.
    pub variables: Vec<Vec<Value>>,
    /// What must hold between them.
    pub constraints: Vec<Constraint>,
    /// Domains narrowed by a decision (asked for, must be renewed, not to be had) rather than by what exists.
    pub restrictions: Vec<Restriction>,
}

/// How much work an answer may take. Neither limit makes an answer wrong: what could not be proven is said.
#[derive(Clone, Copy)]
pub struct Budget<'a> {
    /// Most nodes of the depth-first search that takes over where tables would grow too large.
    pub max_nodes: u64,
    /// Most cells all elimination tables of one problem may have together (eight or sixteen bytes each).
    pub max_cells: usize,
    /// Asked now and then; `true` ends the work early.
    pub stop: Option<&'a dyn Fn() -> bool>,
}

impl Budget<'_> {
    /// Nodes allowed by [`Budget::default`].
    pub const DEFAULT_NODES: u64 = 5_000_000;
    /// Cells allowed by [`Budget::default`].
    pub const DEFAULT_CELLS: usize = 1 << 23;

    /// Whether the caller wants the work to end.
    pub(crate) fn stopped(&self) -> bool {
        self.stop.is_some_and(|stop| stop())
    }
}

impl Default for Budget<'_> {
    fn default() -> Self {
        Self { max_nodes: Self::DEFAULT_NODES, max_cells: Self::DEFAULT_CELLS, stop: None }
    }
}

impl std::fmt::Debug for Budget<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Budget")
            .field("max_nodes", &self.max_nodes)
            .field("max_cells", &self.max_cells)
            .field("stop", &self.stop.map(|_| ".."))
            .finish()
    }
}
