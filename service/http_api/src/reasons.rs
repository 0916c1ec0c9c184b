//! Why each line of a stored quote is there: as data, in the DOT language, as a picture.

use actix_web::{HttpRequest, HttpResponse, web};
use operations::quote_reasons::{Drawing, ReasonSheet, draw_quote_reasons, quote_reasons};
use operations::shop::Shop;

use crate::endpoint::preferred;
use crate::problem::Problem;
use crate::problem_responses::QuoteProblems;
use crate::sent;
use crate::units::DOT;

/// The media type of SVG.
const SVG: &str = "image/svg+xml";
/// What the reasons are sent as; the first where a client does not say.
pub(crate) const REASONS: &[&str] = &["application/json", DOT, SVG];

/// Why each line of a quote that is not kept is there: the shortest chain of causes that leads to it. `Accept` chooses data,
/// the DOT language of Graphviz, or a picture.
#[utoipa::path(
    get, path = "/v1/quotes/{number}/reasons", operation_id = "get_quote_reasons", tag = "rebuild",
    params(("number" = String, Path, example = "Q-000001", description = "The quote's number.")),
    responses(
        (status = 200, description = "The reasons.", content(
            (ReasonSheet = "application/json"), (String = "text/vnd.graphviz"), (String = "image/svg+xml"),
        )),
        QuoteProblems,
    ),
)]
pub(crate) async fn get_quote_reasons(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let media_type = preferred(&request, REASONS);
    let drawing = match media_type {
        DOT => Some(Drawing::Dot),
        SVG => Some(Drawing::Svg),
        _ => None,
    };
    let response = match drawing {
        Some(drawing) => {
            let text = draw_quote_reasons(&shop, &number, drawing).await?;
            sent::bytes(&request, media_type, text.into_bytes())
        }
        None => sent::json(&request, &quote_reasons(&shop, &number).await?)?,
    };
    Ok(sent::varying_by_accept(response))
}
