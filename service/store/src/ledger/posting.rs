//! What is to be booked.

use catalogue::{Code, Mark, Money, PartKey, Quantity};
use chrono::{DateTime, Utc};

/// Pieces of one part in one bin with one mark: what the ledger keeps a balance of. Lots are locked in this order.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Lot {
    /// The part.
    pub part: PartKey,
    /// The bin.
    pub bin: Code,
    /// The mark etched on a matched set; empty: none.
    pub mark: Mark,
}

/// What a posting does with a lot. Quantities are above zero but for an adjustment's difference.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PostingKind {
    /// Pieces come from a supplier, at this value each.
    Receive {
        /// How many.
        quantity: Quantity,
        /// What each is carried at, in the base currency.
        value: Money,
    },
    /// Pieces go into the job that the booking's paper names. What is reserved for that job is used first.
    Issue {
        /// How many.
        quantity: Quantity,
    },
    /// Pieces come back from a job.
    Return {
        /// How many.
        quantity: Quantity,
        /// What each was issued at; `None`: what the lot is carried at now.
        value: Option<Money>,
    },
    /// A count found more (above zero) or fewer (below), or the pieces are carried at another value.
    Adjust {
        /// More or fewer.
        difference: Quantity,
        /// What each piece of the lot is carried at from now on; `None`: as before.
        value: Option<Money>,
    },
    /// Pieces go to another bin and keep their value.
    Transfer {
        /// How many.
        quantity: Quantity,
        /// The other bin.
        to: Code,
    },
    /// Pieces are thrown away.
    Scrap {
        /// How many.
        quantity: Quantity,
    },
}

/// One line of a booking.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Posting {
    /// The lot.
    pub lot: Lot,
    /// What is done with it.
    pub kind: PostingKind,
    /// The maker's batch of the pieces; empty: not known.
    pub batch: String,
    /// Why, in words.
    pub reason: String,
}

/// Postings that are booked together: all of them or none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Booking {
    /// Who books.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
    /// The paper it is booked for: a job, a receipt, a count sheet.
    pub paper: Option<String>,
    /// The lines, booked in this order.
    pub postings: Vec<Posting>,
}

impl Posting {
    /// The lots that the posting touches: its own, and for a transfer the one in the other bin.
    pub(super) fn lots(&self) -> Vec<Lot> {
        match &self.kind {
            PostingKind::Transfer { to, .. } => {
                vec![self.lot.clone(), Lot { bin: to.clone(), ..self.lot.clone() }]
            }
            PostingKind::Receive { .. }
            | PostingKind::Issue { .. }
            | PostingKind::Return { .. }
            | PostingKind::Adjust { .. }
            | PostingKind::Scrap { .. } => vec![self.lot.clone()],
        }
    }
}
