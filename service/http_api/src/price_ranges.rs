//! What a job may cost, before the unit is taken apart.

use actix_web::{HttpResponse, web};
use operations::PriceRange;
use operations::asked::Asked;
use operations::shop::Shop;

use crate::json_body::JsonBody;
use crate::problem::Problem;
use crate::problem_responses::RebuildProblems;
use crate::sent;

/// Answers what a rebuild may cost before strip-down: for certain, as expected, and at the 50th and 90th percentile.
///
/// Every way in which the weak points of the units may turn out is answered; the findings that move the price most come
/// first. Findings that the request holds settle theirs. Nothing is stored.
#[utoipa::path(
    post, path = "/v1/price-ranges", operation_id = "resolve_price_range", tag = "rebuild",
    request_body(content = Asked, description = "What is to be rebuilt.", example = json!({
        "units": [{ "unit": "BN-228", "variants": ["FLANGE-50"] }],
    })),
    responses((status = 200, description = "The range.", body = PriceRange), RebuildProblems),
)]
pub(crate) async fn resolve_price_range(
    shop: web::Data<Shop>,
    asked: JsonBody<Asked>,
) -> Result<HttpResponse, Problem> {
    sent::answer(&operations::range_price::range_price(&shop, &asked.0).await?)
}
