//! Checking the catalogue for faults of meaning.

mod read_rows;

use chrono::NaiveDate;
use resolver::catalogue_check::{CatalogueRows, Fact, Finding, Severity, Subject, check};
use serde::{Deserialize, Serialize};
use store::StoreError;
use utoipa::ToSchema;

use crate::shop::{Shop, WorkLost};

pub use resolver::catalogue_check;

/// A finding with its sentence.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct ToldFinding {
    /// How much it matters.
    pub severity: Severity,
    /// The row it speaks of.
    pub subject: Subject,
    /// What was found, with its code.
    pub fact: Fact,
    /// The same as a sentence.
    pub sentence: String,
}

impl From<Finding> for ToldFinding {
    fn from(finding: Finding) -> Self {
        let sentence = finding.sentence();
        Self { severity: finding.severity, subject: finding.subject, fact: finding.fact, sentence }
    }
}

/// Why the catalogue could not be checked.
#[derive(Debug, thiserror::Error)]
pub enum CheckError {
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The check was broken off.
    #[error(transparent)]
    Lost(#[from] WorkLost),
}

/// All findings of the catalogue as it stands at one moment, held against a day; the most severe first.
pub async fn check_catalogue(shop: &Shop, as_of: NaiveDate) -> Result<Vec<ToldFinding>, CheckError> {
    let rows = read_rows::read_rows(shop.store()).await?;
    check_rows(shop, rows, as_of).await
}

/// All findings of rows that may not be stored yet.
#[tracing::instrument(skip_all, fields(parts = rows.parts.len(), findings))]
pub(crate) async fn check_rows(
    shop: &Shop,
    rows: CatalogueRows,
    as_of: NaiveDate,
) -> Result<Vec<ToldFinding>, CheckError> {
    let told: Vec<ToldFinding> =
        shop.work(move || check(&rows, as_of).into_iter().map(ToldFinding::from).collect()).await?;
    tracing::Span::current().record("findings", told.len());
    Ok(told)
}

pub(crate) use read_rows::{RowsBySheet, read_cells, rows_of};
