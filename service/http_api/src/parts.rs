//! Parts.

use actix_web::{HttpRequest, HttpResponse, web};
use catalogue::Part;
use chrono::NaiveDate;
use operations::find_part::CurrentNumbers;
use operations::shop::Shop;
use operations::where_used::PartUses;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::paging::{Page, Query, bad_cursor, piece};
use crate::problem::Problem;
use crate::problem_responses::{ListProblems, PartProblems};
use crate::sent;

/// A piece of the list of parts.
#[derive(Serialize, ToSchema)]
pub(crate) struct PartList {
    /// The parts, in the order of their keys.
    items: Vec<Part>,
}

/// The day of asking.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct OnDay {
    /// The day for which notices are read; left out: today (UTC).
    #[serde(default)]
    as_of: Option<NaiveDate>,
}

/// The parts of the catalogue, kits among them.
#[utoipa::path(
    get, path = "/v1/parts", operation_id = "list_parts", tag = "catalogue", params(Page),
    responses(
        (status = 200, description = "A piece of the list; the header `Link` leads to the next.", body = PartList,
            headers(("Link" = String, description = "The next piece, as rel=\"next\"."))),
        ListProblems,
    ),
)]
pub(crate) async fn list_parts(shop: web::Data<Shop>, page: Query<Page>) -> Result<HttpResponse, Problem> {
    let limit = page.0.limit()?;
    let listed = operations::list_catalogue::list_parts(&shop, page.0.after(), limit).await;
    let listed = listed.map_err(bad_cursor)?;
    Ok(piece("/v1/parts", limit, &listed.items, listed.next_after.as_deref()))
}

/// One part.
#[utoipa::path(
    get, path = "/v1/parts/{part}", operation_id = "get_part", tag = "catalogue",
    params(("part" = String, Path, description =
        "The part number alone, or MAKER%2FNUMBER; spaces, dashes, dots and case do not matter.")),
    responses((status = 200, description = "The part.", body = Part), PartProblems),
)]
pub(crate) async fn get_part(
    request: HttpRequest,
    shop: web::Data<Shop>,
    part: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &operations::find_part::find_part(&shop, &part).await?)
}

/// The numbers that stand for a number today, with the notices that lead to them.
#[utoipa::path(
    get, path = "/v1/parts/{part}/current-numbers", operation_id = "get_current_numbers", tag = "catalogue",
    params(("part" = String, Path, description = "The part number alone, or MAKER%2FNUMBER."), OnDay),
    responses((status = 200, description = "The numbers.", body = CurrentNumbers), PartProblems),
)]
pub(crate) async fn get_current_numbers(
    request: HttpRequest,
    shop: web::Data<Shop>,
    part: web::Path<String>,
    day: Query<OnDay>,
) -> Result<HttpResponse, Problem> {
    let numbers = operations::find_part::find_current_numbers(&shop, &part, day.0.as_of).await?;
    sent::json(&request, &numbers)
}

/// Where a number is used: by itself, by those it replaced, by those that replace it, and in kits.
#[utoipa::path(
    get, path = "/v1/parts/{part}/where-used", operation_id = "get_part_uses", tag = "catalogue",
    params(("part" = String, Path, description = "The part number alone, or MAKER%2FNUMBER.")),
    responses((status = 200, description = "The uses.", body = PartUses), PartProblems),
)]
pub(crate) async fn get_part_uses(
    request: HttpRequest,
    shop: web::Data<Shop>,
    part: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &operations::where_used::where_used(&shop, &part).await?)
}
