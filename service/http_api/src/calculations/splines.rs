//! Splines: geometry, fit, capacity, stress; and the dog teeth and cones that engage a gear.

use actix_web::HttpResponse;
use operations::calculations::CalculationSheet;
use operations::calculations::joint_verdict::JointVerdictResult;
use operations::calculations::spline::{SplineGeometryAsked, SplineGeometryResult};
use operations::calculations::spline_capacity::{SplineCapacityAsked, SplineCapacityResult};
use operations::calculations::spline_fit::SplineFitAsked;
use operations::calculations::spline_stress::{SplineStressAsked, SplineStressResult};
use operations::calculations::synchroniser::{SynchroniserAsked, SynchroniserResult};

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

/// Shear and compression of an involute spline under a torque, after Dudley, with the teeth that really carry and the
/// length that is engaged.
#[utoipa::path(
    post, path = "/v1/calculations/spline-stress", operation_id = "calculate_spline_stress", tag = "calculations",
    request_body(content = SplineStressAsked, description = "The spline and the torque."),
    responses(
        (status = 200, description = "The stresses.", body = CalculationSheet<SplineStressAsked, SplineStressResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_spline_stress(
    asked: JsonBody<SplineStressAsked>,
) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::spline_stress::calculate_spline_stress(&asked.0)).await
}

/// Whether a sleeve engages a gear's dog teeth and a ring seats on its cone.
#[utoipa::path(
    post, path = "/v1/calculations/synchroniser", operation_id = "calculate_synchroniser", tag = "calculations",
    request_body(content = SynchroniserAsked, description = "The faces."),
    responses(
        (status = 200, description = "The verdicts.", body = CalculationSheet<SynchroniserAsked, SynchroniserResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_synchroniser(
    asked: JsonBody<SynchroniserAsked>,
) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::synchroniser::calculate_synchroniser(&asked.0)).await
}
