//! What can go wrong when a rebuild is asked for.

use resolver::RequestFault;
use store::StoreError;

use crate::lookup_error::LookupError;
use crate::shop::WorkLost;

/// Why a rebuild was not answered.
#[derive(Debug, thiserror::Error)]
pub enum RebuildError {
    /// A code or number in the request leads nowhere.
    #[error("{error}")]
    Lookup {
        /// JSON pointer into the request.
        pointer: String,
        /// What is wrong there.
        error: LookupError,
    },
    /// A value of the request is out of range, or does not go with another.
    #[error("{detail}")]
    BadRequest {
        /// JSON pointer into the request.
        pointer: String,
        /// What is wrong there, and what would be right.
        detail: String,
        /// What may have been meant.
        suggestions: Vec<String>,
    },
    /// Seen against the catalogue, the request has no answer.
    #[error(transparent)]
    Fault(#[from] RequestFault),
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The catalogue was changed again and again while it was read.
    #[error("the catalogue is being changed; ask again in a moment")]
    Unsettled,
    /// The answer cannot be written as JSON: a figure in it is no number.
    #[error("the answer cannot be written: {0}")]
    Unwritable(#[from] serde_json::Error),
    /// The work was broken off.
    #[error(transparent)]
    Lost(#[from] WorkLost),
}

impl RebuildError {
    /// A value of the request that is wrong.
    pub(crate) fn bad(pointer: impl Into<String>, detail: impl Into<String>) -> Self {
        Self::BadRequest { pointer: pointer.into(), detail: detail.into(), suggestions: Vec::new() }
    }

    /// A lookup that failed at a place of the request.
    pub(crate) fn at(pointer: impl Into<String>, error: LookupError) -> Self {
        match error {
            LookupError::Store(error) => Self::Store(error),
            error => Self::Lookup { pointer: pointer.into(), error },
        }
    }
}
