//! What can go wrong with papers.

use exchange::Fault;
use exchange::ubl::XmlFault;
use store::StoreError;

use crate::import_catalogue::ImportError;
use crate::order_error::OrderError;
use crate::receipt_error::ReceiptError;

/// Why a paper was not taken in or written.
#[derive(Debug, thiserror::Error)]
pub enum PaperError {
    /// There is no such received paper.
    #[error("there is no received paper `{0}`")]
    NotFound(String),
    /// There is no such supplier.
    #[error("there is no supplier `{written}`")]
    SupplierNotFound {
        /// The code as written.
        written: String,
        /// The suppliers there are.
        known: Vec<String>,
    },
    /// The text is none of the papers.
    #[error("{0}")]
    UnknownKind(String),
    /// The text cannot be read as the paper that it says it is.
    #[error("the paper has {total} faults")]
    Unreadable {
        /// The first of them.
        faults: Vec<PaperFault>,
        /// How many there are.
        total: u64,
    },
    /// The paper can be read, and says something that cannot be.
    #[error("the paper cannot be taken in as it is: {} places are wrong", .0.len())]
    Wrong(Vec<PaperFault>),
    /// The sender's number stands for another paper already.
    #[error(
        "{kind} `{sent_number}` of {sender} was taken in as {number} with another content; a changed paper needs a number of its own"
    )]
    OtherContent {
        /// Its kind.
        kind: String,
        /// Who sent it.
        sender: String,
        /// The sender's number.
        sent_number: String,
        /// Its running number here.
        number: String,
    },
    /// What is to be written is not ready for it.
    #[error("{0}")]
    NotReady(String),
    /// What is to be written does not fit the standard.
    #[error("the paper cannot be written: {} places are wrong", .0.len())]
    Unwritable(Vec<PaperFault>),
    /// The paper came while its order changed, again and again.
    #[error(transparent)]
    Order(#[from] OrderError),
    /// The count is wrong.
    #[error(transparent)]
    Receipt(#[from] ReceiptError),
    /// The catalogue could not be taken in.
    #[error(transparent)]
    Import(ImportError),
    /// The store failed.
    #[error(transparent)]
    Store(StoreError),
}

/// A place of a paper that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PaperFault {
    /// The element with those around it, or the row and column; where only the meaning is wrong, the line.
    pub place: String,
    /// What is wrong, and what would be right.
    pub detail: String,
    /// What may have been meant.
    pub suggestions: Vec<String>,
}

impl PaperFault {
    pub(super) fn new(place: impl Into<String>, detail: impl Into<String>) -> Self {
        Self { place: place.into(), detail: detail.into(), suggestions: Vec::new() }
    }

    pub(super) fn of_xml(fault: &XmlFault) -> Self {
        Self::new(fault.path.clone(), fault.cause())
    }

    pub(super) fn of_csv(fault: &Fault) -> Self {
        Self {
            place: fault.place(),
            detail: fault.cause(),
            suggestions: fault.suggestion.iter().cloned().collect(),
        }
    }
}

impl PaperError {
    /// One thing that cannot be.
    pub(super) fn wrong(place: impl Into<String>, detail: impl Into<String>) -> Self {
        Self::Wrong(vec![PaperFault::new(place, detail)])
    }
}

impl From<StoreError> for PaperError {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}
