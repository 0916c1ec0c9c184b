//! Vehicles.

use actix_web::{HttpRequest, HttpResponse, web};
use catalogue::Vehicle;
use operations::shop::Shop;
use operations::show_vehicle::VehicleSheet;
use serde::Serialize;
use utoipa::ToSchema;

use crate::paging::{Page, Query, bad_cursor, piece};
use crate::problem::Problem;
use crate::problem_responses::{ListProblems, VehicleProblems};
use crate::sent;

/// A piece of the list of vehicles.
#[derive(Serialize, ToSchema)]
pub(crate) struct VehicleList {
    /// The vehicles, in the order of their codes.
    items: Vec<Vehicle>,
}

/// The vehicles of the catalogue.
#[utoipa::path(
    get, path = "/v1/vehicles", operation_id = "list_vehicles", tag = "catalogue", params(Page),
    responses(
        (status = 200, description = "A piece of the list; the header `Link` leads to the next.", body = VehicleList,
            headers(("Link" = String, description = "The next piece, as rel=\"next\"."))),
        ListProblems,
    ),
)]
pub(crate) async fn list_vehicles(shop: web::Data<Shop>, page: Query<Page>) -> Result<HttpResponse, Problem> {
    let limit = page.0.limit()?;
    let listed = operations::list_catalogue::list_vehicles(&shop, page.0.after(), limit).await;
    let listed = listed.map_err(bad_cursor)?;
    Ok(piece("/v1/vehicles", limit, &listed.items, listed.next_after.as_deref()))
}

/// One vehicle with its engine and the units it carries.
#[utoipa::path(
    get, path = "/v1/vehicles/{code}", operation_id = "get_vehicle", tag = "catalogue",
    params(("code" = String, Path, description = "The vehicle's code.")),
    responses((status = 200, description = "The vehicle.", body = VehicleSheet), VehicleProblems),
)]
pub(crate) async fn get_vehicle(
    request: HttpRequest,
    shop: web::Data<Shop>,
    code: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &operations::show_vehicle::show_vehicle(&shop, &code).await?)
}
