//! Setting up: shims, preload, depth, backlash, end float.

use actix_web::HttpResponse;
use operations::calculations::CalculationSheet;
use operations::calculations::bearing_drag::{BearingDragAsked, BearingDragResult};
use operations::calculations::bearing_preload::{BearingPreloadAsked, BearingPreloadResult};
use operations::calculations::end_float::{EndFloatAsked, EndFloatResult};
use operations::calculations::joint_verdict::JointVerdictResult;
use operations::calculations::pinion_depth::{PinionDepthAsked, PinionDepthResult};
use operations::calculations::shims::{ShimsAsked, ShimsResult};
use operations::calculations::side_bearings::{SideBearingsAsked, SideBearingsResult};
use operations::calculations::thrust_faces::ThrustFacesAsked;

use crate::calculations::answer::answered;
use crate::json_body::JsonBody;
use crate::problem::Problem;
use crate::problem_responses::CalculationProblems;

/// The combination of shims from a box that comes nearest to a wanted thickness, exactly; and what to measure again
/// where nothing reaches it.
#[utoipa::path(
    post, path = "/v1/calculations/shims", operation_id = "calculate_shims", tag = "calculations",
    request_body(content = ShimsAsked, description = "The box and the thickness wanted."),
    responses(
        (status = 200, description = "The choice, the remaining error, and what to do.", body = CalculationSheet<ShimsAsked, ShimsResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_shims(asked: JsonBody<ShimsAsked>) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::shims::calculate_shims(&asked.0)).await
}

/// The shim that gives a bearing preload or end float, from a trial build, chosen from a box if one is given.
#[utoipa::path(
    post, path = "/v1/calculations/bearing-preload", operation_id = "calculate_bearing_preload", tag = "calculations",
    request_body(content = BearingPreloadAsked, description = "The trial build and what is wanted."),
    responses(
        (status = 200, description = "The shim.", body = CalculationSheet<BearingPreloadAsked, BearingPreloadResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_bearing_preload(
    asked: JsonBody<BearingPreloadAsked>,
) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::bearing_preload::calculate_bearing_preload(&asked.0)).await
}

/// The rotating torque of preloaded bearings against the limits of the unit, new or run in, with a crush or solid spacer.
#[utoipa::path(
    post, path = "/v1/calculations/bearing-drag", operation_id = "calculate_bearing_drag", tag = "calculations",
    request_body(content = BearingDragAsked, description = "The reading and the limits."),
    responses(
        (status = 200, description = "The verdict and what to do.", body = CalculationSheet<BearingDragAsked, BearingDragResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_bearing_drag(
    asked: JsonBody<BearingDragAsked>,
) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::bearing_drag::calculate_bearing_drag(&asked.0)).await
}

/// The shim behind a bevel pinion's head from the deviation etched on it.
#[utoipa::path(
    post, path = "/v1/calculations/pinion-depth", operation_id = "calculate_pinion_depth", tag = "calculations",
    request_body(content = PinionDepthAsked, description = "The pinion and what was measured."),
    responses(
        (status = 200, description = "The shim.", body = CalculationSheet<PinionDepthAsked, PinionDepthResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_pinion_depth(
    asked: JsonBody<PinionDepthAsked>,
) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::pinion_depth::calculate_pinion_depth(&asked.0)).await
}

/// Crown-wheel backlash and side-bearing preload by moving shims from one side to the other.
#[utoipa::path(
    post, path = "/v1/calculations/side-bearings", operation_id = "calculate_side_bearings", tag = "calculations",
    request_body(content = SideBearingsAsked, description = "The setting and what is wanted."),
    responses(
        (status = 200, description = "The shims.", body = CalculationSheet<SideBearingsAsked, SideBearingsResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_side_bearings(
    asked: JsonBody<SideBearingsAsked>,
) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::side_bearings::calculate_side_bearings(&asked.0)).await
}

/// End float of a shaft, measured or from its parts, against its limits, and the shim that brings it there.
#[utoipa::path(
    post, path = "/v1/calculations/end-float", operation_id = "calculate_end_float", tag = "calculations",
    request_body(content = EndFloatAsked, description = "The end float and its limits."),
    responses(
        (status = 200, description = "Whether it lies within, and the shim.", body = CalculationSheet<EndFloatAsked, EndFloatResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_end_float(asked: JsonBody<EndFloatAsked>) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::end_float::calculate_end_float(&asked.0)).await
}

/// Whether two thrust faces bear on each other, and whether they fill the space there is.
#[utoipa::path(
    post, path = "/v1/calculations/thrust-faces", operation_id = "calculate_thrust_faces", tag = "calculations",
    request_body(content = ThrustFacesAsked, description = "The rings."),
    responses(
        (status = 200, description = "The verdict.", body = CalculationSheet<ThrustFacesAsked, JointVerdictResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_thrust_faces(
    asked: JsonBody<ThrustFacesAsked>,
) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::thrust_faces::calculate_thrust_faces(&asked.0)).await
}
