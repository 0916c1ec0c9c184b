//! Which values go together: the least-cost assignment of a table-constraint problem, exactly.

mod answer;
mod invalid;
mod problem;

pub use answer::{Alternatives, Assignment, Blame, Conflict, Outcome, Residual, Supports, SupportsOutcome};
pub use invalid::{CostPart, InvalidProblem};
pub use problem::{Budget, Constraint, Cost, Problem, Restriction, Tuple, Value};
