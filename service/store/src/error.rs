//! What can go wrong in the store, in the words of the shop.

use catalogue::{Code, PartKey, UnitKey};

use crate::ledger::Shortage;

/// A failed call of the store.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The address names no database that this service knows.
    #[error("`{0}` is no address of a database: write sqlite:PATH or postgres://USER@HOST/DATABASE")]
    Address(String),
    /// The database was changed by a later version of the service.
    #[error("the database is newer than this version of the service ({0})")]
    NewerDatabase(String),
    /// There is no such unit.
    #[error("there is no unit `{0}`")]
    UnitNotFound(UnitKey),
    /// There is no paper of an import under this id.
    #[error("there is no import `{0}`")]
    ImportNotFound(uuid::Uuid),
    /// Prices or structure have moved on from the revision that a change was decided on.
    #[error("the catalogue is at revision {current}, not at {expected}")]
    RevisionMoved {
        /// The revision that the change was decided on.
        expected: i64,
        /// The revision now.
        current: i64,
    },
    /// The key of the request is held by somebody else by now, because the work took too long.
    #[error("the request with the key `{0}` took so long that its key was given up; nothing of it was kept")]
    ClaimLost(String),
    /// The job has gone on since it was read.
    #[error("the job `{0}` was changed in the meantime")]
    JobChanged(String),
    /// There is no such bin.
    #[error("there is no bin `{0}`")]
    BinNotFound(Code),
    /// There is no such part.
    #[error("there is no part `{0}`")]
    PartNotFound(PartKey),
    /// There is no such reservation.
    #[error("there is no reservation `{0}`")]
    ReservationNotFound(String),
    /// The reservation has ended.
    #[error("the reservation `{0}` has ended already")]
    ReservationEnded(String),
    /// Not as much as is wanted lies on the shelf and is not spoken for.
    #[error("{0}")]
    NotAvailable(Box<Shortage>),
    /// A posting says nothing that can be booked.
    #[error("the posting of `{part}` cannot be booked: {wrong}")]
    BadPosting {
        /// Its place in the booking, from nought.
        index: usize,
        /// Its part.
        part: PartKey,
        /// What is wrong with it, and what would be right.
        wrong: &'static str,
    },
    /// Orders that are not cancelled have lines for the quote already.
    #[error("quote `{quote}` is ordered for already: {}", orders.join(", "))]
    AlreadyOrdered {
        /// The quote.
        quote: String,
        /// The orders.
        orders: Vec<String>,
    },
    /// That number of the sender was taken in already.
    #[error("the paper `{0}` was taken in already")]
    PaperReceived(String),
    /// The order is at another version than the change was decided on.
    #[error("the order `{0}` was changed in the meantime")]
    OrderChanged(String),
    /// The claim is at another version than the change was decided on.
    #[error("the claim `{0}` was changed in the meantime")]
    ClaimChanged(String),
    /// The supplier has answered the claim.
    #[error("the claim `{0}` is decided")]
    ClaimDecided(String),
    /// There is no such receipt.
    #[error("there is no receipt `{0}`")]
    ReceiptNotFound(String),
    /// The receipt was taken back, or takes another one back.
    #[error("the receipt `{0}` was taken back already, or takes another one back")]
    ReceiptReversed(String),
    /// A key of this name is not revoked.
    #[error("the key `{number}` is called `{name}` already; revoke it first, or take another name")]
    KeyNameTaken {
        /// The name.
        name: String,
        /// The key that has it.
        number: String,
    },
    /// The key is revoked.
    #[error("the key `{0}` is revoked already")]
    KeyRevoked(String),
    /// No other owner's key would be left.
    #[error("`{0}` is the last owner's key that opens anything; make another one first")]
    LastOwnerKey(String),
    /// There is no such webhook.
    #[error("there is no webhook `{0}`")]
    WebhookNotFound(String),
    /// The webhook is at another version than the change was decided on.
    #[error("the webhook `{0}` was changed in the meantime")]
    WebhookChanged(String),
    /// The webhook is to be set back to a number that it has not come to.
    #[error("the webhook has not come to event {0}")]
    ReplayAhead(i64),
    /// The key was not claimed before its answer was to be kept.
    #[error("the idempotency key `{0}` was not claimed")]
    KeyNotClaimed(String),
    /// A row that a table holds cannot be read as what the table is for.
    #[error("a row of `{table}` cannot be read: column `{column}`")]
    BadRow {
        /// The table.
        table: &'static str,
        /// The column.
        column: String,
    },
    /// A row handed over for an import has not one cell for each column.
    #[error("a row of `{sheet}` has {cells} cells where the sheet has {columns} columns")]
    WrongWidth {
        /// The sheet.
        sheet: &'static str,
        /// Cells handed over.
        cells: usize,
        /// Columns of the sheet.
        columns: usize,
    },
    /// The database failed.
    #[error("the database failed: {0}")]
    Database(#[from] sea_orm::DbErr),
    /// SQLite failed while a bundle was taken in.
    #[error("the database failed: {0}")]
    Sqlite(#[from] rusqlite::Error),
    /// What worked on an import ended before it was done.
    #[error("the import broke off")]
    ImportBroken,
}

impl From<sea_orm::sqlx::Error> for StoreError {
    fn from(error: sea_orm::sqlx::Error) -> Self {
        Self::Database(sea_orm::DbErr::Query(sea_orm::RuntimeErr::SqlxError(error.into())))
    }
}
