//! Taking a bundle of CSV files into the catalogue: all of it or nothing.
//!
//! Files are read one after the other on a thread of their own ([`file_stream`]) while the store stages what was read;
//! faults of text and faults of reference are told together. What the catalogue would be after it is checked for faults
//! of meaning ([`merged_rows`]) where the import is strict or a dry run. What a service that stopped has left without an
//! end gets one ([`left_imports`]).

mod bundle_source;
mod fault_translation;
mod file_stream;
mod left_imports;
mod merged_rows;
mod outcome;
mod run_import;
mod staging;
mod start_import;

pub use bundle_source::BundleSource;
pub use exchange::{Fault, FaultCode};
pub(crate) use left_imports::ImportsUnderWay;
pub use left_imports::close_left_imports;
pub use outcome::{ImportError, ImportRefused, ImportReport, SampleChange, SheetReport};
pub use run_import::{ImportProgress, ImportRequest, import_catalogue};
pub use start_import::{StartedImport, find_import, start_import};
pub use store::{ImportPaper, ImportState};
