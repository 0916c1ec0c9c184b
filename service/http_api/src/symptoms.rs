//! What the driver notices, and what it points to.

use actix_web::{HttpRequest, HttpResponse, web};
use operations::SymptomAnswer;
use operations::find_symptoms::{SymptomList, known_symptoms, likely_findings, likely_findings_of_vehicle};
use operations::shop::Shop;
use serde::Deserialize;
use utoipa::IntoParams;

use crate::paging::Query;
use crate::problem::Problem;
use crate::problem_responses::{SymptomProblems, UnitProblems, VehicleSymptomProblems};
use crate::sent;

/// Which symptoms are listed.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct Search {
    /// Only those that this may mean, however it is mistyped; left out: all.
    #[serde(default)]
    #[param(example = "oil")]
    text: Option<String>,
}

/// What is noticed.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct Noticed {
    /// What the driver notices, in any words, or the code of a weak point.
    #[param(example = "oil at the pinion")]
    symptom: String,
}

/// The symptoms that the catalogue knows of a unit, each with the weak points it is listed for.
#[utoipa::path(
    get, path = "/v1/units/{code}/symptoms", operation_id = "list_symptoms", tag = "rebuild",
    params(("code" = String, Path, example = "BN-228", description = "The code on the unit's plate."), Search),
    responses((status = 200, description = "The symptoms, by their words.", body = SymptomList), UnitProblems),
)]
pub(crate) async fn list_symptoms(
    request: HttpRequest,
    shop: web::Data<Shop>,
    code: web::Path<String>,
    search: Query<Search>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &known_symptoms(&shop, &code, search.0.text.as_deref()).await?)
}

/// What a symptom of a unit points to, the likeliest finding first, and the checks to make on the vehicle before anything
/// is taken apart.
#[utoipa::path(
    get, path = "/v1/units/{code}/likely-findings", operation_id = "list_likely_findings", tag = "rebuild",
    params(("code" = String, Path, example = "BN-228", description = "The code on the unit's plate."), Noticed),
    responses((status = 200, description = "The findings; where nothing matches, what may have been meant.",
        body = SymptomAnswer), SymptomProblems),
)]
pub(crate) async fn list_likely_findings(
    request: HttpRequest,
    shop: web::Data<Shop>,
    code: web::Path<String>,
    noticed: Query<Noticed>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &likely_findings(&shop, &code, &noticed.0.symptom).await?)
}

/// What a symptom of a vehicle points to in any of its units, the likeliest finding first.
#[utoipa::path(
    get, path = "/v1/vehicles/{code}/likely-findings", operation_id = "list_vehicle_likely_findings", tag = "rebuild",
    params(("code" = String, Path, example = "BR-7", description = "The vehicle's code."), Noticed),
    responses((status = 200, description = "The findings; where nothing matches, what may have been meant.",
        body = SymptomAnswer), VehicleSymptomProblems),
)]
pub(crate) async fn list_vehicle_likely_findings(
    request: HttpRequest,
    shop: web::Data<Shop>,
    code: web::Path<String>,
    noticed: Query<Noticed>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &likely_findings_of_vehicle(&shop, &code, &noticed.0.symptom).await?)
}
