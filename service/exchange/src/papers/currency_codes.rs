//! The currencies of ISO 4217.

use std::collections::BTreeSet;
use std::sync::LazyLock;

/// The codes of ISO 4217, current currencies and funds, as published on 1 January 2026.
const CODES: &str = include_str!("currency_codes.txt");

static SET: LazyLock<BTreeSet<&str>> = LazyLock::new(|| CODES.split_ascii_whitespace().collect());

/// Whether a code is in the list.
pub(super) fn contains(code: &str) -> bool {
    SET.contains(code)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_is_whole_and_in_order() {
        let codes: Vec<&str> = CODES.split_ascii_whitespace().collect();
        assert!(codes.is_sorted() && codes.iter().all(|code| code.len() == 3));
        assert_eq!((codes.len(), SET.len()), (178, 178));
    }
}
