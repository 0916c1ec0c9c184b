//! The nouns of the trade as plain values.
