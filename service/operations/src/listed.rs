//! A piece of a list.

use serde::{Deserialize, Serialize};

/// Some items of a list, and where it goes on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Listed<T> {
    /// The items.
    pub items: Vec<T>,
    /// The key behind which the next piece starts; `None` where this is the last one.
    pub next_after: Option<String>,
}

impl<T> Listed<T> {
    /// The piece out of one item more than asked for: that one only says that the list goes on.
    pub(crate) fn of(mut items: Vec<T>, limit: u64, key: impl Fn(&T) -> String) -> Self {
        let limit = usize::try_from(limit).unwrap_or(usize::MAX);
        let more = items.len() > limit;
        items.truncate(limit);
        let next_after = if more { items.last().map(key) } else { None };
        Self { items, next_after }
    }
}

#[cfg(test)]
mod tests {
    use super::Listed;

    #[test]
    fn the_last_piece_says_so() {
        let full = Listed::of(vec![1, 2, 3], 2, i32::to_string);
        assert_eq!((full.items, full.next_after.as_deref()), (vec![1, 2], Some("2")));
        let last = Listed::of(vec![1, 2], 2, i32::to_string);
        assert_eq!((last.items, last.next_after), (vec![1, 2], None));
    }
}
