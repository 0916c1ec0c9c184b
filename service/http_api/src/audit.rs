//! The audit.

use actix_web::{HttpRequest, HttpResponse, web};
use chrono::{DateTime, Utc};
use operations::list_audit::{AuditAsked, AuditSheet};
use operations::shop::Shop;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::paging::{Query, limit_of, piece_of};
use crate::problem::Problem;
use crate::problem_responses::ListProblems;

/// A piece of the audit.
#[derive(Serialize, ToSchema)]
pub(crate) struct AuditList {
    /// The entries, the oldest first.
    items: Vec<AuditSheet>,
}

/// Which entries are wanted.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct AuditPage {
    /// Only those that speak of this: a path below `/v1/`, such as `jobs/J-000001`.
    subject: Option<String>,
    /// Only those done with the key of this number.
    key: Option<String>,
    /// Only those where this was done, such as `order.placed`, `import` or `key.revoked`.
    what: Option<String>,
    /// Only those from this instant on.
    from: Option<DateTime<Utc>>,
    /// Only those before this instant.
    until: Option<DateTime<Utc>>,
    /// The `sequence` behind which the list goes on; the `Link` header of a piece has it filled in.
    #[param(minimum = 0)]
    after: Option<i64>,
    /// How many items at most.
    #[param(minimum = 1, maximum = 500, default = 50)]
    limit: Option<u64>,
}

/// Who changed what, when, from which value to which: an entry for every change of a paper, of the shelf, of a setting, a
/// webhook or a key, and one for each import. It was written in the transaction of the change and is never changed itself.
#[utoipa::path(
    get, path = "/v1/audit", operation_id = "list_audit", tag = "shop", params(AuditPage),
    responses(
        (status = 200, description = "A piece of the list; the header `Link` leads to the next.", body = AuditList,
            headers(("Link" = String, description = "The next piece, as rel=\"next\"."))),
        ListProblems,
    ),
)]
pub(crate) async fn list_audit(
    request: HttpRequest,
    shop: web::Data<Shop>,
    page: Query<AuditPage>,
) -> Result<HttpResponse, Problem> {
    let AuditPage { subject, key, what, from, until, after, limit } = page.0;
    let limit = limit_of(limit)?;
    let asked = AuditAsked { subject, key, what, from, until };
    let listed = operations::list_audit::list_audit(&shop, asked, after.unwrap_or(0), limit).await?;
    Ok(piece_of(&request, limit, &listed.items, listed.next_after.as_deref()))
}
