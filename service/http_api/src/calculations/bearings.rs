//! Rolling bearings and seats.

use actix_web::HttpResponse;
use operations::calculations::CalculationSheet;
use operations::calculations::bearing_designation::{BearingDesignationAsked, BearingDesignationResult};
use operations::calculations::bearing_life::{BearingLifeAsked, BearingLifeResult};
use operations::calculations::heat_growth::{HeatGrowthAsked, HeatGrowthResult};
use operations::calculations::limits_and_fits::{LimitsAndFitsAsked, LimitsAndFitsResult};
use operations::calculations::shrink_fit::{ShrinkFitAsked, ShrinkFitResult};

use crate::calculations::answer::answered;
use crate::json_body::JsonBody;
use crate::problem::Problem;
use crate::problem_responses::CalculationProblems;

/// Boundary dimensions and suffixes of a rolling bearing by its designation, and what differs from another.
#[utoipa::path(
    post, path = "/v1/calculations/bearing-designation", operation_id = "calculate_bearing_designation", tag = "calculations",
    request_body(content = BearingDesignationAsked, description = "The designation, perhaps with another."),
    responses(
        (status = 200, description = "What it says.", body = CalculationSheet<BearingDesignationAsked, BearingDesignationResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_bearing_designation(
    asked: JsonBody<BearingDesignationAsked>,
) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::bearing_designation::calculate_bearing_designation(&asked.0))
        .await
}

/// Limits of a hole and a shaft by ISO 286, and the fit they make; a rolling bearing may stand on either side.
#[utoipa::path(
    post, path = "/v1/calculations/limits-and-fits", operation_id = "calculate_limits_and_fits", tag = "calculations",
    request_body(content = LimitsAndFitsAsked, description = "The nominal size and the classes."),
    responses(
        (status = 200, description = "The limits and the fit.", body = CalculationSheet<LimitsAndFitsAsked, LimitsAndFitsResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_limits_and_fits(
    asked: JsonBody<LimitsAndFitsAsked>,
) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::limits_and_fits::calculate_limits_and_fits(&asked.0)).await
}

/// Rating life of a rolling bearing by ISO 281, and the rating that a wanted life takes.
#[utoipa::path(
    post, path = "/v1/calculations/bearing-life", operation_id = "calculate_bearing_life", tag = "calculations",
    request_body(content = BearingLifeAsked, description = "The bearing, its load and speed."),
    responses(
        (status = 200, description = "The life.", body = CalculationSheet<BearingLifeAsked, BearingLifeResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_bearing_life(
    asked: JsonBody<BearingLifeAsked>,
) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::bearing_life::calculate_bearing_life(&asked.0)).await
}

/// How far to heat a bearing or sleeve, and to cool the shaft, so that it slips on.
#[utoipa::path(
    post, path = "/v1/calculations/shrink-fit", operation_id = "calculate_shrink_fit", tag = "calculations",
    request_body(content = ShrinkFitAsked, description = "Seat, interference and materials."),
    responses(
        (status = 200, description = "The temperatures.", body = CalculationSheet<ShrinkFitAsked, ShrinkFitResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_shrink_fit(asked: JsonBody<ShrinkFitAsked>) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::shrink_fit::calculate_shrink_fit(&asked.0)).await
}

/// What heat does to the clearance of a seat and to an axial setting between housing and shaft.
#[utoipa::path(
    post, path = "/v1/calculations/heat-growth", operation_id = "calculate_heat_growth", tag = "calculations",
    request_body(content = HeatGrowthAsked, description = "The seat or setting, and the temperatures."),
    responses(
        (status = 200, description = "What changes.", body = CalculationSheet<HeatGrowthAsked, HeatGrowthResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_heat_growth(asked: JsonBody<HeatGrowthAsked>) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::heat_growth::calculate_heat_growth(&asked.0)).await
}
