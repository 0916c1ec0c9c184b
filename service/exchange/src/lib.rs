//! Papers as text: the sheets of the catalogue as CSV (RFC 4180), in and out.
//!
//! [`SheetReader`] streams one file in batches of rows; what is wrong goes to [`Faults`], with the place and what would
//! be right. [`SheetWriter`] writes what the reader reads. [`bundle_readme`] documents the bundle column by column.
//!
//! **Invariant:** nothing here knows a database, HTTP or a clock; memory does not grow with the number of rows.

mod bundle_readme;
mod count_sheet;
mod csv_text;
mod derived_columns;
mod did_you_mean;
mod examples;
mod fault;
mod header;
pub mod paper_csv;
pub mod papers;
mod record_watch;
mod row_rules;
mod setting_rules;
mod sheet_reader;
mod sheet_writer;
mod shelf_sheet;
pub mod ubl;

pub use bundle_readme::{bundle_readme, column_table};
pub use count_sheet::{CountFault, CountRow, CountSheetRow, read_count, write_count_sheet};
pub use did_you_mean::closest;
pub use examples::example;
pub use fault::{Fault, FaultCode, Faults};
pub use setting_rules::SETTINGS;
pub use sheet_reader::{BATCH_ROWS, Batch, ReadSummary, Row, SheetReader, read_sheet};
pub use sheet_writer::{SheetWriter, write_sheet};
pub use shelf_sheet::{ShelfCountRow, ShelfSheetRow, read_shelf_count, write_shelf_sheet};
