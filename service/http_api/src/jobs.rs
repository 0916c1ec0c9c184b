//! Jobs: from the enquiry to the record of what is now inside.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use operations::JobState;
use operations::answer_once::KeptAnswer;
use operations::jobs::change::{JobChange, StepToTake, change_job};
use operations::jobs::compare::JobComparison;
use operations::jobs::error::JobError;
use operations::jobs::final_inspection::FinalInspection;
use operations::jobs::findings::FindingsToAdd;
use operations::jobs::list::JobHead;
use operations::jobs::open::Enquiry;
use operations::jobs::papers::JobPapers;
use operations::jobs::parts_of_job::{PartsToMove, ShimsToChoose};
use operations::jobs::pick_list::PickList;
use operations::jobs::sheet::JobSheet;
use operations::shop::Shop;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::etag::{EntityTag, require_match};
use crate::failure::internal;
use crate::idempotency::once;
use crate::json_body::JsonBody;
use crate::paging::{Query, limit_of, percent_encoded, piece_of};
use crate::problem::Problem;
use crate::problem_responses::{
    JobAnswerProblems, JobChangeProblems, JobProblems, ListProblems, NewJobProblems,
};
use crate::sent;

/// A piece of the list of jobs.
#[derive(Serialize, ToSchema)]
pub(crate) struct JobList {
    /// The jobs, the oldest first.
    items: Vec<JobHead>,
}

/// Which jobs are wanted.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct JobQuery {
    /// In this state.
    state: Option<JobState>,
    /// The list goes on behind the item of this key; the `Link` header of a piece has it filled in.
    after: Option<String>,
    /// How many items at most.
    #[param(minimum = 1, maximum = 500, default = 50)]
    limit: Option<u64>,
}

/// Opens a job from an enquiry.
#[utoipa::path(
    post, path = "/v1/jobs", operation_id = "create_job", tag = "jobs",
    params(("Idempotency-Key" = String, Header, example = "\"01941f29-7c00-7000-8000-000000000005\"", description =
        "A text of your own in quotes. A repeated request with the same key and body gets the first answer again; the \
         key is kept for 24 hours.")),
    request_body(content = Enquiry, description = "The enquiry.", example = json!({
        "by": "Ruth", "note": "Jumps out of second on the overrun",
        "request": { "units": [{ "unit": "BN-640", "serial": "10482" }] },
    })),
    responses(
        (status = 201, description = "The job.", body = JobSheet, headers(
            ("Location" = String, description = "Path of the job."),
            ("ETag" = String, description = "Goes into `If-Match` with the next step."),
        )),
        NewJobProblems,
    ),
)]
pub(crate) async fn create_job(
    request: HttpRequest,
    shop: web::Data<Shop>,
    enquiry: JsonBody<Enquiry>,
) -> Result<HttpResponse, Problem> {
    let enquiry = enquiry.0;
    let payload = enquiry.clone();
    once(&shop, &request, &payload, |kept| async move {
        let job = operations::jobs::open::open_job(&kept, &enquiry).await?;
        let body = serde_json::to_string(&job).map_err(|error| internal(&error))?;
        Ok(KeptAnswer {
            status: 201,
            headers: vec![
                (header::LOCATION.to_string(), format!("/v1/jobs/{}", percent_encoded(&job.number))),
                (header::ETAG.to_string(), EntityTag::of(body.as_bytes()).header()),
                (header::CONTENT_TYPE.to_string(), "application/json".to_owned()),
            ],
            body,
        })
    })
    .await
}

/// The jobs, the oldest first.
#[utoipa::path(
    get, path = "/v1/jobs", operation_id = "list_jobs", tag = "jobs", params(JobQuery),
    responses(
        (status = 200, description = "A piece of the list; the header `Link` leads to the next.", body = JobList,
            headers(("Link" = String, description = "The next piece, as rel=\"next\"."))),
        ListProblems,
    ),
)]
pub(crate) async fn list_jobs(
    request: HttpRequest,
    shop: web::Data<Shop>,
    query: Query<JobQuery>,
) -> Result<HttpResponse, Problem> {
    let JobQuery { state, after, limit } = query.0;
    let limit = limit_of(limit)?;
    let listed = operations::jobs::list::list_jobs(&shop, state, after.as_deref(), limit).await?;
    Ok(piece_of(&request, limit, &listed.items, listed.next_after.as_deref()))
}

/// One job: how far it is, what was found, decided, issued and measured, and every step with who and when.
#[utoipa::path(
    get, path = "/v1/jobs/{number}", operation_id = "get_job", tag = "jobs",
    params(("number" = String, Path, example = "J-000001", description = "The job's number.")),
    responses(
        (status = 200, description = "The job.", body = JobSheet,
            headers(("ETag" = String, description = "Goes into `If-Match` with the next step."))),
        JobProblems,
    ),
)]
pub(crate) async fn get_job(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &operations::jobs::sheet::show_job(&shop, &number).await?)
}

/// A job against its estimate: what changed since, line by line, and which finding, notice, price or movement is behind it.
#[utoipa::path(
    get, path = "/v1/jobs/{number}/comparison", operation_id = "compare_job", tag = "jobs",
    params(("number" = String, Path, example = "J-000001", description = "The job's number.")),
    responses((status = 200, description = "What changed.", body = JobComparison), JobAnswerProblems),
)]
pub(crate) async fn compare_job(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &operations::jobs::compare::compare_job(&shop, &number).await?)
}

/// What a decided job needs from the shelf, in order of assembly, with the bins it lies in.
#[utoipa::path(
    get, path = "/v1/jobs/{number}/pick-list", operation_id = "get_pick_list", tag = "jobs",
    params(("number" = String, Path, example = "J-000001", description = "The job's number.")),
    responses((status = 200, description = "The pick list.", body = PickList), JobAnswerProblems),
)]
pub(crate) async fn get_pick_list(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &operations::jobs::pick_list::pick_list(&shop, &number).await?)
}

/// The papers of a job: its orders, the boxes that came for it with their claims, and what is reserved for it.
#[utoipa::path(
    get, path = "/v1/jobs/{number}/papers", operation_id = "get_job_papers", tag = "jobs",
    params(("number" = String, Path, example = "J-000001", description = "The job's number.")),
    responses((status = 200, description = "The papers.", body = JobPapers), JobProblems),
)]
pub(crate) async fn get_job_papers(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &operations::jobs::papers::job_papers(&shop, &number).await?)
}

/// Takes a step with a job that still stands as `If-Match` names it.
async fn change(
    request: &HttpRequest,
    shop: &Shop,
    number: &str,
    change: JobChange,
) -> Result<HttpResponse, Problem> {
    let mut refused = None;
    let still_holds = |job: &JobSheet| {
        let tag = serde_json::to_vec(job).map(|body| EntityTag::of(&body));
        let matched = match tag {
            Ok(tag) => require_match(request, &tag),
            Err(error) => Err(internal(&error)),
        };
        refused = matched.err();
        refused.is_none()
    };
    let changed = change_job(shop, number, &change, still_holds).await;
    match (changed, refused) {
        (Err(JobError::Stale), Some(problem)) => Err(problem),
        (changed, _) => sent::changed(&changed?),
    }
}

/// The next plain step of a job: an estimate, stripping, the decision, the approval, the build, closing, or its end.
#[utoipa::path(
    post, path = "/v1/jobs/{number}/steps", operation_id = "create_job_step", tag = "jobs",
    params(
        ("number" = String, Path, example = "J-000001", description = "The job's number."),
        ("If-Match" = String, Header, description = "The ETag of the job as it was read, or `*`."),
    ),
    request_body(content = StepToTake, description = "The step.", example = json!({ "step": "estimate", "by": "Ruth" })),
    responses(
        (status = 200, description = "The job as it is now.", body = JobSheet,
            headers(("ETag" = String, description = "Its new entity tag."))),
        JobChangeProblems,
    ),
)]
pub(crate) async fn create_job_step(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
    step: JsonBody<StepToTake>,
) -> Result<HttpResponse, Problem> {
    change(&request, &shop, &number, JobChange::Plain(step.0)).await
}

/// What inspection finds: grades or measured values by position, with a note and a photo; what is seen inside; variants.
#[utoipa::path(
    post, path = "/v1/jobs/{number}/findings", operation_id = "create_job_findings", tag = "jobs",
    params(
        ("number" = String, Path, example = "J-000001", description = "The job's number."),
        ("If-Match" = String, Header, description = "The ETag of the job as it was read, or `*`."),
    ),
    request_body(content = FindingsToAdd, description = "What is found.", example = json!({
        "by": "Olaf",
        "findings": [{ "position": "HUB-12", "grade": "worn", "note": "Splines stepped", "photo": "hub-12.jpg" }],
    })),
    responses(
        (status = 200, description = "The job as it is now.", body = JobSheet,
            headers(("ETag" = String, description = "Its new entity tag."))),
        JobChangeProblems,
    ),
)]
pub(crate) async fn create_job_findings(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
    findings: JsonBody<FindingsToAdd>,
) -> Result<HttpResponse, Problem> {
    change(&request, &shop, &number, JobChange::Find(findings.0)).await
}

/// Parts go from the shelf into the job, for their positions; what is reserved for the job is used first.
#[utoipa::path(
    post, path = "/v1/jobs/{number}/issues", operation_id = "create_job_issue", tag = "jobs",
    params(
        ("number" = String, Path, example = "J-000001", description = "The job's number."),
        ("If-Match" = String, Header, description = "The ETag of the job as it was read, or `*`."),
    ),
    request_body(content = PartsToMove, description = "The parts.", example = json!({
        "by": "Olaf",
        "lines": [{ "position": "BRG-IN", "part": "BRANNOCH/410-5005", "bin": "A-BEARINGS", "quantity": "1" }],
    })),
    responses(
        (status = 200, description = "The job as it is now.", body = JobSheet,
            headers(("ETag" = String, description = "Its new entity tag."))),
        JobChangeProblems,
    ),
)]
pub(crate) async fn create_job_issue(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
    parts: JsonBody<PartsToMove>,
) -> Result<HttpResponse, Problem> {
    change(&request, &shop, &number, JobChange::Issue(parts.0)).await
}

/// Parts come back from the job to the shelf, at the value they were issued at.
#[utoipa::path(
    post, path = "/v1/jobs/{number}/returns", operation_id = "create_job_return", tag = "jobs",
    params(
        ("number" = String, Path, example = "J-000001", description = "The job's number."),
        ("If-Match" = String, Header, description = "The ETag of the job as it was read, or `*`."),
    ),
    request_body(content = PartsToMove, description = "The parts.", example = json!({
        "by": "Olaf",
        "lines": [{ "position": "BRG-IN", "part": "BRANNOCH/410-5005", "bin": "A-BEARINGS", "quantity": "1" }],
    })),
    responses(
        (status = 200, description = "The job as it is now.", body = JobSheet,
            headers(("ETag" = String, description = "Its new entity tag."))),
        JobChangeProblems,
    ),
)]
pub(crate) async fn create_job_return(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
    parts: JsonBody<PartsToMove>,
) -> Result<HttpResponse, Problem> {
    change(&request, &shop, &number, JobChange::Return(parts.0)).await
}

/// Shims are chosen exactly from the thickness that measurements ask for, and recorded with their place.
#[utoipa::path(
    post, path = "/v1/jobs/{number}/shims", operation_id = "create_job_shims", tag = "jobs",
    params(
        ("number" = String, Path, example = "J-000001", description = "The job's number."),
        ("If-Match" = String, Header, description = "The ETag of the job as it was read, or `*`."),
    ),
    request_body(content = ShimsToChoose, description = "What the measurements ask for.", example = json!({
        "by": "Olaf", "position": "PINION-SHIMS", "wanted_mm": 0.46, "tolerance_mm": 0.02,
        "shims_mm": [0.1, 0.15, 0.2, 0.3],
    })),
    responses(
        (status = 200, description = "The job as it is now.", body = JobSheet,
            headers(("ETag" = String, description = "Its new entity tag."))),
        JobChangeProblems,
    ),
)]
pub(crate) async fn create_job_shims(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
    shims: JsonBody<ShimsToChoose>,
) -> Result<HttpResponse, Problem> {
    change(&request, &shop, &number, JobChange::Shim(shims.0)).await
}

/// The final inspection: measured values against the unit's limits. Nothing closes before it is passed.
#[utoipa::path(
    post, path = "/v1/jobs/{number}/inspections", operation_id = "create_job_inspection", tag = "jobs",
    params(
        ("number" = String, Path, example = "J-000001", description = "The job's number."),
        ("If-Match" = String, Header, description = "The ETag of the job as it was read, or `*`."),
    ),
    request_body(content = FinalInspection, description = "What was measured.", example = json!({
        "by": "Olaf",
        "values": [{ "position": "INPUT-GEAR", "bench_value": "FLOAT", "measured": 0.1 }],
    })),
    responses(
        (status = 200, description = "The job as it is now.", body = JobSheet,
            headers(("ETag" = String, description = "Its new entity tag."))),
        JobChangeProblems,
    ),
)]
pub(crate) async fn create_job_inspection(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
    inspection: JsonBody<FinalInspection>,
) -> Result<HttpResponse, Problem> {
    change(&request, &shop, &number, JobChange::Inspect(inspection.0)).await
}
