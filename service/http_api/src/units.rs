//! Units.

use actix_web::{HttpRequest, HttpResponse, web};
use catalogue::Unit;
use operations::shop::Shop;
use operations::show_unit::UnitSheet;
use serde::Serialize;
use utoipa::ToSchema;

use crate::paging::{Page, Query, piece};
use crate::problem::Problem;
use crate::problem_responses::{ListProblems, UnitProblems};
use crate::sent;

/// A piece of the list of units.
#[derive(Serialize, ToSchema)]
pub(crate) struct UnitList {
    /// The units, in the order of their keys.
    items: Vec<Unit>,
}

/// The units of the catalogue.
#[utoipa::path(
    get, path = "/v1/units", operation_id = "list_units", tag = "catalogue", params(Page),
    responses(
        (status = 200, description = "A piece of the list; the header `Link` leads to the next.", body = UnitList,
            headers(("Link" = String, description = "The next piece, as rel=\"next\"."))),
        ListProblems,
    ),
)]
pub(crate) async fn list_units(shop: web::Data<Shop>, page: Query<Page>) -> Result<HttpResponse, Problem> {
    let limit = page.0.limit()?;
    let listed = operations::list_catalogue::list_units(&shop, page.0.after(), limit).await;
    let listed = listed.map_err(crate::paging::bad_cursor)?;
    Ok(piece("/v1/units", limit, &listed.items, listed.next_after.as_deref()))
}

/// One unit with its variants, positions and operations.
#[utoipa::path(
    get, path = "/v1/units/{code}", operation_id = "get_unit", tag = "catalogue",
    params(("code" = String, Path, description =
        "The code on the unit's plate; spaces, dashes, dots and case do not matter.")),
    responses((status = 200, description = "The unit.", body = UnitSheet), UnitProblems),
)]
pub(crate) async fn get_unit(
    request: HttpRequest,
    shop: web::Data<Shop>,
    code: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &operations::show_unit::show_unit(&shop, &code).await?)
}

/// The media type of DOT.
pub(crate) const DOT: &str = "text/vnd.graphviz";

/// The graph of a unit: its positions and the joints between them, in the DOT language of Graphviz.
#[utoipa::path(
    get, path = "/v1/units/{code}/graph", operation_id = "get_unit_graph", tag = "catalogue",
    params(("code" = String, Path, description = "The code on the unit's plate.")),
    responses(
        (status = 200, description = "The graph.", body = String, content_type = "text/vnd.graphviz"),
        UnitProblems,
    ),
)]
pub(crate) async fn get_unit_graph(
    request: HttpRequest,
    shop: web::Data<Shop>,
    code: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let dot = operations::unit_graph::unit_graph(&shop, &code).await?;
    Ok(sent::bytes(&request, DOT, dot.into_bytes()))
}
