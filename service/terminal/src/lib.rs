//! The terminal edge: translates, decides nothing.
