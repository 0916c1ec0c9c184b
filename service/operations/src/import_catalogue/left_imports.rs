//! Imports whose service has stopped while they were under way.

use std::collections::BTreeSet;
use std::sync::{Arc, Mutex, PoisonError};

use chrono::{DateTime, Utc};
use serde::Deserialize;
use store::{ImportState, LeftImport, StoreError};
use uuid::Uuid;

use super::outcome::{ImportReport, SheetReport};
use super::start_import::StartedImport;
use crate::shop::Shop;

/// The imports that this process runs.
#[derive(Debug, Clone, Default)]
pub(crate) struct ImportsUnderWay(Arc<Mutex<BTreeSet<Uuid>>>);

/// An import is under way as long as this value lives.
#[derive(Debug)]
pub(crate) struct UnderWay {
    imports: ImportsUnderWay,
    id: Uuid,
}

impl ImportsUnderWay {
    /// Notes one until the value that is returned goes.
    pub(crate) fn enter(&self, id: Uuid) -> UnderWay {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).insert(id);
        UnderWay { imports: self.clone(), id }
    }

    fn contains(&self, id: Uuid) -> bool {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).contains(&id)
    }
}

impl Drop for UnderWay {
    fn drop(&mut self) {
        self.imports.0.lock().unwrap_or_else(PoisonError::into_inner).remove(&self.id);
    }
}

/// What the audit keeps of an import, as far as its report is made of it.
#[derive(Debug, Deserialize)]
struct Entry {
    data: Kept,
}

#[derive(Debug, Deserialize)]
struct Kept {
    sheets: Vec<SheetReport>,
    structure_revision: i64,
    price_revision: i64,
    ledger_sequence: i64,
}

/// Closes the papers of imports at which nobody was seen since an instant: as done where the audit says that the rows went
/// in, as failed where it does not. What this process runs is let be, however long its database keeps it waiting.
pub async fn close_left_imports(shop: &Shop, seen_before: DateTime<Utc>) -> Result<(), StoreError> {
    for import in shop.store().list_left_imports(seen_before).await? {
        if shop.imports_under_way().contains(import.id) {
            continue;
        }
        // An entry that cannot be read must not keep the others from their end.
        let (state, outcome) = match end_of(&import) {
            Ok(end) => end,
            Err(error) => {
                tracing::error!(import = %import.id, %error, "an import that was left cannot be closed");
                continue;
            }
        };
        let report = serde_json::to_string(&outcome).expect("an outcome has only text keys");
        match shop.store().close_left_import(import.id, seen_before, state, &report).await {
            Ok(()) => tracing::warn!(import = %import.id, ?state, "an import was left by its service"),
            // Somebody else has closed it, or it is run after all.
            Err(StoreError::ImportNotFound(_)) => {}
            Err(error) => return Err(error),
        }
    }
    Ok(())
}

fn end_of(import: &LeftImport) -> Result<(ImportState, StartedImport), StoreError> {
    let Some(entry) = &import.went_in else {
        let detail = "the service stopped while the import was under way; the catalogue is as it was, and the bundle can \
                      be sent again"
            .to_owned();
        return Ok((ImportState::Failed, StartedImport::Failed { detail }));
    };
    let entry: Entry = serde_json::from_str(entry)
        .map_err(|_| StoreError::BadRow { table: "audit", column: "detail".to_owned() })?;
    Ok((ImportState::Done, StartedImport::Done(report_of(entry.data))))
}

/// The report of an import that went in, without what only its own process knew: examples and findings.
fn report_of(kept: Kept) -> ImportReport {
    ImportReport {
        dry_run: false,
        sheets: kept.sheets,
        structure_revision: kept.structure_revision,
        price_revision: kept.price_revision,
        ledger_sequence: kept.ledger_sequence,
        findings: None,
        check_failed: None,
    }
}
