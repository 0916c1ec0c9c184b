//! What the shop asks for, one file a thing: it reads what is needed, calls the resolver, and keeps what comes of it.
//!
//! **Invariant:** nothing here knows HTTP or a terminal. What the edges need of the floors below comes through here.

pub mod answer_once;
pub mod asked;
pub mod book_movements;
pub mod calculations;
pub mod check_catalogue;
pub mod compare_quote;
pub mod export_catalogue;
pub mod feature_measurement;
pub mod find_part;
mod identify_part;
pub mod identify_unit;
pub mod import_catalogue;
pub mod kits_side_by_side;
pub mod list_catalogue;
pub mod list_movements;
pub mod list_quotes;
pub mod list_stock;
pub mod listed;
pub mod lookup_error;
pub mod quote_error;
pub mod quote_rebuild;
pub mod rebuild_error;
pub mod recompute_quote;
pub mod reservations;
pub mod settings;
pub mod shop;
pub mod show_quote;
pub mod show_unit;
pub mod show_vehicle;
mod snapshot_cache;
pub mod stock_error;
mod stock_words;
pub mod store_quote;
mod translate_request;
mod unit_cautions;
pub mod unit_graph;
pub mod where_used;

pub use resolver::{
    Answer, Cause, Change, ChangeSubject, Comparison, DEFERRAL, ENGINE, KitComparison, KitPieces, KitWay,
    RequestFault, RequestFaultKind, answer, closest, gearing, reason, request,
};
pub use store::{Shortage, StoreError};
