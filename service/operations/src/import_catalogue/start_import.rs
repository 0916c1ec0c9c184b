//! An import that runs on its own while its paper says how far it is.

use std::time::Duration;

use chrono::{TimeDelta, Utc};
use serde::{Deserialize, Serialize};
use store::{ImportPaper, ImportState, StoreError};
use tokio::sync::watch;
use tokio::time::timeout;
use utoipa::ToSchema;
use uuid::Uuid;

use super::bundle_source::BundleSource;
use super::left_imports::close_left_imports;
use super::outcome::{ImportError, ImportRefused, ImportReport};
use super::run_import::{ImportRequest, import_catalogue};
use crate::shop::Shop;

/// How often whoever runs an import says that it is still there.
const SEEN_EVERY: Duration = Duration::from_secs(10);
/// After how long without a sign an import is held to be left. A service that is only slow has given several by then.
const UNSEEN_FOR: TimeDelta = TimeDelta::seconds(60);

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
    mut request: ImportRequest,
) -> Result<ImportPaper, StoreError> {
    close_left_imports(shop, Utc::now() - UNSEEN_FOR).await?;
    let paper = shop.store().create_import().await?;
    let (shop, id) = (shop.clone(), paper.id);
    request.paper = Some(id);
    let under_way = shop.imports_under_way().enter(id);
    shop.runtime().clone().spawn(async move {
        let _until_the_end = under_way;
        if let Err(error) = run(&shop, id, source, &request).await {
            tracing::error!(import = %id, %error, "the paper of an import could not be written");
        }
    });
    Ok(paper)
}

/// The paper of an import that was started. One whose service has gone is closed first.
pub async fn find_import(shop: &Shop, id: Uuid) -> Result<Option<ImportPaper>, StoreError> {
    match shop.store().find_import(id).await? {
        Some(paper) if paper.finished_at.is_none() => {}
        ended_or_none => return Ok(ended_or_none),
    }
    close_left_imports(shop, Utc::now() - UNSEEN_FOR).await?;
    shop.store().find_import(id).await
}

async fn run(shop: &Shop, id: Uuid, source: BundleSource, request: &ImportRequest) -> Result<(), StoreError> {
    let (rows, mut noted) = watch::channel(0_u64);
    let store = shop.store().clone();
    let notes = tokio::spawn(async move {
        // The newest figure only: writing must not hold up reading. One that cannot be written is no reason to fall
        // silent, for which others would take the import as left.
        loop {
            let written = match timeout(SEEN_EVERY, noted.changed()).await {
                Ok(Ok(())) => {
                    let rows = *noted.borrow_and_update();
                    store.note_import_progress(id, rows).await
                }
                Ok(Err(_)) => return,
                Err(_) => store.see_import(id).await,
            };
            if let Err(error) = written {
                tracing::warn!(import = %id, %error, "the progress of an import could not be noted");
            }
        }
    });
    let outcome = import_catalogue(shop, source, request, &mut |progress| _ = rows.send(progress.rows)).await;
    drop(rows);
    if let Err(error) = notes.await {
        tracing::warn!(import = %id, %error, "the progress of an import was no longer noted");
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
