//! What can go wrong when something of the shelf is asked for or booked.

use store::StoreError;

use crate::lookup_error::LookupError;

/// Why nothing of the shelf was shown or booked.
#[derive(Debug, thiserror::Error)]
pub enum StockError {
    /// Something that the body or query names is not to be found.
    #[error("{error}")]
    Lookup {
        /// The place, as a JSON pointer.
        pointer: String,
        /// What is wrong.
        error: LookupError,
    },
    /// A value that is wrong.
    #[error("{detail}")]
    Bad {
        /// The place, as a JSON pointer.
        pointer: String,
        /// What is wrong there, and what would be right.
        detail: String,
    },
    /// The store refused or failed.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl StockError {
    /// A lookup that failed at a place.
    pub(crate) fn at(pointer: impl Into<String>, error: LookupError) -> Self {
        match error {
            LookupError::Store(error) => Self::Store(error),
            error => Self::Lookup { pointer: pointer.into(), error },
        }
    }

    /// A value that is wrong.
    pub(crate) fn bad(pointer: impl Into<String>, detail: impl Into<String>) -> Self {
        Self::Bad { pointer: pointer.into(), detail: detail.into() }
    }
}
