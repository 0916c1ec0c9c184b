//! Settings of the shop.

use actix_web::{HttpRequest, HttpResponse, web};
use catalogue::Setting;
use operations::shop::Shop;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::etag::{EntityTag, require_match};
use crate::failure::internal;
use crate::json_body::JsonBody;
use crate::problem::Problem;
use crate::problem_responses::{PlainProblems, SettingChangeProblems, SettingProblems};
use crate::sent;

/// The settings.
#[derive(Serialize, ToSchema)]
pub(crate) struct SettingList {
    /// The settings, by name.
    items: Vec<Setting>,
}

/// The settings of the shop.
#[utoipa::path(
    get, path = "/v1/settings", operation_id = "list_settings", tag = "shop",
    responses((status = 200, description = "All settings.", body = SettingList), PlainProblems),
)]
pub(crate) async fn list_settings(
    request: HttpRequest,
    shop: web::Data<Shop>,
) -> Result<HttpResponse, Problem> {
    let items = operations::settings::list_settings(&shop).await?;
    sent::json(&request, &SettingList { items })
}

/// One setting.
#[utoipa::path(
    get, path = "/v1/settings/{setting}", operation_id = "get_setting", tag = "shop",
    params(("setting" = String, Path, description = "Name of the setting.")),
    responses(
        (status = 200, description = "The setting.", body = Setting,
            headers(("ETag" = String, description = "Goes into `If-Match` when the setting is changed."))),
        SettingProblems,
    ),
)]
pub(crate) async fn get_setting(
    request: HttpRequest,
    shop: web::Data<Shop>,
    setting: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &operations::settings::show_setting(&shop, &setting).await?)
}

/// A setting as it shall be.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct SettingChange {
    /// The value.
    #[schema(example = "62.50")]
    value: String,
}

/// Changes a setting. The header `If-Match` names the state that the change was decided on.
#[utoipa::path(
    put, path = "/v1/settings/{setting}", operation_id = "replace_setting", tag = "shop",
    params(
        ("setting" = String, Path, description = "Name of the setting."),
        ("If-Match" = String, Header, description = "The ETag of the setting as it was read, or `*`."),
    ),
    request_body(content = SettingChange, description = "The setting as it shall be."),
    responses(
        (status = 200, description = "The setting as it is now.", body = Setting,
            headers(("ETag" = String, description = "Its new entity tag."))),
        SettingChangeProblems,
    ),
)]
pub(crate) async fn replace_setting(
    request: HttpRequest,
    shop: web::Data<Shop>,
    setting: web::Path<String>,
    change: JsonBody<SettingChange>,
) -> Result<HttpResponse, Problem> {
    let mut refused = None;
    let still_holds = |current: &Setting| {
        refused = tag_of(current).and_then(|tag| require_match(&request, &tag)).err();
        refused.is_none()
    };
    let changed = operations::settings::change_setting(&shop, &setting, &change.0.value, still_holds).await;
    match (changed, refused) {
        (_, Some(problem)) => Err(problem),
        (changed, None) => sent::changed(&changed?),
    }
}

fn tag_of(setting: &Setting) -> Result<EntityTag, Problem> {
    let body = serde_json::to_vec(setting).map_err(|error| internal(&error))?;
    Ok(EntityTag::of(&body))
}
