//! What can go wrong with receipts and claims.

use store::StoreError;

use crate::order_error::OrderError;

/// Why a box was not received or taken back, or a claim not shown or changed.
#[derive(Debug, thiserror::Error)]
pub enum ReceiptError {
    /// There is no such receipt.
    #[error("there is no receipt `{0}`")]
    NotFound(String),
    /// There is no such claim.
    #[error("there is no claim `{0}`")]
    ClaimNotFound(String),
    /// There is no such supplier.
    #[error("there is no supplier `{written}`")]
    SupplierNotFound {
        /// The code as written.
        written: String,
        /// The suppliers there are.
        known: Vec<String>,
    },
    /// The count is wrong in several places.
    #[error("the count is wrong in {} places", .0.len())]
    Count(Vec<CountPlace>),
    /// The receipt was taken back already, or takes another one back.
    #[error("receipt `{0}` was taken back already, or takes another one back")]
    Reversed(String),
    /// The supplier has answered the claim of the receipt.
    #[error("claim `{0}` of the receipt is decided; settle it instead of taking the receipt back")]
    ClaimDecided(String),
    /// The claim is in a state in which that cannot be done.
    #[error("claim `{number}` is {state}; {step} is possible when it is {}", possible.join(" or "))]
    WrongClaimState {
        /// The claim.
        number: String,
        /// Its state.
        state: String,
        /// What was to be done.
        step: String,
        /// The states in which it could be.
        possible: Vec<String>,
    },
    /// The claim was changed since the change was decided on.
    #[error("the claim `{0}` was changed in the meantime")]
    StaleClaim(String),
    /// What was received has left the shelf.
    #[error("{0}")]
    NotAvailable(String),
    /// The work was broken off.
    #[error(transparent)]
    Lost(#[from] crate::shop::WorkLost),
    /// What holds for orders, too.
    #[error(transparent)]
    Order(#[from] OrderError),
}

/// One place of a count that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CountPlace {
    /// JSON pointer to the place.
    pub pointer: String,
    /// What is wrong, and what would be right.
    pub detail: String,
    /// What may have been meant.
    pub suggestions: Vec<String>,
}

impl From<StoreError> for ReceiptError {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::ReceiptNotFound(number) => Self::NotFound(number),
            StoreError::ReceiptReversed(number) => Self::Reversed(number),
            StoreError::ClaimDecided(number) => Self::ClaimDecided(number),
            StoreError::ClaimChanged(number) => Self::StaleClaim(number),
            error @ StoreError::NotAvailable(_) => Self::NotAvailable(error.to_string()),
            error => Self::Order(error.into()),
        }
    }
}
