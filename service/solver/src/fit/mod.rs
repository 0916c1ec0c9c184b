//! Which values go together: the least-cost assignment of a table-constraint problem, exactly.
//!
//! A [`Problem`] is a list of variables, each with priced values, and of constraints, each with the combinations it
//! allows. [`solve`] finds the assignment of least [`Cost`], [`k_best`] the next best ones, [`supports`] what stays open
//! once everything but money is decided, [`smallest_conflict`] why there is none.
//!
//! How: `lay_out` makes a flat `network` of the problem and checks it; `propagate` takes away what a single constraint rules out,
//! `dominance` what another value can always stand in for; `reduced` is the rest. `order` chooses an order of
//! elimination, `eliminate` fills the tables (`tables`), `decode` reads the best answer out of them with its ties,
//! `k_best` the next ones, `optima` all of them. What is too wide for tables goes to `branch`.
//!
//! **Invariant:** same input, same answer, bit for bit. Nothing here knows parts, money's currency, clocks or randomness.

mod answer;
mod branch;
mod conflict;
mod contexts;
mod core;
mod decode;
mod dominance;
mod eliminate;
mod invalid;
mod k_best;
mod lay_out;
mod network;
mod optima;
mod order;
mod problem;
mod propagate;
mod reasons;
mod reduced;
mod residual;
mod solve;
mod supports;
mod tables;
mod tuples;
mod weight;

pub use answer::{Alternatives, Assignment, Blame, Conflict, Outcome, Residual, Supports, SupportsOutcome};
pub use conflict::smallest_conflict;
pub use invalid::{CostPart, InvalidProblem};
pub use problem::{Budget, Constraint, Cost, Problem, Restriction, Value};
pub use solve::{k_best, solve};
pub use supports::supports;
pub use tuples::{Tuple, Tuples};
