//! Faces of a part, and what the bench measured on them.

use actix_web::{HttpRequest, HttpResponse, web};
use catalogue::Feature;
use operations::feature_measurement::{Measurement, list_features, show_feature, store_measurement};
use operations::shop::Shop;
use serde::Serialize;
use utoipa::ToSchema;

use crate::etag::{EntityTag, require_match};
use crate::failure::internal;
use crate::json_body::JsonBody;
use crate::problem::Problem;
use crate::problem_responses::{FeatureProblems, MeasurementProblems, PartProblems};
use crate::sent;

/// The faces of a part.
#[derive(Serialize, ToSchema)]
pub(crate) struct FeatureList {
    /// The faces, by name.
    items: Vec<Feature>,
}

/// The measurable faces of a part, with the figures that verdicts are calculated from and where they come from.
#[utoipa::path(
    get, path = "/v1/parts/{part}/features", operation_id = "list_features", tag = "catalogue",
    params(("part" = String, Path, description =
        "The part number alone, or MAKER%2FNUMBER; spaces, dashes, dots and case do not matter.")),
    responses((status = 200, description = "All faces.", body = FeatureList), PartProblems),
)]
pub(crate) async fn get_features(
    request: HttpRequest,
    shop: web::Data<Shop>,
    part: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &FeatureList { items: list_features(&shop, &part).await? })
}

/// One face of a part with what was measured on it: who, when, and how certain.
#[utoipa::path(
    get, path = "/v1/parts/{part}/features/{feature}/measurement", operation_id = "get_measurement", tag = "catalogue",
    params(
        ("part" = String, Path, description =
            "The part number alone, or MAKER%2FNUMBER; spaces, dashes, dots and case do not matter."),
        ("feature" = String, Path, description = "Name of the face."),
    ),
    responses(
        (status = 200, description = "The face.", body = Feature,
            headers(("ETag" = String, description = "Goes into `If-Match` when a measurement is stored."))),
        FeatureProblems,
    ),
)]
pub(crate) async fn get_measurement(
    request: HttpRequest,
    shop: web::Data<Shop>,
    path: web::Path<(String, String)>,
) -> Result<HttpResponse, Problem> {
    let (part, feature) = path.into_inner();
    sent::json(&request, &show_feature(&shop, &part, &feature).await?)
}

/// Stores what the bench measured on a face. Every verdict from then on is calculated from it and carries its uncertainty. The
/// header `If-Match` names the state that the measurement was decided on.
#[utoipa::path(
    put, path = "/v1/parts/{part}/features/{feature}/measurement", operation_id = "replace_measurement",
    tag = "catalogue",
    params(
        ("part" = String, Path, description =
            "The part number alone, or MAKER%2FNUMBER; spaces, dashes, dots and case do not matter."),
        ("feature" = String, Path, description = "Name of the face."),
        ("If-Match" = String, Header, description = "The ETag of the face as it was read, or `*`."),
    ),
    request_body(content = Measurement, description = "What was measured."),
    responses(
        (status = 200, description = "The face as it is now.", body = Feature,
            headers(("ETag" = String, description = "Its new entity tag."))),
        MeasurementProblems,
    ),
)]
pub(crate) async fn replace_measurement(
    request: HttpRequest,
    shop: web::Data<Shop>,
    path: web::Path<(String, String)>,
    measurement: JsonBody<Measurement>,
) -> Result<HttpResponse, Problem> {
    let (part, feature) = path.into_inner();
    let mut refused = None;
    let still_holds = |current: &Feature| {
        refused = tag_of(current).and_then(|tag| require_match(&request, &tag)).err();
        refused.is_none()
    };
    let stored = store_measurement(&shop, &part, &feature, &measurement.0, still_holds).await;
    match (stored, refused) {
        (_, Some(problem)) => Err(problem),
        (stored, None) => sent::changed(&stored?),
    }
}

fn tag_of(feature: &Feature) -> Result<EntityTag, Problem> {
    let body = serde_json::to_vec(feature).map_err(|error| internal(&error))?;
    Ok(EntityTag::of(&body))
}
