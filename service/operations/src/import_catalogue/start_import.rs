//! An import that runs on its own while its paper says how far it is.

use serde::{Deserialize, Serialize};
use store::{ImportPaper, ImportState, StoreError};
use tokio::sync::watch;
use utoipa::ToSchema;
use uuid::Uuid;

use super::bundle_source::BundleSource;
use super::outcome::{ImportError, ImportRefused, ImportReport};
use super::run_import::{ImportRequest, import_catalogue};
use crate::shop::Shop;

/// What the paper of an ended import says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "outcome", rename_all = "snake_case")]
pub enum StartedImport {
    /// It went in, or as a dry run would.
    Done(ImportReport),
    /// The bundle has faults. The catalogue is as it was.
    Refused(ImportRefused),
    /// Something else broke. The catalogue is as it was.
    Failed {
        /// What broke.
        detail: String,
    },
}

/// Opens the paper of an import and begins it; it goes on whether or not anyone waits.
///
/// [`find_import`] tells how far it is; its report is a [`StartedImport`] as JSON.
pub async fn start_import(
    shop: &Shop,
    source: BundleSource,
    request: ImportRequest,
) -> Result<ImportPaper, StoreError> {
    let paper = shop.store().create_import().await?;
    let (shop, id) = (shop.clone(), paper.id);
    shop.runtime().clone().spawn(async move {
        if let Err(error) = run(&shop, id, source, &request).await {
            tracing::error!(import = %id, %error, "the paper of an import could not be written");
        }
    });
    Ok(paper)
}

/// The paper of an import that was started.
pub async fn find_import(shop: &Shop, id: Uuid) -> Result<Option<ImportPaper>, StoreError> {
    shop.store().find_import(id).await
}

async fn run(shop: &Shop, id: Uuid, source: BundleSource, request: &ImportRequest) -> Result<(), StoreError> {
    let (rows, mut noted) = watch::channel(0_u64);
    let store = shop.store().clone();
    let notes = tokio::spawn(async move {
        // The newest figure only: writing must not hold up reading.
        while noted.changed().await.is_ok() {
            let rows = *noted.borrow_and_update();
            store.note_import_progress(id, rows).await?;
        }
        Ok::<(), StoreError>(())
    });
    let outcome = import_catalogue(shop, source, request, &mut |progress| _ = rows.send(progress.rows)).await;
    drop(rows);
    if let Ok(Err(error)) = notes.await {
        tracing::warn!(import = %id, %error, "the progress of an import could not be noted");
    }
    let (state, outcome) = match outcome {
        Ok(report) => (ImportState::Done, StartedImport::Done(report)),
        Err(ImportError::Refused(refused)) => (ImportState::Refused, StartedImport::Refused(*refused)),
        Err(error) => (ImportState::Failed, StartedImport::Failed { detail: error.to_string() }),
    };
    let report = serde_json::to_string(&outcome).unwrap_or_else(|error| {
        tracing::error!(import = %id, %error, "the report of an import could not be written");
        "{}".to_owned()
    });
    shop.store().finish_import(id, state, &report).await
}
