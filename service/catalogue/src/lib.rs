//! The nouns of the trade as plain values.
//!
//! Each noun that a data keeper would hold in a spreadsheet is one struct made by [`sheet!`]: the struct, the columns of
//! its CSV file and of its table, and their documentation come from the same few lines. [`bundle::SHEETS`] lists them in
//! the order in which they can be stored.
//!
//! **Invariant:** nothing here knows a database, HTTP, a clock or the rules of the trade.

#[macro_use]
mod sheet;
#[macro_use]
mod choice;

pub mod bundle;
pub mod cell;
pub mod event;
pub mod gtin;
pub mod key;
mod key_order;
pub mod measure;
pub mod money;
pub mod nouns;
pub mod quantity;
pub mod snapshot;

pub use cell::{Cell, CellFault, CellValue, ColumnKind};
pub use gtin::Gtin;
pub use key::{Code, Mark, PartKey, UnitKey};
pub use key_order::{key_order, sort_by_key};
pub use measure::UnitOfMeasure;
pub use money::{Currency, Money, Rate};
pub use nouns::*;
pub use quantity::{Percent, Quantity};
pub use sheet::{Bound, Column, Derivation, Reference, Revision, Sheet, SheetSpec};
pub use snapshot::{PriceBook, Snapshot, StockLot, StockView};
