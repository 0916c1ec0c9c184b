//! Claims on suppliers, and what their boxes were short of over time.

use actix_web::{HttpRequest, HttpResponse, web};
use operations::claims::{AskedClaimStep, ClaimHead, ClaimSheet, ClaimState, ClaimsWanted};
use operations::shop::Shop;
use operations::supplier_faults::SupplierFaults;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::etag::IfMatch;
use crate::idempotency::once;
use crate::json_body::JsonBody;
use crate::orders::{kept, tag_of};
use crate::paging::{Query, limit_of, percent_encoded, piece_of};
use crate::problem::Problem;
use crate::problem_responses::{ClaimProblems, ClaimStepProblems, OrderListProblems, SupplierProblems};
use crate::sent;

/// A piece of the list of claims.
#[derive(Serialize, ToSchema)]
pub(crate) struct ClaimList {
    /// The claims, the oldest first.
    items: Vec<ClaimHead>,
}

/// Which claims, and which piece of their list.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ClaimPage {
    /// Only those on this supplier.
    #[serde(default)]
    supplier: Option<String>,
    /// Only those in this state.
    #[serde(default)]
    state: Option<ClaimState>,
    /// Only those for this order.
    #[serde(default)]
    order: Option<String>,
    /// The list goes on behind the item of this key; the `Link` header of a piece has it filled in.
    #[serde(default)]
    after: Option<String>,
    /// How many items at most.
    #[serde(default)]
    #[param(minimum = 1, maximum = 500, default = 50)]
    limit: Option<u64>,
}

/// The claims, the oldest first.
#[utoipa::path(
    get, path = "/v1/claims", operation_id = "list_claims", tag = "buying", params(ClaimPage),
    responses(
        (status = 200, description = "A piece of the list; the header `Link` leads to the next.", body = ClaimList,
            headers(("Link" = String, description = "The next piece, as rel=\"next\"."))),
        OrderListProblems,
    ),
)]
pub(crate) async fn list_claims(
    request: HttpRequest,
    shop: web::Data<Shop>,
    page: Query<ClaimPage>,
) -> Result<HttpResponse, Problem> {
    let page = page.0;
    let limit = limit_of(page.limit)?;
    let wanted =
        ClaimsWanted { supplier: page.supplier.clone(), state: page.state, order: page.order.clone() };
    let listed = operations::claims::list_claims(&shop, &wanted, page.after.as_deref(), limit).await?;
    Ok(piece_of(&request, limit, &listed.items, listed.next_after.as_deref()))
}

/// One claim.
#[utoipa::path(
    get, path = "/v1/claims/{number}", operation_id = "get_claim", tag = "buying",
    params(("number" = String, Path, example = "CL-000001", description = "The claim's number.")),
    responses(
        (status = 200, description = "The claim.", body = ClaimSheet,
            headers(("ETag" = String, description = "Goes into `If-Match` when a step of the claim is taken."))),
        ClaimProblems,
    ),
)]
pub(crate) async fn get_claim(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &operations::claims::show_claim(&shop, &number).await?)
}

/// Takes a step of a claim: sends it, notes the supplier's answer, settles it. The header `If-Match` names the state of the
/// claim that the step was decided on.
#[utoipa::path(
    post, path = "/v1/claims/{number}/steps", operation_id = "create_claim_step", tag = "buying",
    params(
        ("number" = String, Path, example = "CL-000001", description = "The claim's number."),
        ("Idempotency-Key" = String, Header, example = "\"01941f29-7c00-7000-8000-000000000006\"", description =
            "A text of your own in quotes; a repeated request with the same key and body gets the first answer again."),
        ("If-Match" = String, Header, example = "*", description = "The ETag of the claim as it was read, or `*`."),
    ),
    request_body(content = AskedClaimStep, description = "What is to be done."),
    responses(
        (status = 201, description = "The claim as it is now.", body = ClaimSheet, headers(
            ("Location" = String, description = "Path of the claim."),
            ("ETag" = String, description = "Its new entity tag."),
        )),
        ClaimStepProblems,
    ),
)]
pub(crate) async fn create_claim_step(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
    asked: JsonBody<AskedClaimStep>,
) -> Result<HttpResponse, Problem> {
    let (asked, payload) = (asked.0.clone(), asked.0);
    let if_match = IfMatch::of(&request);
    if_match.require_any()?;
    once(&shop, &request, &payload, |owned| async move {
        let still_holds = |claim: &ClaimSheet| if_match.require(&tag_of(claim)?);
        let changed = operations::claims::change_claim(&owned, &number, &asked, still_holds).await?;
        kept(201, format!("/v1/claims/{}", percent_encoded(&changed.number)), &changed)
    })
    .await
}

/// What the boxes of a supplier were short of, month by month, and what else was wrong with them.
#[utoipa::path(
    get, path = "/v1/suppliers/{supplier}/faults", operation_id = "get_supplier_faults", tag = "buying",
    params(("supplier" = String, Path, example = "OSTREL", description = "The supplier's code.")),
    responses((status = 200, description = "The faults.", body = SupplierFaults), SupplierProblems),
)]
pub(crate) async fn get_supplier_faults(
    request: HttpRequest,
    shop: web::Data<Shop>,
    supplier: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &operations::supplier_faults::supplier_faults(&shop, &supplier).await?)
}
