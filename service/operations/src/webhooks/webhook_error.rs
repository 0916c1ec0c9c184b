//! Why nothing was done with a webhook.

use courier::AddressFault;
use store::StoreError;

use crate::events::EventError;

/// Why nothing was done with a webhook.
#[derive(Debug, thiserror::Error)]
pub enum WebhookError {
    /// There is no such target.
    #[error("there is no webhook `{0}`")]
    NotFound(String),
    /// The target is not as it was when the change was decided on.
    #[error("the webhook was changed in the meantime")]
    Stale,
    /// Something asked for cannot be taken.
    #[error("{detail}")]
    Bad {
        /// Where it stands in what was asked, as a JSON pointer.
        pointer: &'static str,
        /// What is wrong, and what would be right.
        detail: String,
        /// What may have been meant.
        suggestions: Vec<String>,
    },
    /// The system gives no random bytes.
    #[error("the system gives no random bytes")]
    NoRandomness,
    /// The store failed.
    #[error(transparent)]
    Store(StoreError),
}

impl WebhookError {
    pub(super) fn bad(pointer: &'static str, detail: impl Into<String>) -> Self {
        Self::Bad { pointer, detail: detail.into(), suggestions: Vec::new() }
    }

    pub(super) fn at(pointer: &'static str, error: EventError) -> Self {
        let detail = error.to_string();
        match error {
            EventError::Store(error) => error.into(),
            EventError::BadCursor(_) => Self::bad(pointer, detail),
            EventError::BadType { known, .. } => Self::Bad { pointer, detail, suggestions: known },
        }
    }
}

impl From<AddressFault> for WebhookError {
    fn from(fault: AddressFault) -> Self {
        Self::bad("/url", fault.to_string())
    }
}

impl From<StoreError> for WebhookError {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::WebhookNotFound(id) => Self::NotFound(id),
            StoreError::WebhookChanged(_) => Self::Stale,
            StoreError::ReplayAhead(_) => Self::bad(
                "/after",
                "the webhook has not come that far yet; take a cursor of events that were looked at for it",
            ),
            error => Self::Store(error),
        }
    }
}
