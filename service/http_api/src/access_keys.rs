//! Keys that requests carry.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use operations::access_keys::{AskedKey, KeySheet, NewKey};
use operations::shop::Shop;
use serde::Serialize;
use utoipa::ToSchema;

use crate::etag::{EntityTag, require_match};
use crate::failure::internal;
use crate::json_body::JsonBody;
use crate::paging::{Page, Query, percent_encoded, piece};
use crate::problem::Problem;
use crate::problem_responses::{KeyProblems, KeyRevocationProblems, ListProblems, NewKeyProblems};
use crate::sent;

/// A piece of the list of keys.
#[derive(Serialize, ToSchema)]
pub(crate) struct KeyList {
    /// The keys, the oldest first.
    items: Vec<KeySheet>,
}

/// The keys, the oldest first; never the keys themselves, which are kept nowhere.
#[utoipa::path(
    get, path = "/v1/keys", operation_id = "list_keys", tag = "shop", params(Page),
    responses(
        (status = 200, description = "A piece of the list; the header `Link` leads to the next.", body = KeyList,
            headers(("Link" = String, description = "The next piece, as rel=\"next\"."))),
        ListProblems,
    ),
)]
pub(crate) async fn list_keys(shop: web::Data<Shop>, page: Query<Page>) -> Result<HttpResponse, Problem> {
    let limit = page.0.limit()?;
    let listed = operations::access_keys::list_keys(&shop, page.0.after(), limit).await?;
    Ok(piece("/v1/keys", limit, &listed.items, listed.next_after.as_deref()))
}

/// Makes a key and shows it this once: it is kept as a hash alone.
///
/// So no answer is kept for an `Idempotency-Key` either. A repeated request makes no second key, since no two keys that are
/// not revoked share a name: it is answered `key-name-taken`, with the number of the key whose secret was lost on the way, to
/// be revoked.
#[utoipa::path(
    post, path = "/v1/keys", operation_id = "create_key", tag = "shop",
    request_body(content = AskedKey, description = "Who or what will carry the key, and what it opens."),
    responses(
        (status = 201, description = "The key.", body = NewKey, headers(
            ("Location" = String, description = "Path of the key."),
            ("Cache-Control" = String, description = "`no-store`."),
        )),
        NewKeyProblems,
    ),
)]
pub(crate) async fn create_key(
    shop: web::Data<Shop>,
    asked: JsonBody<AskedKey>,
) -> Result<HttpResponse, Problem> {
    let made = operations::access_keys::create_key(&shop, &asked.0).await?;
    Ok(HttpResponse::Created()
        .insert_header((header::LOCATION, format!("/v1/keys/{}", percent_encoded(&made.sheet.number))))
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .json(made))
}

/// One key; never the key itself.
#[utoipa::path(
    get, path = "/v1/keys/{number}", operation_id = "get_key", tag = "shop",
    params(("number" = String, Path, description = "The key's number.")),
    responses(
        (status = 200, description = "The key.", body = KeySheet,
            headers(("ETag" = String, description = "Goes into `If-Match` when the key is revoked."))),
        KeyProblems,
    ),
)]
pub(crate) async fn get_key(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &operations::access_keys::show_key(&shop, &number).await?)
}

/// Revokes a key, at once and for good. The last owner's key cannot be revoked.
#[utoipa::path(
    post, path = "/v1/keys/{number}/revocation", operation_id = "create_key_revocation", tag = "shop",
    params(
        ("number" = String, Path, description = "The key's number."),
        ("If-Match" = String, Header, description = "The ETag of the key as it was read, or `*`."),
    ),
    responses(
        (status = 200, description = "The key as it is now.", body = KeySheet,
            headers(("ETag" = String, description = "Its new entity tag."))),
        KeyRevocationProblems,
    ),
)]
pub(crate) async fn create_key_revocation(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let mut refused = None;
    let still_holds = |current: &KeySheet| {
        refused = tag_of(current).and_then(|tag| require_match(&request, &tag)).err();
        refused.is_none()
    };
    let revoked = operations::access_keys::revoke_key(&shop, &number, still_holds).await;
    match (revoked, refused) {
        (_, Some(problem)) => Err(problem),
        (revoked, None) => sent::changed(&revoked?),
    }
}

fn tag_of(key: &KeySheet) -> Result<EntityTag, Problem> {
    let body = serde_json::to_vec(key).map_err(|error| internal(&error))?;
    Ok(EntityTag::of(&body))
}
