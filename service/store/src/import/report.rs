//! What an import asks for, and what comes of it.

use std::collections::BTreeSet;

use catalogue::Cell;
use uuid::Uuid;

use crate::error::StoreError;

/// How a bundle is to be taken in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ImportOptions {
    /// Sheets whose rows are removed where the file does not name them.
    pub replace: BTreeSet<String>,
    /// Work out everything, then leave the database as it was.
    pub dry_run: bool,
    /// How many faults are gathered before the rest is left unread.
    pub fault_limit: usize,
    /// Take the bundle in only while prices are at this revision: what was decided on them still holds then.
    pub at_price_revision: Option<i64>,
    /// The same of the structure.
    pub at_structure_revision: Option<i64>,
    /// Who imports, for the audit.
    pub who: String,
    /// A note for the audit and for the ledger's papers.
    pub note: String,
    /// The paper of the import, which the audit names; `None` where it has none.
    pub paper: Option<Uuid>,
}

/// One row of a file.
#[derive(Debug, Clone, PartialEq)]
pub struct StagedRow {
    /// Number of its line in the file; no two rows of one file share it.
    pub row: u64,
    /// One cell for each column of the sheet, the derived ones among them.
    pub cells: Vec<Cell>,
}

impl StagedRow {
    /// The number of its line as the databases hold it.
    pub(super) fn line_number(&self) -> i64 {
        i64::try_from(self.row).unwrap_or(i64::MAX)
    }
}

/// What became, or would become, of a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Change {
    /// It is new.
    Added,
    /// It was there with other values.
    Changed,
    /// It was not in the file and is gone.
    Removed,
    /// It was not in the file, but papers use it.
    Retired,
}

impl Change {
    /// The word of the change.
    pub fn word(self) -> &'static str {
        match self {
            Self::Added => "added",
            Self::Changed => "changed",
            Self::Removed => "removed",
            Self::Retired => "retired",
        }
    }
}

/// What became of the rows of one sheet.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SheetChange {
    /// The sheet.
    pub sheet: &'static str,
    /// Rows that are new.
    pub added: u64,
    /// Rows that had other values.
    pub changed: u64,
    /// Rows that were not in the file and are gone.
    pub removed: u64,
    /// Rows of the file that were there already.
    pub unchanged: u64,
    /// Parts that were not in the file, but that papers use: marked as retired.
    pub retired: u64,
    /// Keys of the first changes, the key's columns joined by a blank.
    pub samples: Vec<(String, Change)>,
}

/// What an import did, or with `dry_run` would do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ImportReport {
    /// The sheets that were in the bundle, in the order in which they are stored.
    pub sheets: Vec<SheetChange>,
    /// The structure revision after it.
    pub structure_revision: i64,
    /// The price revision after it.
    pub price_revision: i64,
    /// The ledger sequence after it.
    pub ledger_sequence: i64,
}

/// Why a row cannot be stored.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ImportFault {
    /// The sheet.
    pub sheet: &'static str,
    /// Number of the line in its file; 0 where the fault is about a row that the file does not name.
    pub row: u64,
    /// The columns.
    pub columns: Vec<&'static str>,
    /// Their value as a person writes it.
    pub value: String,
    /// What is wrong with the value, to be read after it.
    pub wrong: String,
    /// What would be right.
    pub right: String,
    /// The closest value that exists, for a mistyped reference.
    pub suggestion: Option<String>,
}

/// Why an import came to nothing. The database is as it was.
#[derive(Debug, thiserror::Error)]
pub enum ImportFailure {
    /// Rows that cannot be stored, by sheet and row, up to the limit of the options.
    #[error("{} rows cannot be stored", .0.len())]
    Refused(Vec<ImportFault>),
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl From<sea_orm::sqlx::Error> for ImportFailure {
    fn from(error: sea_orm::sqlx::Error) -> Self {
        Self::Store(error.into())
    }
}
