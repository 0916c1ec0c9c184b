//! Tables and queries behind one code path for SQLite and PostgreSQL.
//!
//! The catalogue's tables are read and written as the sheets of [`catalogue::bundle::SHEETS`] describe them; the shop's
//! papers have entities of their own, which stay private. What goes in and comes out are values of the catalogue and
//! the small types here.
//!
//! **Invariant:** nothing here knows HTTP, files or the rules of the trade, and no type of the database library leaves
//! this crate except inside [`StoreError::Database`] and [`StoreError::Sqlite`].

mod access_keys;
mod as_built;
mod audit;
mod caller;
mod cells;
mod claims;
mod closest;
mod distance;
mod error;
mod export;
mod finish;
mod idempotency;
mod import;
mod import_paper;
mod jobs;
mod ledger;
mod notice_rows;
mod numbers;
mod orders;
mod outbox;
mod part_families;
mod parts;
mod prices;
mod quotes;
mod quotes_of_parts;
mod reach;
mod receipts;
mod received_papers;
mod revisions;
mod select;
mod snapshot;
mod stock;
mod store;
mod units;
mod vehicles;
mod webhooks;
mod where_used;

pub use access_keys::{AccessKey, NewAccessKey};
pub use as_built::{AsBuiltRow, AsBuiltSource};
pub use audit::{AuditEntry, AuditFilter};
pub use caller::Caller;
pub use claims::{ClaimEntry, ClaimFilter, ClaimLine, ClaimStep, NewClaim, SupplierClaim, SupplierFault};
pub use error::StoreError;
pub use export::Export;
pub use idempotency::{Claim, HeldKey, StoredResponse};
pub use import::{
    Change, Import, ImportFailure, ImportFault, ImportOptions, ImportReport, SheetChange, StagedRow,
};
pub use import_paper::{ImportPaper, ImportState, LeftImport};
pub use jobs::{JobEffects, JobRow, JobStepRow, NewJobStep};
pub use ledger::{
    AsOf, Booking, CountBooked, Lot, LotFilter, Movement, MovementFilter, MovementKind, NewReservations,
    PastBalance, Posting, PostingKind, Reservation, ReservationEnd, ReservationFilter, ReservationLine,
    Shortage,
};
pub use orders::{
    NewOrder, NewOrderLine, Order, OrderChange, OrderContent, OrderEntry, OrderFilter, OrderLine,
    OrderLineChange, OrderShare, OrderStep, RoundState, dealt, dealt_between,
};
pub use outbox::{EventFilter, StoredEvent};
pub use quotes::{NewQuote, Quote, QuoteEntry};
pub use quotes_of_parts::QuoteOfParts;
pub use receipts::{JobPiece, NewReceipt, NewReversal, Receipt, ReceiptEntry, ReceiptFilter, ReceiptPiece};
pub use received_papers::{NewReceivedPaper, ReceivedPaper, ReceivedPaperFilter};
pub use revisions::Revisions;
pub use store::{DatabaseKind, Store};
pub use webhooks::{
    Attempt, Due, NewAttempt, NewWebhook, PauseReason, Progress, Webhook, WebhookAtWork, WebhookChange,
};
pub use where_used::{KitUse, PositionUse, Relation, WhereUsed};
