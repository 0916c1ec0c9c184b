//! Settings of the shop.

use actix_web::{HttpRequest, HttpResponse, web};
use catalogue::Setting;
use operations::shop::Shop;
use serde::Serialize;
use utoipa::ToSchema;

use crate::problem::Problem;
use crate::problem_responses::{PlainProblems, SettingProblems};
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
    params(("setting" = String, Path, example = "LABOUR-RATE", description = "Name of the setting.")),
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
