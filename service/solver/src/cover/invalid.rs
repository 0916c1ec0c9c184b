//! What is wrong with a problem that cannot be read.

/// Where a problem contradicts itself.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Invalid {
    /// An index points past its list.
    #[error("{place}: there is no {what} {index}; there are {count}")]
    NoSuch {
        /// Where it stands.
        place: String,
        /// What it should name.
        what: &'static str,
        /// The index.
        index: usize,
        /// How many there are.
        count: usize,
    },
    /// A number is below its least value.
    #[error("{place}: {what} is {value}; it must be at least {least}")]
    TooSmall {
        /// Where it stands.
        place: String,
        /// Which number.
        what: &'static str,
        /// Its value.
        value: i64,
        /// The least that makes sense.
        least: i64,
    },
    /// A list is empty that must hold something.
    #[error("{place}: {what} is empty; it must hold at least one entry")]
    Empty {
        /// Where it stands.
        place: String,
        /// Which list.
        what: &'static str,
    },
    /// The same entry stands twice in a list.
    #[error("{place}: {what} {index} stands twice; once is enough")]
    Twice {
        /// Where it stands.
        place: String,
        /// What stands twice.
        what: &'static str,
        /// Which one.
        index: usize,
    },
    /// Tiers do not rise, or the first starts above the least quantity sold.
    #[error(
        "{place}: tiers must rise in `from` and the first must start at or below the least quantity sold"
    )]
    Tiers {
        /// Where they stand.
        place: String,
    },
    /// A combination has not one value for each choice of its table.
    #[error("{place}: the combination holds {found} values; its table speaks of {expected} choices")]
    Combination {
        /// Where it stands.
        place: String,
        /// Values found.
        found: usize,
        /// Choices of the table.
        expected: usize,
    },
    /// Sums of money or quantities would not fit.
    #[error("{what} is too large: sums of it would pass {limit}")]
    TooLarge {
        /// What would overflow.
        what: &'static str,
        /// The limit.
        limit: i64,
    },
}
