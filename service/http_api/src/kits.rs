//! Kits side by side.

use actix_web::{HttpRequest, HttpResponse, web};
use chrono::NaiveDate;
use operations::kits_side_by_side::{KitsSheet, kits_side_by_side};
use operations::lookup_error::LookupError;
use operations::rebuild_error::RebuildError;
use operations::shop::Shop;
use serde::Deserialize;
use utoipa::IntoParams;

use crate::paging::Query;
use crate::problem::Problem;
use crate::problem_responses::KitsProblems;
use crate::sent;

/// The scope and the day for which kits are compared.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct Scope {
    /// The operation; left out: OVERHAUL.
    #[serde(default)]
    #[param(example = "OVERHAUL")]
    operation: Option<String>,
    /// The day for which prices and notices are read; left out: today (UTC).
    #[serde(default)]
    as_of: Option<NaiveDate>,
}

/// The kits for a unit side by side: what each holds of the need, lacks, brings beyond it, and costs with its loose
/// remainder.
#[utoipa::path(
    get, path = "/v1/units/{code}/kits", operation_id = "compare_kits", tag = "rebuild",
    params(("code" = String, Path, description = "The code on the unit's plate."), Scope),
    responses((status = 200, description = "The ways, cheapest first.", body = KitsSheet), KitsProblems),
)]
pub(crate) async fn compare_kits(
    request: HttpRequest,
    shop: web::Data<Shop>,
    code: web::Path<String>,
    scope: Query<Scope>,
) -> Result<HttpResponse, Problem> {
    let compared = kits_side_by_side(&shop, &code, scope.0.operation.as_deref(), scope.0.as_of).await;
    sent::json(&request, &compared.map_err(in_the_address)?)
}

/// The unit stands in the address here, not in a body.
fn in_the_address(error: RebuildError) -> Problem {
    match error {
        RebuildError::Lookup {
            error: error @ (LookupError::Unit { .. } | LookupError::Malformed { .. }),
            ..
        } => error.into(),
        error => {
            let mut problem = Problem::from(error);
            let nearest = problem.errors.drain(..).flat_map(|error| error.suggestions);
            problem.suggestions = nearest.collect();
            problem
        }
    }
}
