//! The two ways in which a paper is written.

use exchange::papers::Paper;
use exchange::{paper_csv, ubl};

use super::error::{PaperError, PaperFault};

/// How a paper is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PaperFormat {
    /// OASIS UBL 2.1.
    Ubl,
    /// CSV (RFC 4180).
    Csv,
}

impl PaperFormat {
    /// Its media type.
    pub fn media_type(self) -> &'static str {
        match self {
            Self::Ubl => "application/xml",
            Self::Csv => "text/csv",
        }
    }

    /// The format of a media type.
    pub fn of(media_type: &str) -> Option<Self> {
        match media_type {
            "application/xml" | "text/xml" => Some(Self::Ubl),
            "text/csv" => Some(Self::Csv),
            _ => None,
        }
    }
}

/// Writes a paper.
pub(super) fn write<P: Paper>(paper: &P, format: PaperFormat) -> Result<String, PaperError> {
    match format {
        PaperFormat::Ubl => ubl::write(paper)
            .map_err(|faults| PaperError::Unwritable(faults.kept().iter().map(PaperFault::of_xml).collect())),
        PaperFormat::Csv => paper_csv::write(paper)
            .map_err(|faults| PaperError::Unwritable(faults.kept().iter().map(PaperFault::of_csv).collect())),
    }
}
