//! What a notice or a bad batch would touch.

use actix_web::{HttpResponse, web};
use operations::follow_notice::{AskedEvent, NoticeSheet, follow_notice};
use operations::shop::Shop;

use crate::json_body::JsonBody;
use crate::problem::Problem;
use crate::problem_responses::EventProblems;
use crate::sent;

/// Answers what a supersession or a bad batch that is entered today would touch, and by which path.
///
/// Units with their positions, kits, companions, open quotes, stock and the records of serial numbers. A new number may be
/// one that the catalogue does not hold yet. Nothing is stored.
#[utoipa::path(
    post, path = "/v1/notice-effects", operation_id = "resolve_notice_effects", tag = "catalogue",
    request_body(content = AskedEvent, description = "What would be entered.", examples(
        ("notice" = (summary = "A number gives way to one that is not in the catalogue yet", value = json!({
            "event": "notice", "old": "BRANNOCH/228-2020", "new": "BRANNOCH/228-2021", "interchange": "two_way",
        }))),
        ("bad_part" = (summary = "A bad bearing", value = json!({
            "event": "bad_part", "part": "TARNHOLT/32310",
        }))),
    )),
    responses((status = 200, description = "What is touched.", body = NoticeSheet), EventProblems),
)]
pub(crate) async fn resolve_notice_effects(
    shop: web::Data<Shop>,
    asked: JsonBody<AskedEvent>,
) -> Result<HttpResponse, Problem> {
    sent::answer(&follow_notice(&shop, &asked.0).await?)
}
