//! Papers as CSV (RFC 4180), in and out.
//!
//! One paper a file. The column `record` says what a row is; the first row below the header is the paper, each other row
//! belongs to the nearest row above it that may have one of its kind. `service/exchange/PAPERS.md` lists records and
//! columns; [`crate::papers::describe`] gives the same as data.
//!
//! ```
//! use exchange::papers::OrderResponse;
//!
//! let text = "record,number,issued,order,quantity,quantity_unit\r\n\
//!     order_response,OR-551,2026-11-24,PO-000017,,\r\n\
//!     line,2,,,1,H87\r\n";
//! let response: OrderResponse = exchange::paper_csv::read("answer.csv", text.as_bytes()).expect("it is sound");
//! assert_eq!(response.lines[0].quantity.as_ref().map(|sent| sent.quantity.to_string()), Some("1".into()));
//! ```

mod reader;
mod record_of;
mod writer;

pub use reader::{ROWS_MAX, read};
pub use record_of::record_of;
pub use writer::write;
