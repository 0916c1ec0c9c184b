//! Imports: long-running, with a resource that says how far each is.

use std::collections::{BTreeMap, BTreeSet};

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use chrono::{DateTime, NaiveDate, Utc};
use operations::answer_once::KeptAnswer;
use operations::import_catalogue::{
    BundleSource, ImportPaper, ImportRequest, ImportState, StartedImport, find_import, start_import,
};
use operations::shop::Shop;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use utoipa::ToSchema;
use uuid::Uuid;

use crate::failure::internal;
use crate::idempotency::once;
use crate::json_body::{BUNDLE_BYTES_MAX, JsonBody};
use crate::problem::Problem;
use crate::problem_kind::ProblemKind;
use crate::problem_responses::{ImportProblems, NewImportProblems};

/// How many faults are told when nothing else is asked for.
const FAULTS_USUAL: usize = 100;
/// Most faults that are told.
const FAULTS_MAX: usize = 10_000;

/// A bundle that is to be taken in, all of it or nothing.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct NewImport {
    /// The files: CSV texts (RFC 4180) by file name, such as `parts.csv`. A file that is absent leaves its table alone.
    files: BTreeMap<String, String>,
    /// Only say what would change.
    #[serde(default)]
    dry_run: bool,
    /// Refuse the bundle also for faults of meaning that the catalogue check finds.
    #[serde(default)]
    strict: bool,
    /// Sheets whose rows are removed where the file does not name them.
    #[serde(default)]
    replace: BTreeSet<String>,
    /// How many faults are told; left out: 100.
    #[serde(default)]
    #[schema(minimum = 1, maximum = 10000)]
    fault_limit: Option<usize>,
    /// The day against which the catalogue is checked; left out: today (UTC).
    #[serde(default)]
    as_of: Option<NaiveDate>,
    /// Who imports, for the audit.
    #[serde(default)]
    who: String,
    /// A note for the audit and for the ledger's papers.
    #[serde(default)]
    note: String,
}

/// How far an import is.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum ImportProgressState {
    /// It has not begun.
    Waiting,
    /// It is under way.
    Running,
    /// It went in, or as a dry run would.
    Done,
    /// The bundle has faults. The catalogue is as it was.
    Refused,
    /// Something broke. The catalogue is as it was.
    Failed,
}

/// An import.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ImportView {
    /// Its id.
    id: Uuid,
    /// How far it is.
    state: ImportProgressState,
    /// Rows read so far.
    rows: u64,
    /// When it was asked for.
    created_at: DateTime<Utc>,
    /// When it ended.
    finished_at: Option<DateTime<Utc>>,
    /// What came of it; empty until it has ended.
    #[schema(value_type = Option<StartedImport>)]
    result: Option<Box<RawValue>>,
}

impl ImportView {
    fn of(paper: ImportPaper) -> Result<Self, Problem> {
        let result = paper.report.map(RawValue::from_string).transpose().map_err(|error| internal(&error))?;
        Ok(Self {
            id: paper.id,
            state: match paper.state {
                ImportState::Waiting => ImportProgressState::Waiting,
                ImportState::Running => ImportProgressState::Running,
                ImportState::Done => ImportProgressState::Done,
                ImportState::Refused => ImportProgressState::Refused,
                ImportState::Failed => ImportProgressState::Failed,
            },
            rows: paper.progress,
            created_at: paper.created_at,
            finished_at: paper.finished_at,
            result,
        })
    }
}

fn request_of(new: &NewImport) -> Result<ImportRequest, Problem> {
    let fault_limit = new.fault_limit.unwrap_or(FAULTS_USUAL);
    if !(1..=FAULTS_MAX).contains(&fault_limit) {
        let detail = format!("`fault_limit` is {fault_limit}; it must be from 1 to {FAULTS_MAX}");
        return Err(Problem::at(ProblemKind::BadValue, "/fault_limit", detail, vec![]));
    }
    if new.files.is_empty() {
        let detail = "no file is sent; send CSV texts by file name, such as `parts.csv`";
        return Err(Problem::at(ProblemKind::BadValue, "/files", detail, vec![]));
    }
    Ok(ImportRequest {
        replace: new.replace.clone(),
        dry_run: new.dry_run,
        strict: new.strict,
        report_findings: true,
        fault_limit,
        as_of: new.as_of.unwrap_or_else(|| Utc::now().date_naive()),
        at_price_revision: None,
        at_structure_revision: None,
        who: new.who.clone(),
        note: new.note.clone(),
        paper: None,
    })
}

/// Begins to take a bundle in. It goes on by itself; its resource says how far it is and what came of it.
#[utoipa::path(
    post, path = "/v1/imports", operation_id = "create_import", tag = "exchange",
    params(("Idempotency-Key" = String, Header, description =
        "A text of your own in quotes. A repeated request with the same key and body gets the first answer again; the \
         key is kept for 24 hours.")),
    request_body(content = NewImport, description = "The bundle."),
    responses(
        (status = 202, description = "It has begun.", body = ImportView,
            headers(("Location" = String, description = "Path of the import."))),
        NewImportProblems,
    ),
)]
pub(crate) async fn create_import(
    request: HttpRequest,
    shop: web::Data<Shop>,
    new: JsonBody<NewImport, BUNDLE_BYTES_MAX>,
) -> Result<HttpResponse, Problem> {
    let new = new.0;
    let import = request_of(&new)?;
    let payload = new.clone();
    once(&shop, &request, &payload, |kept| async move {
        let files = new.files.into_iter().map(|(name, text)| (name, text.into_bytes())).collect();
        let paper = start_import(&kept, BundleSource::Texts(files), import).await?;
        let location = format!("/v1/imports/{}", paper.id);
        let body = serde_json::to_string(&ImportView::of(paper)?).map_err(|error| internal(&error))?;
        Ok(KeptAnswer {
            status: 202,
            headers: vec![
                (header::LOCATION.to_string(), location),
                (header::CONTENT_TYPE.to_string(), "application/json".to_owned()),
            ],
            body,
        })
    })
    .await
}

/// How far an import is, and what came of it.
#[utoipa::path(
    get, path = "/v1/imports/{id}", operation_id = "get_import", tag = "exchange",
    params(("id" = Uuid, Path, description = "The import's id.")),
    responses((status = 200, description = "The import.", body = ImportView), ImportProblems),
)]
pub(crate) async fn get_import(
    shop: web::Data<Shop>,
    id: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let absent = || Problem::new(ProblemKind::ImportNotFound, format!("there is no import `{id}`"));
    let uuid = Uuid::parse_str(&id).map_err(|_| absent())?;
    let paper = find_import(&shop, uuid).await?.ok_or_else(absent)?;
    let mut response = HttpResponse::Ok();
    response.insert_header((header::CACHE_CONTROL, "no-store"));
    Ok(response.json(ImportView::of(paper)?))
}
