//! The papers of an order's life as plain structs: [`Order`], [`OrderResponse`], [`DespatchAdvice`],
//! [`ReceiptAdvice`], [`Catalogue`].
//!
//! Each field names the element of OASIS UBL 2.1 that the standard has for it; [`crate::ubl`] reads and writes them as
//! UBL, [`crate::paper_csv`] as CSV. `service/exchange/PAPERS.md` lists all of it, element by element and column by
//! column.
//!
//! Texts are kept trimmed, with line feeds as line ends. A list of lines stands in the paper's own order.

mod amount;
#[macro_use]
pub mod mapping;

mod codes;
mod currency_codes;
mod description;
mod despatch_advice;
mod item;
mod order;
mod order_response;
mod paper;
mod party;
mod receipt_advice;
mod references;
mod supplier_catalogue;
mod unit;
pub mod value;

pub use amount::{Amount, ItemNumber, Measure};
pub use codes::{CatalogueAction, LineAnswer, OrderAnswer};
pub(crate) use description::TEXT_COLUMN;
pub use description::{ColumnDescription, RecordDescription, describe, papers_readme};
pub use despatch_advice::{DespatchAdvice, DespatchLine, Shipment};
pub use item::{Item, ItemProperty, Price, RelatedItem};
pub use order::{Order, OrderLine};
pub use order_response::{OrderResponse, OrderResponseLine, PromisedDelivery, Substitute};
pub use paper::{Paper, PaperKind};
pub use party::{Party, Period};
pub use receipt_advice::{ReceiptAdvice, ReceiptLine};
pub use references::{DespatchLineReference, DocumentReference, OrderLineReference, OrderReference};
pub use supplier_catalogue::{Catalogue, CatalogueLine, CataloguePrice};
pub use unit::Unit;
