//! Ratios, road speeds, climbing, and both axles.

use actix_web::HttpResponse;
use operations::calculations::CalculationSheet;
use operations::calculations::axle_match::{AxleMatchAsked, AxleMatchResult};
use operations::calculations::gear_ratios::{GearRatiosAsked, GearRatiosResult};
use operations::calculations::gradeability::{GradeabilityAsked, GradeabilityResult};
use operations::calculations::ratio_change::{RatioChangeAsked, RatioChangeResult};
use operations::calculations::road_speed::{RoadSpeedAsked, RoadSpeedResult};

use crate::calculations::answer::{answered, drawn};
use crate::json_body::JsonBody;
use crate::problem::Problem;
use crate::problem_responses::CalculationProblems;

/// Ratio of every speed of a box from its tooth counts, the steps between them, and what a changed pair does to all of
/// them.
#[utoipa::path(
    post, path = "/v1/calculations/gear-ratios", operation_id = "calculate_gear_ratios", tag = "calculations",
    request_body(content = GearRatiosAsked, description = "The tooth counts, perhaps with others after a change."),
    responses(
        (status = 200, description = "The ratios and steps, before and after.", body = CalculationSheet<GearRatiosAsked, GearRatiosResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_gear_ratios(asked: JsonBody<GearRatiosAsked>) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::gear_ratios::calculate_gear_ratios(&asked.0)).await
}

/// Engine speed at a road speed and road speed at the highest engine speed, in each gear, before and after a change.
#[utoipa::path(
    post, path = "/v1/calculations/road-speed", operation_id = "calculate_road_speed", tag = "calculations",
    request_body(content = RoadSpeedAsked, description = "The gears, the axle, the tyre."),
    responses(
        (status = 200, description = "The speeds, gear by gear.", body = CalculationSheet<RoadSpeedAsked, RoadSpeedResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_road_speed(asked: JsonBody<RoadSpeedAsked>) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::road_speed::calculate_road_speed(&asked.0)).await
}

/// Engine speed over road speed, a line a gear; changed gears dashed before and full after.
#[utoipa::path(
    post, path = "/v1/calculations/road-speed/drawing", operation_id = "draw_road_speed", tag = "calculations",
    request_body(content = RoadSpeedAsked, description = "The gears, the axle, the tyre."),
    responses(
        (status = 200, description = "The picture.", body = String, content_type = "image/svg+xml"),
        CalculationProblems,
    ),
)]
pub(crate) async fn draw_road_speed(asked: JsonBody<RoadSpeedAsked>) -> Result<HttpResponse, Problem> {
    drawn(move || operations::calculations::road_speed::draw_road_speed(&asked.0)).await
}

/// What a changed ratio of a gear, drop box or axle does to the engine speed at the same road speed.
#[utoipa::path(
    post, path = "/v1/calculations/ratio-change", operation_id = "calculate_ratio_change", tag = "calculations",
    request_body(content = RatioChangeAsked, description = "The ratio before and after."),
    responses(
        (status = 200, description = "The engine speed after, and the drop.", body = CalculationSheet<RatioChangeAsked, RatioChangeResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_ratio_change(
    asked: JsonBody<RatioChangeAsked>,
) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::ratio_change::calculate_ratio_change(&asked.0)).await
}

/// The steepest grade that a laden vehicle holds in each gear, and whether a changed gear still holds a stated grade.
#[utoipa::path(
    post, path = "/v1/calculations/gradeability", operation_id = "calculate_gradeability", tag = "calculations",
    request_body(content = GradeabilityAsked, description = "The vehicle, its engine and its gears."),
    responses(
        (status = 200, description = "What each gear holds, and the pull that is lost.", body = CalculationSheet<GradeabilityAsked, GradeabilityResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_gradeability(
    asked: JsonBody<GradeabilityAsked>,
) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::gradeability::calculate_gradeability(&asked.0)).await
}

/// Whether a changed axle ratio matches the other driven axle's within a tolerance, and what measures road speed.
#[utoipa::path(
    post, path = "/v1/calculations/axle-match", operation_id = "calculate_axle_match", tag = "calculations",
    request_body(content = AxleMatchAsked, description = "The two ratios."),
    responses(
        (status = 200, description = "Whether they match.", body = CalculationSheet<AxleMatchAsked, AxleMatchResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_axle_match(asked: JsonBody<AxleMatchAsked>) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::axle_match::calculate_axle_match(&asked.0)).await
}
