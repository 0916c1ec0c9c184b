//! What can go wrong with orders.

use resolver::RequestFault;
use store::StoreError;

use crate::lookup_error::LookupError;
use crate::quote_error::QuoteError;

/// Why an order was not drafted, shown or changed.
#[derive(Debug, thiserror::Error)]
pub enum OrderError {
    /// There is no such order.
    #[error("there is no order `{0}`")]
    NotFound(String),
    /// What is asked for cannot be done with these values.
    #[error("{detail}")]
    Bad {
        /// JSON pointer to the place.
        pointer: String,
        /// What is wrong, and what would be right.
        detail: String,
        /// What may have been meant.
        suggestions: Vec<String>,
    },
    /// A number leads nowhere.
    #[error("{error}")]
    Lookup {
        /// JSON pointer to the place.
        pointer: String,
        /// Why.
        error: LookupError,
    },
    /// The order is in a state in which that cannot be done.
    #[error("order `{number}` is {state}; {step} is possible when it is {}", possible.join(" or "))]
    WrongState {
        /// The order.
        number: String,
        /// Its state.
        state: String,
        /// What was to be done.
        step: String,
        /// The states in which it could be.
        possible: Vec<String>,
    },
    /// The quote is ordered for already.
    #[error(
        "quote `{quote}` is ordered for already by {}; cancel them first, or send `again` as true",
        orders.join(", ")
    )]
    AlreadyOrdered {
        /// The quote.
        quote: String,
        /// The orders.
        orders: Vec<String>,
    },
    /// The order was changed since the change was decided on.
    #[error("the order `{0}` was changed in the meantime")]
    Stale(String),
    /// The quote cannot be read.
    #[error(transparent)]
    Quote(#[from] QuoteError),
    /// The catalogue, prices or settings do not allow it.
    #[error(transparent)]
    Fault(#[from] RequestFault),
    /// The store failed.
    #[error(transparent)]
    Store(StoreError),
}

impl OrderError {
    /// A value that is wrong at a place.
    pub(crate) fn bad(pointer: impl Into<String>, detail: impl Into<String>) -> Self {
        Self::Bad { pointer: pointer.into(), detail: detail.into(), suggestions: Vec::new() }
    }
}

impl From<StoreError> for OrderError {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::AlreadyOrdered { quote, orders } => Self::AlreadyOrdered { quote, orders },
            StoreError::OrderChanged(number) => Self::Stale(number),
            error => Self::Store(error),
        }
    }
}

/// Longest name and longest note, in characters.
const TEXT_MAX: usize = 2_000;
/// Longest name of a person.
const NAME_MAX: usize = 100;

/// Who does it: a name that is there and not endless.
pub(crate) fn named(by: &str) -> Result<String, OrderError> {
    let by = by.trim();
    if by.is_empty() || by.chars().count() > NAME_MAX || by.chars().any(char::is_control) {
        let detail = format!("`by` says who does it: write a name of 1 to {NAME_MAX} characters");
        return Err(OrderError::bad("/by", detail));
    }
    Ok(by.to_owned())
}

/// A note that is not endless.
pub(crate) fn noted(note: Option<&String>) -> Result<String, OrderError> {
    let note = note.map_or("", |note| note.trim());
    if note.chars().count() > TEXT_MAX {
        return Err(OrderError::bad("/note", format!("the note is longer than {TEXT_MAX} characters")));
    }
    Ok(note.to_owned())
}
