//! What comes of an import.

use std::fmt;
use std::io;
use std::path::PathBuf;

use exchange::Fault;
use serde::{Deserialize, Serialize};
use store::StoreError;
use utoipa::ToSchema;

use crate::check_catalogue::{CheckError, ToldFinding};

/// A change as an example.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct SampleChange {
    /// The row's key, its columns joined by a blank.
    pub key: String,
    /// What became of it: `added`, `changed`, `removed` or `retired`.
    pub change: String,
}

/// What became of the rows of one file, or would become.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct SheetReport {
    /// The sheet.
    pub sheet: String,
    /// Rows that are new.
    pub added: u64,
    /// Rows that had other values.
    pub changed: u64,
    /// Rows that were not in the file and are gone.
    pub removed: u64,
    /// Rows of the file that were there already.
    pub unchanged: u64,
    /// Parts that were not in the file but that papers use: marked as retired.
    pub retired: u64,
    /// The first changes.
    // The audit, of which the report of an import that was left is made, keeps none.
    #[serde(default)]
    #[schema(required = true)]
    pub samples: Vec<SampleChange>,
}

/// What an import did, or as a dry run would do.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct ImportReport {
    /// Whether nothing was stored.
    pub dry_run: bool,
    /// The files, in the order in which they are stored.
    pub sheets: Vec<SheetReport>,
    /// The structure revision after it.
    pub structure_revision: i64,
    /// The price revision after it.
    pub price_revision: i64,
    /// The ledger sequence after it.
    pub ledger_sequence: i64,
    /// What the catalogue check finds after it; `None` where it was not asked for, or could not be made.
    pub findings: Option<Vec<ToldFinding>>,
    /// Why the catalogue could not be checked after the rows went in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub check_failed: Option<String>,
}

impl ImportReport {
    pub(super) fn new(
        report: store::ImportReport,
        dry_run: bool,
        check: Result<Option<Vec<ToldFinding>>, CheckError>,
    ) -> Self {
        let (findings, check_failed) = match check {
            Ok(findings) => (findings, None),
            Err(error) => (None, Some(error.to_string())),
        };
        Self {
            dry_run,
            sheets: report.sheets.into_iter().map(SheetReport::from).collect(),
            structure_revision: report.structure_revision,
            price_revision: report.price_revision,
            ledger_sequence: report.ledger_sequence,
            findings,
            check_failed,
        }
    }
}

impl From<store::SheetChange> for SheetReport {
    fn from(change: store::SheetChange) -> Self {
        let samples = change.samples.into_iter();
        Self {
            sheet: change.sheet.to_owned(),
            added: change.added,
            changed: change.changed,
            removed: change.removed,
            unchanged: change.unchanged,
            retired: change.retired,
            samples: samples
                .map(|(key, change)| SampleChange { key, change: change.word().to_owned() })
                .collect(),
        }
    }
}

/// Why a bundle was refused. The catalogue is as it was.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct ImportRefused {
    /// What cannot be stored, by file and row, up to the limit.
    pub faults: Vec<Fault>,
    /// How many such faults were found.
    pub total: u64,
    /// Whether the search was ended at the limit: there may be more.
    pub ended_early: bool,
    /// Faults of meaning for which a strict import is refused.
    pub findings: Vec<ToldFinding>,
}

impl fmt::Display for ImportRefused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let count = |count: usize, what: &str| format!("{count} {what}{}", if count == 1 { "" } else { "s" });
        let faults = count(usize::try_from(self.total).unwrap_or(usize::MAX), "fault");
        match (self.total, self.findings.len()) {
            (0, findings) => write!(f, "the bundle is refused for {}", count(findings, "finding")),
            (_, 0) => write!(f, "the bundle is refused for {faults}"),
            (_, findings) => {
                write!(f, "the bundle is refused for {faults} and {}", count(findings, "finding"))
            }
        }
    }
}

/// Why an import came to nothing. The catalogue is as it was.
#[derive(Debug, thiserror::Error)]
pub enum ImportError {
    /// The bundle has faults.
    #[error("{0}")]
    Refused(Box<ImportRefused>),
    /// The folder or what was sent holds no file of the catalogue.
    #[error("there is no CSV file of the catalogue to import")]
    NoFiles,
    /// A file cannot be read.
    #[error("{} cannot be read: {source}", path.display())]
    File {
        /// The file or folder.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The catalogue could not be checked.
    #[error(transparent)]
    Check(#[from] CheckError),
    /// Reading broke off without saying why.
    #[error("the import was broken off")]
    BrokenOff,
}
