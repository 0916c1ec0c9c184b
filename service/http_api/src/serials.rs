//! What is inside a serial number, and where a batch went.

use actix_web::{HttpRequest, HttpResponse, web};
use chrono::NaiveDate;
use operations::jobs::as_built::{BatchUse, SerialSheet};
use operations::shop::Shop;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::paging::Query;
use crate::problem::Problem;
use crate::problem_responses::{PlainProblems, UnitProblems};
use crate::sent;

/// For which days.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct Days {
    /// The day for which it is shown; left out: today.
    as_of: Option<NaiveDate>,
    /// An earlier day to compare with.
    since: Option<NaiveDate>,
}

/// What is inside a serial number on a day, all that jobs wrote of it, and what changed since an earlier day.
#[utoipa::path(
    get, path = "/v1/serials/{unit}/{serial}", operation_id = "get_serial", tag = "jobs",
    params(
        ("unit" = String, Path, example = "BN-640", description = "The unit's code."),
        ("serial" = String, Path, example = "10482", description = "The serial number on its plate."),
        Days,
    ),
    responses((status = 200, description = "The record; empty where no job was closed for it.", body = SerialSheet),
        UnitProblems),
)]
pub(crate) async fn get_serial(
    request: HttpRequest,
    shop: web::Data<Shop>,
    path: web::Path<(String, String)>,
    days: Query<Days>,
) -> Result<HttpResponse, Problem> {
    let (unit, serial) = path.into_inner();
    let Days { as_of, since } = days.0;
    let sheet = operations::jobs::as_built::show_serial(&shop, &unit, &serial, as_of, since).await;
    sent::json(&request, &sheet.map_err(Problem::of_address)?)
}

/// Where the pieces of a batch went.
#[derive(Serialize, ToSchema)]
pub(crate) struct BatchUses {
    /// The serial numbers, the earliest first.
    items: Vec<BatchUse>,
}

/// The serial numbers that a maker's batch went into, and whether it is still inside.
#[utoipa::path(
    get, path = "/v1/batches/{batch}/serials", operation_id = "list_batch_serials", tag = "jobs",
    params(("batch" = String, Path, example = "L7", description = "The maker's batch.")),
    responses((status = 200, description = "The serial numbers.", body = BatchUses), PlainProblems),
)]
pub(crate) async fn list_batch_serials(
    request: HttpRequest,
    shop: web::Data<Shop>,
    batch: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let items = operations::jobs::as_built::where_batch_went(&shop, &batch).await?;
    sent::json(&request, &BatchUses { items })
}
