//! Webhooks: who is told of events.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use operations::answer_once::KeptAnswer;
use operations::shop::Shop;
use operations::webhooks::{
    AskedReplay, AskedSecret, AskedWebhook, AskedWebhookTest, AttemptList, AttemptSheet, Courier, NewSecret,
    WebhookProgress, WebhookReplacement, WebhookSheet, WebhookWithSecret,
};
use serde::Serialize;
use utoipa::ToSchema;

use crate::etag::IfMatch;
use crate::failure::internal;
use crate::idempotency::once;
use crate::json_body::JsonBody;
use crate::orders::tag_of;
use crate::paging::{Page, Query, next_link, piece_of};
use crate::problem::Problem;
use crate::problem_responses::{
    ListProblems, NewWebhookProblems, WebhookActionProblems, WebhookChangeProblems, WebhookListProblems,
    WebhookProblems, WebhookRemovalProblems,
};
use crate::sent;

/// A piece of the list of webhooks.
#[derive(Serialize, ToSchema)]
pub(crate) struct WebhookList {
    /// The webhooks, the oldest first.
    items: Vec<WebhookSheet>,
}

/// An answer that is kept for its key; the entity tag is that of the resource alone.
fn made<T: Serialize>(shown: &T, fields: Vec<(String, String)>) -> Result<KeptAnswer, Problem> {
    let body = serde_json::to_string(shown).map_err(|error| internal(&error))?;
    let mut headers = vec![
        (header::CONTENT_TYPE.to_string(), "application/json".to_owned()),
        (header::CACHE_CONTROL.to_string(), "no-store".to_owned()),
    ];
    headers.extend(fields);
    Ok(KeptAnswer { status: 201, headers, body })
}

/// Makes a webhook: from now on, or from a cursor on, each event it wants is posted to its address as a CloudEvent in
/// structured mode, signed as Standard Webhooks 1.0 says. The secret is shown in this answer only.
///
/// An event is posted until the target answers with a status from 200 to 299 within 10 s: the first time at once, then after
/// up to 5 s, doubled each time up to 6 h, or when `Retry-After` says. Events of one subject are posted in order, each only
/// after the one before it was taken; subjects do not wait for each other. A redirect is not followed. A target that has
/// failed an event for 5 days, or answers 410, is paused; what it has not got waits until it is made active again. An event
/// may come more than once: its `webhook-id` is always the same.
#[utoipa::path(
    post, path = "/v1/webhooks", operation_id = "create_webhook", tag = "events",
    params(("Idempotency-Key" = String, Header, example = "\"01941f29-7c00-7000-8000-000000000002\"", description =
        "A text of your own in quotes. A repeated request with the same key and body gets the first answer again; the \
         key is kept for 24 hours.")),
    request_body(content = AskedWebhook, description = "Where events are posted, and which."),
    responses(
        (status = 201, description = "The webhook with its secret.", body = WebhookWithSecret, headers(
            ("Location" = String, description = "Path of the webhook."),
            ("ETag" = String, description = "The entity tag of the webhook, which goes into `If-Match`."),
        )),
        NewWebhookProblems,
    ),
)]
pub(crate) async fn create_webhook(
    request: HttpRequest,
    shop: web::Data<Shop>,
    courier: web::Data<Courier>,
    asked: JsonBody<AskedWebhook>,
) -> Result<HttpResponse, Problem> {
    let (asked, payload) = (asked.0.clone(), asked.0);
    let courier = courier.as_ref().clone();
    once(&shop, &request, &payload, |owned| async move {
        let made_now = operations::webhooks::create_webhook(&owned, &courier, &asked).await?;
        let location = format!("/v1/webhooks/{}", made_now.webhook.id);
        let tag = tag_of(&made_now.webhook)?.header();
        made(&made_now, vec![(header::LOCATION.to_string(), location), (header::ETAG.to_string(), tag)])
    })
    .await
}

/// The webhooks, the oldest first.
#[utoipa::path(
    get, path = "/v1/webhooks", operation_id = "list_webhooks", tag = "events", params(Page),
    responses(
        (status = 200, description = "A piece of the list; the header `Link` leads to the next.", body = WebhookList,
            headers(("Link" = String, description = "The next piece, as rel=\"next\"."))),
        ListProblems,
    ),
)]
pub(crate) async fn list_webhooks(
    request: HttpRequest,
    shop: web::Data<Shop>,
    page: Query<Page>,
) -> Result<HttpResponse, Problem> {
    let (page, limit) = (&page.0, page.0.limit()?);
    let listed = operations::webhooks::list_webhooks(&shop, page.after(), limit).await?;
    Ok(piece_of(&request, limit, &listed.items, listed.next_after.as_deref()))
}

/// One webhook.
#[utoipa::path(
    get, path = "/v1/webhooks/{id}", operation_id = "get_webhook", tag = "events",
    params(("id" = String, Path, example = "01941f29-7c00-7000-8000-000000000001", description = "The webhook's id.")),
    responses(
        (status = 200, description = "The webhook.", body = WebhookSheet,
            headers(("ETag" = String, description = "Goes into `If-Match` when the webhook is changed."))),
        WebhookProblems,
    ),
)]
pub(crate) async fn get_webhook(
    request: HttpRequest,
    shop: web::Data<Shop>,
    id: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &operations::webhooks::show_webhook(&shop, &id).await?)
}

/// Changes a webhook; this is how it is paused and made active again. The header `If-Match` names the state that the change was
/// decided on.
#[utoipa::path(
    put, path = "/v1/webhooks/{id}", operation_id = "replace_webhook", tag = "events",
    params(
        ("id" = String, Path, example = "01941f29-7c00-7000-8000-000000000001", description = "The webhook's id."),
        ("If-Match" = String, Header, example = "*", description = "The ETag of the webhook as it was read, or `*`."),
    ),
    request_body(content = WebhookReplacement, description = "The webhook as it shall be."),
    responses(
        (status = 200, description = "The webhook as it is now.", body = WebhookSheet,
            headers(("ETag" = String, description = "Its new entity tag."))),
        WebhookChangeProblems,
    ),
)]
pub(crate) async fn replace_webhook(
    request: HttpRequest,
    shop: web::Data<Shop>,
    courier: web::Data<Courier>,
    id: web::Path<String>,
    asked: JsonBody<WebhookReplacement>,
) -> Result<HttpResponse, Problem> {
    let if_match = IfMatch::of(&request);
    let still_holds = |current: &WebhookSheet| if_match.require(&tag_of(current)?);
    let changed: Result<WebhookSheet, Problem> =
        operations::webhooks::replace_webhook(&shop, &courier, &id, &asked.0, still_holds).await;
    sent::changed(&changed?)
}

/// Deletes a webhook with what waits for it.
#[utoipa::path(
    delete, path = "/v1/webhooks/{id}", operation_id = "delete_webhook", tag = "events",
    params(
        ("id" = String, Path, example = "01941f29-7c00-7000-8000-000000000001", description = "The webhook's id."),
        ("If-Match" = String, Header, example = "*", description = "The ETag of the webhook as it was read, or `*`."),
    ),
    responses((status = 204, description = "It is gone."), WebhookRemovalProblems),
)]
pub(crate) async fn delete_webhook(
    request: HttpRequest,
    shop: web::Data<Shop>,
    id: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let if_match = IfMatch::of(&request);
    let still_holds = |current: &WebhookSheet| if_match.require(&tag_of(current)?);
    let deleted: Result<(), Problem> = operations::webhooks::delete_webhook(&shop, &id, still_holds).await;
    deleted?;
    Ok(HttpResponse::NoContent().finish())
}

/// The last attempts to deliver, the newest first, and how far the deliveries are. The last 500 are kept.
#[utoipa::path(
    get, path = "/v1/webhooks/{id}/attempts", operation_id = "list_webhook_attempts", tag = "events",
    params(
        ("id" = String, Path, example = "01941f29-7c00-7000-8000-000000000001", description = "The webhook's id."),
        Page,
    ),
    responses(
        (status = 200, description = "The attempts; the header `Link` leads to older ones.", body = AttemptList,
            headers(("Link" = String, description = "The next piece, as rel=\"next\"."))),
        WebhookListProblems,
    ),
)]
pub(crate) async fn list_webhook_attempts(
    request: HttpRequest,
    shop: web::Data<Shop>,
    id: web::Path<String>,
    page: Query<Page>,
) -> Result<HttpResponse, Problem> {
    let (page, limit) = (&page.0, page.0.limit()?);
    let (list, next) = operations::webhooks::list_attempts(&shop, &id, page.after(), limit).await?;
    let mut response = HttpResponse::Ok();
    if let Some(next) = next {
        response.insert_header((header::LINK, next_link(&request, limit, &next)));
    }
    Ok(response.json(list))
}

/// Posts all events behind a cursor again, in order. They keep their ids, so a target that has got one already knows it.
#[utoipa::path(
    post, path = "/v1/webhooks/{id}/replays", operation_id = "create_webhook_replay", tag = "events",
    params(
        ("id" = String, Path, example = "01941f29-7c00-7000-8000-000000000001", description = "The webhook's id."),
        ("Idempotency-Key" = String, Header, example = "\"01941f29-7c00-7000-8000-000000000003\"", description =
            "A text of your own in quotes; a repeated request with the same key and body gets the first answer again."),
    ),
    request_body(content = AskedReplay, description = "From where on."),
    responses(
        (status = 201, description = "How far the deliveries are now.", body = WebhookProgress),
        WebhookActionProblems,
    ),
)]
pub(crate) async fn create_webhook_replay(
    request: HttpRequest,
    shop: web::Data<Shop>,
    id: web::Path<String>,
    asked: JsonBody<AskedReplay>,
) -> Result<HttpResponse, Problem> {
    let (asked, payload) = (asked.0.clone(), asked.0);
    once(&shop, &request, &payload, |owned| async move {
        made(&operations::webhooks::replay_webhook(&owned, &id, &asked).await?, vec![])
    })
    .await
}

/// Gives a webhook another secret, which is shown in this answer only. For a while its messages carry a signature under each.
#[utoipa::path(
    post, path = "/v1/webhooks/{id}/secrets", operation_id = "create_webhook_secret", tag = "events",
    params(
        ("id" = String, Path, example = "01941f29-7c00-7000-8000-000000000001", description = "The webhook's id."),
        ("Idempotency-Key" = String, Header, example = "\"01941f29-7c00-7000-8000-000000000004\"", description =
            "A text of your own in quotes; a repeated request with the same key and body gets the first answer again."),
    ),
    request_body(content = AskedSecret, description = "How long both sign."),
    responses(
        (status = 201, description = "The secret.", body = NewSecret),
        WebhookActionProblems,
    ),
)]
pub(crate) async fn create_webhook_secret(
    request: HttpRequest,
    shop: web::Data<Shop>,
    id: web::Path<String>,
    asked: JsonBody<AskedSecret>,
) -> Result<HttpResponse, Problem> {
    let (asked, payload) = (asked.0.clone(), asked.0);
    once(&shop, &request, &payload, |owned| async move {
        made(&operations::webhooks::rotate_secret(&owned, &id, &asked).await?, vec![])
    })
    .await
}

/// Posts an event of the type `internal.crownwheel.webhook.test` at once, whatever the state of the webhook, and tells what came
/// of it. It stands in no feed and is not tried again.
#[utoipa::path(
    post, path = "/v1/webhooks/{id}/tests", operation_id = "create_webhook_test", tag = "events",
    params(
        ("id" = String, Path, example = "01941f29-7c00-7000-8000-000000000001", description = "The webhook's id."),
        ("Idempotency-Key" = String, Header, example = "\"01941f29-7c00-7000-8000-000000000005\"", description =
            "A text of your own in quotes; a repeated request with the same key and body gets the first answer again."),
    ),
    request_body(content = AskedWebhookTest, description = "Who asks."),
    responses(
        (status = 201, description = "What came of it.", body = AttemptSheet),
        WebhookActionProblems,
    ),
)]
pub(crate) async fn create_webhook_test(
    request: HttpRequest,
    shop: web::Data<Shop>,
    courier: web::Data<Courier>,
    id: web::Path<String>,
    asked: JsonBody<AskedWebhookTest>,
) -> Result<HttpResponse, Problem> {
    let (asked, payload) = (asked.0.clone(), asked.0);
    let courier = courier.as_ref().clone();
    once(&shop, &request, &payload, |owned| async move {
        made(&operations::webhooks::send_test(&owned, &courier, &id, &asked).await?, vec![])
    })
    .await
}
