//! What the catalogue check finds.

use actix_web::{HttpRequest, HttpResponse, web};
use chrono::{NaiveDate, Utc};
use operations::check_catalogue::{CheckError, ToldFinding, check_catalogue};
use operations::shop::Shop;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::failure::internal;
use crate::paging::Query;
use crate::problem::Problem;
use crate::problem_responses::ListProblems;
use crate::sent;

/// The day of the check.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct CheckedOn {
    /// The day against which the catalogue is checked; left out: today (UTC).
    #[serde(default)]
    as_of: Option<NaiveDate>,
}

/// What the catalogue check finds.
#[derive(Serialize, ToSchema)]
pub(crate) struct FindingList {
    /// The day it is for.
    as_of: NaiveDate,
    /// The findings, the most severe first.
    items: Vec<ToldFinding>,
}

/// Faults of meaning in the catalogue: circles of notices, kits in themselves, positions that nothing fills, and the like.
#[utoipa::path(
    get, path = "/v1/catalogue-findings", operation_id = "list_catalogue_findings", tag = "exchange",
    params(CheckedOn),
    responses((status = 200, description = "All findings.", body = FindingList), ListProblems),
)]
pub(crate) async fn list_catalogue_findings(
    request: HttpRequest,
    shop: web::Data<Shop>,
    day: Query<CheckedOn>,
) -> Result<HttpResponse, Problem> {
    let as_of = day.0.as_of.unwrap_or_else(|| Utc::now().date_naive());
    let items = check_catalogue(&shop, as_of).await.map_err(|error| match error {
        CheckError::Store(error) => Problem::from(error),
        error @ CheckError::Lost(_) => internal(&error),
    })?;
    sent::json(&request, &FindingList { as_of, items })
}
