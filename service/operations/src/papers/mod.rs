//! Papers of an order's life by an open standard: UBL 2.1 and CSV, in and out.
//!
//! [`take_in`] reads any paper that a supplier or the shop's ordering system sends, does what it says, and keeps it as it
//! was sent. [`write_order`], [`write_receipt`] and [`write_catalogue`] write the shop's own.

mod catalogue_in;
mod catalogue_out;
mod despatch_in;
mod error;
mod format;
mod item;
mod order_in;
mod order_out;
mod outcome;
mod receipt_in;
mod receipt_out;
mod received;
mod response_in;
mod sent_paper;
mod take_in;

pub use catalogue_out::{CataloguePiece, write_catalogue};
pub use error::{PaperError, PaperFault};
pub use format::PaperFormat;
pub use order_out::write_order;
pub use outcome::{
    AnnouncedBox, AnsweredLine, AnsweredOrder, CountedBox, DraftedFromPaper, Outstanding, PaperOutcome,
    TakenCatalogue, WaitingPaper,
};
pub use receipt_out::write_receipt;
pub use received::{
    PapersWanted, ReceivedPaperHead, ReceivedPaperSheet, list_received_papers, show_received_paper,
    write_received_paper,
};
pub use sent_paper::{PaperSort, SentPaper};
pub use take_in::{TakenIn, take_in};
