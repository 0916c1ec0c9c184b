//! What can go wrong with stored quotes.

use store::StoreError;

use crate::rebuild_error::RebuildError;

/// Why a quote was not shown, recomputed or compared.
#[derive(Debug, thiserror::Error)]
pub enum QuoteError {
    /// There is no such quote.
    #[error("there is no quote `{0}`")]
    NotFound(String),
    /// What the quote froze cannot be read by this version of the engine.
    #[error("what quote `{number}` froze cannot be read by {engine}", engine = resolver::ENGINE)]
    Unreadable {
        /// The quote.
        number: String,
        /// Why.
        source: serde_json::Error,
    },
    /// The rebuild was not answered.
    #[error(transparent)]
    Rebuild(#[from] RebuildError),
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
}
