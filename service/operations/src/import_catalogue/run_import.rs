//! The import itself.

use std::collections::BTreeSet;

use catalogue::bundle;
use chrono::NaiveDate;
use exchange::{Fault, FaultCode, Faults};
use resolver::catalogue_check::Severity;
use store::ImportFailure;
use uuid::Uuid;

use super::bundle_source::{BundleSource, unknown_file};
use super::fault_translation::{for_store, refusal};
use super::merged_rows::merged_rows;
use super::outcome::{ImportError, ImportRefused, ImportReport};
use super::staging::Staging;
use crate::check_catalogue::{RowsBySheet, ToldFinding, check_catalogue, check_rows, read_cells, rows_of};
use crate::shop::Shop;

/// How a bundle is to be taken in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ImportRequest {
    /// Files whose absent rows are removed, by sheet name, with or without `.csv`.
    pub replace: BTreeSet<String>,
    /// Only say what would change.
    pub dry_run: bool,
    /// Refuse the bundle also for faults of meaning: errors and warnings that the catalogue check finds after it.
    pub strict: bool,
    /// Report what the catalogue check finds after it.
    pub report_findings: bool,
    /// How many faults are told.
    pub fault_limit: usize,
    /// The day against which the catalogue is checked.
    pub as_of: NaiveDate,
    /// Take the bundle in only while prices are at this revision.
    pub at_price_revision: Option<i64>,
    /// Take the bundle in only while the structure is at this revision.
    pub at_structure_revision: Option<i64>,
    /// Who imports, for the audit.
    pub who: String,
    /// A note for the audit and for the ledger's papers.
    pub note: String,
    /// The paper of the import, which the audit names; `None` where it has none.
    pub paper: Option<Uuid>,
}

impl ImportRequest {
    /// The usual import on a day: it merges, stores, reports findings, and tells up to a hundred faults.
    pub fn on(as_of: NaiveDate) -> Self {
        Self {
            replace: BTreeSet::new(),
            dry_run: false,
            strict: false,
            report_findings: true,
            fault_limit: 100,
            as_of,
            at_price_revision: None,
            at_structure_revision: None,
            who: String::new(),
            note: String::new(),
            paper: None,
        }
    }
}

/// How far an import is.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct ImportProgress {
    /// Rows read of all files so far.
    pub rows: u64,
    /// Bytes read of all files so far.
    pub bytes: u64,
    /// Bytes of all files.
    pub bytes_total: u64,
}

/// Takes a bundle in, all of it or nothing; `progress` is told from time to time how far it is.
///
/// Memory does not grow with the number of rows, unless the catalogue after it has to be checked before it is stored
/// (a strict import, or a dry run that reports findings).
#[tracing::instrument(skip_all, fields(files, faults))]
pub async fn import_catalogue(
    shop: &Shop,
    source: BundleSource,
    request: &ImportRequest,
    progress: &mut (dyn FnMut(ImportProgress) + Send),
) -> Result<ImportReport, ImportError> {
    let mut faults = Faults::with_limit(request.fault_limit.max(1));
    let replace = sheets_to_replace(&request.replace, &mut faults);
    let files = source.files(&mut faults)?;
    tracing::Span::current().record("files", files.len());
    let options = store::ImportOptions {
        replace: replace.clone(),
        dry_run: request.dry_run,
        fault_limit: request.fault_limit,
        at_price_revision: request.at_price_revision,
        at_structure_revision: request.at_structure_revision,
        who: request.who.clone(),
        note: request.note.clone(),
        paper: request.paper,
    };
    let foresee = request.strict || (request.dry_run && request.report_findings);
    let mut staging = Staging {
        import: shop.store().begin_import(options).await?,
        faults: Vec::new(),
        told: Vec::new(),
        total: 0,
        kept: foresee.then(RowsBySheet::new),
    };
    staging.take_files(files, faults, progress).await?;
    let Staging { mut import, faults, mut told, total, kept } = staging;
    tracing::Span::current().record("faults", total);

    let foreseen = match kept {
        Some(rows) if total == 0 => Some(foresee_findings(shop, rows, &replace, request.as_of).await?),
        Some(_) | None => None,
    };
    let grave =
        if request.strict { grave_findings(foreseen.as_deref().unwrap_or_default()) } else { Vec::new() };
    if !grave.is_empty() {
        // The store then refuses the bundle too, and tells what it cannot hold together with this.
        let meaning =
            for_store(&Fault::new(FaultCode::Meaning, "", "has faults of meaning", "a sound catalogue"));
        told.push(meaning.clone());
        import.reject(meaning);
    }
    let report = match import.finish().await {
        Ok(report) => report,
        Err(ImportFailure::Refused(stored)) => {
            let refused = refusal(faults, stored, &told, total, request.fault_limit);
            return Err(ImportError::Refused(Box::new(ImportRefused { findings: grave, ..refused })));
        }
        Err(ImportFailure::Store(error)) => return Err(error.into()),
    };
    // The rows are in: a check that breaks now is told with them, and takes nothing back.
    let check = match (request.report_findings, foreseen) {
        (false, _) => Ok(None),
        (true, Some(foreseen)) => Ok(Some(foreseen)),
        (true, None) => check_catalogue(shop, request.as_of).await.map(Some),
    };
    if let Err(error) = &check {
        tracing::error!(%error, "the catalogue could not be checked after an import");
    }
    Ok(ImportReport::new(report, request.dry_run, check))
}

/// The sheets to replace, by name.
fn sheets_to_replace(names: &BTreeSet<String>, faults: &mut Faults) -> BTreeSet<String> {
    let mut sheets = BTreeSet::new();
    for name in names {
        let stem = name.strip_suffix(".csv").unwrap_or(name);
        match bundle::sheet(stem) {
            Some(spec) => _ = sheets.insert(spec.name.to_owned()),
            None => faults.add(|| unknown_file(name)),
        }
    }
    sheets
}

async fn foresee_findings(
    shop: &Shop,
    rows: RowsBySheet,
    replace: &BTreeSet<String>,
    as_of: NaiveDate,
) -> Result<Vec<ToldFinding>, ImportError> {
    let stored = read_cells(shop.store()).await?;
    Ok(check_rows(shop, rows_of(merged_rows(stored, rows, replace))?, as_of).await?)
}

/// Findings for which a strict import is refused; a note is none.
fn grave_findings(findings: &[ToldFinding]) -> Vec<ToldFinding> {
    let is_grave = |finding: &&ToldFinding| match finding.severity {
        Severity::Error | Severity::Warning => true,
        Severity::Note => false,
    };
    findings.iter().filter(is_grave).cloned().collect()
}
