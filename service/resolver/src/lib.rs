//! The rules of the trade: from a unit and its findings to what its rebuild needs and what brings it.
