//! Exact optimisation on plain indices: which values go together, and what covers a need for least cost.

pub mod cover;
pub mod fit;
