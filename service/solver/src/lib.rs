//! Exact optimisation on plain indices: which values go together, what covers a need for least cost, and
//! how quantities flow from supplies to demands.

pub mod cover;
pub mod fit;
pub mod flow;
