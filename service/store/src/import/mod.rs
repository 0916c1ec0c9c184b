//! Taking in a bundle.

mod report;

use catalogue::SheetSpec;

pub use report::{Change, ImportFailure, ImportFault, ImportOptions, ImportReport, SheetChange, StagedRow};

use crate::error::StoreError;
use crate::store::Store;

/// An import under way. Dropping it leaves the database as it was.
#[derive(Debug)]
pub struct Import {}

impl Store {
    /// Begins to take in a bundle.
    pub async fn begin_import(&self, _options: ImportOptions) -> Result<Import, StoreError> {
        Ok(Import {})
    }
}

impl Import {
    /// Hands over rows of a sheet, in batches of any size; a sheet may come back later. A file without rows is handed
    /// over as an empty batch, so that it counts as present.
    pub async fn stage(
        &mut self,
        _spec: &'static SheetSpec,
        _rows: Vec<StagedRow>,
    ) -> Result<(), StoreError> {
        Ok(())
    }

    /// Checks all rows and, unless there are faults or it is a dry run, stores them: all or nothing.
    pub async fn finish(self) -> Result<ImportReport, ImportFailure> {
        Err(ImportFailure::Refused(Vec::new()))
    }
}
