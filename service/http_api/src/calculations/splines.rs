//! Splines: geometry, fit, capacity.

use actix_web::HttpResponse;
use operations::calculations::CalculationSheet;
use operations::calculations::joint_verdict::JointVerdictResult;
use operations::calculations::spline::{SplineGeometryAsked, SplineGeometryResult};
use operations::calculations::spline_capacity::{SplineCapacityAsked, SplineCapacityResult};
use operations::calculations::spline_fit::SplineFitAsked;

use crate::calculations::answer::{answered, drawn};
use crate::json_body::JsonBody;
use crate::problem::Problem;
use crate::problem_responses::CalculationProblems;

/// Geometry of an involute or straight-sided spline from its designation or its figures.
#[utoipa::path(
    post, path = "/v1/calculations/spline", operation_id = "calculate_spline", tag = "calculations",
    request_body(content = SplineGeometryAsked, description = "The spline."),
    responses(
        (status = 200, description = "Its geometry.", body = CalculationSheet<SplineGeometryAsked, SplineGeometryResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_spline(asked: JsonBody<SplineGeometryAsked>) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::spline::calculate_spline(&asked.0)).await
}

/// Section of the splined shaft, the teeth that carry filled.
#[utoipa::path(
    post, path = "/v1/calculations/spline/drawing", operation_id = "draw_spline", tag = "calculations",
    request_body(content = SplineGeometryAsked, description = "The spline."),
    responses(
        (status = 200, description = "The picture.", body = String, content_type = "image/svg+xml"),
        CalculationProblems,
    ),
)]
pub(crate) async fn draw_spline(asked: JsonBody<SplineGeometryAsked>) -> Result<HttpResponse, Problem> {
    drawn(move || operations::calculations::spline::draw_spline(&asked.0)).await
}

/// Whether a splined hub goes on a shaft.
#[utoipa::path(
    post, path = "/v1/calculations/spline-fit", operation_id = "calculate_spline_fit", tag = "calculations",
    request_body(content = SplineFitAsked, description = "Shaft and hub."),
    responses(
        (status = 200, description = "The verdict, with the figures that decided it.", body = CalculationSheet<SplineFitAsked, JointVerdictResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_spline_fit(asked: JsonBody<SplineFitAsked>) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::spline_fit::calculate_spline_fit(&asked.0)).await
}

/// What torque a spline carries, its flank pressure, and its capacity against the one it replaces.
#[utoipa::path(
    post, path = "/v1/calculations/spline-capacity", operation_id = "calculate_spline_capacity", tag = "calculations",
    request_body(content = SplineCapacityAsked, description = "The spline, perhaps with the old one."),
    responses(
        (status = 200, description = "What it carries.", body = CalculationSheet<SplineCapacityAsked, SplineCapacityResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_spline_capacity(
    asked: JsonBody<SplineCapacityAsked>,
) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::spline_capacity::calculate_spline_capacity(&asked.0)).await
}
