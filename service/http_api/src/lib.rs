//! The HTTP edge: translates, decides nothing.
