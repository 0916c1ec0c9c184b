//! Gears: meshes, the search for a pair, a gear on the bench.

use actix_web::HttpResponse;
use operations::calculations::CalculationSheet;
use operations::calculations::gear_geometry::{GearGeometryAsked, GearGeometryResult};
use operations::calculations::gear_pair::{GearPairAsked, GearPairResult};
use operations::calculations::gear_search::{GearSearchAsked, GearSearchResult};
use operations::calculations::joint_verdict::JointVerdictResult;
use operations::calculations::measured_gear::{MeasuredGearAsked, MeasuredGearResult};
use operations::calculations::mesh::MeshAsked;

use crate::calculations::answer::{answered, drawn};
use crate::json_body::JsonBody;
use crate::problem::Problem;
use crate::problem_responses::CalculationProblems;

/// Whether two gears run together at the centre distance of their case, by ISO 21771: base pitches, hands, backlash,
/// contact ratio, tip clearance, interference. What is not known stays open, and the answer says what would settle it.
#[utoipa::path(
    post, path = "/v1/calculations/mesh", operation_id = "calculate_mesh", tag = "calculations",
    request_body(content = MeshAsked, description = "Two gears and their case."),
    responses(
        (status = 200, description = "The verdict, with the figures that decided it.", body = CalculationSheet<MeshAsked, JointVerdictResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_mesh(asked: JsonBody<MeshAsked>) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::mesh::calculate_mesh(&asked.0)).await
}

/// The two gears in mesh, to scale, in transverse section: true involute flanks, pitch and base circles, line of action.
#[utoipa::path(
    post, path = "/v1/calculations/mesh/drawing", operation_id = "draw_mesh", tag = "calculations",
    request_body(content = MeshAsked, description = "Two gears and their case."),
    responses(
        (status = 200, description = "The picture.", body = String, content_type = "image/svg+xml"),
        CalculationProblems,
    ),
)]
pub(crate) async fn draw_mesh(asked: JsonBody<MeshAsked>) -> Result<HttpResponse, Problem> {
    drawn(move || operations::calculations::mesh::draw_mesh(&asked.0)).await
}

/// Tooth counts and profile shifts that fit a given centre distance near a wanted ratio, nearest first.
#[utoipa::path(
    post, path = "/v1/calculations/gear-search", operation_id = "calculate_gear_search", tag = "calculations",
    request_body(content = GearSearchAsked, description = "What is wanted."),
    responses(
        (status = 200, description = "The pairs that fit.", body = CalculationSheet<GearSearchAsked, GearSearchResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_gear_search(asked: JsonBody<GearSearchAsked>) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::gear_search::calculate_gear_search(&asked.0)).await
}

/// The tooth systems that a gear measured on the bench may have, with their residuals, and its base pitch with its
/// uncertainty.
#[utoipa::path(
    post, path = "/v1/calculations/measured-gear", operation_id = "calculate_measured_gear", tag = "calculations",
    request_body(content = MeasuredGearAsked, description = "What was measured."),
    responses(
        (status = 200, description = "The base pitch and the systems that agree, the best first.", body = CalculationSheet<MeasuredGearAsked, MeasuredGearResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_measured_gear(
    asked: JsonBody<MeasuredGearAsked>,
) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::measured_gear::calculate_measured_gear(&asked.0)).await
}

/// Circles, pitches, tooth thickness, undercut and the sizes to measure of one gear, by ISO 21771.
#[utoipa::path(
    post, path = "/v1/calculations/gear-geometry", operation_id = "calculate_gear_geometry", tag = "calculations",
    request_body(content = GearGeometryAsked, description = "The gear."),
    responses(
        (status = 200, description = "The gear.", body = CalculationSheet<GearGeometryAsked, GearGeometryResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_gear_geometry(
    asked: JsonBody<GearGeometryAsked>,
) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::gear_geometry::calculate_gear_geometry(&asked.0)).await
}

/// The centre distance that profile shifts make, the shifts that a centre distance asks for, and backlash, contact and
/// overlap ratio of the pair, by ISO 21771.
#[utoipa::path(
    post, path = "/v1/calculations/gear-pair", operation_id = "calculate_gear_pair", tag = "calculations",
    request_body(content = GearPairAsked, description = "The pair, by its profile shifts, its centre distance, or both."),
    responses(
        (status = 200, description = "The pair.", body = CalculationSheet<GearPairAsked, GearPairResult>),
        CalculationProblems,
    ),
)]
pub(crate) async fn calculate_gear_pair(asked: JsonBody<GearPairAsked>) -> Result<HttpResponse, Problem> {
    answered(move || operations::calculations::gear_pair::calculate_gear_pair(&asked.0)).await
}
