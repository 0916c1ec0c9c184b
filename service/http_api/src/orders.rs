//! Orders to suppliers.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use operations::answer_once::KeptAnswer;
use operations::change_order::AskedOrderStep;
use operations::draft_orders::{AskedOrders, DraftedOrders};
use operations::list_orders::{OrderHead, OrdersWanted};
use operations::papers::PaperFormat;
use operations::shop::Shop;
use operations::show_order::{OrderSheet, OrderState};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::endpoint::preferred;
use crate::etag::{EntityTag, IfMatch};
use crate::failure::internal;
use crate::idempotency::once;
use crate::json_body::JsonBody;
use crate::paging::{Query, limit_of, percent_encoded, piece_of};
use crate::problem::Problem;
use crate::problem_responses::{NewOrderProblems, OrderListProblems, OrderPaperProblems, OrderStepProblems};
use crate::received_papers::FORMATS;
use crate::sent;

/// A piece of the list of orders.
#[derive(Serialize, ToSchema)]
pub(crate) struct OrderList {
    /// The orders, the oldest first.
    items: Vec<OrderHead>,
}

/// Which orders, and which piece of their list.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct OrderPage {
    /// Only those to this supplier.
    #[serde(default)]
    supplier: Option<String>,
    /// Only those in this state.
    #[serde(default)]
    state: Option<OrderState>,
    /// Only those with lines for this quote.
    #[serde(default)]
    quote: Option<String>,
    /// Only those with lines for this job.
    #[serde(default)]
    job: Option<String>,
    /// The list goes on behind the item of this key; the `Link` header of a piece has it filled in.
    #[serde(default)]
    after: Option<String>,
    /// How many items at most.
    #[serde(default)]
    #[param(minimum = 1, maximum = 500, default = 50)]
    limit: Option<u64>,
}

/// An answer that is kept for its key, with the entity tag of what it shows.
pub(crate) fn kept<T: Serialize>(status: u16, location: String, shown: &T) -> Result<KeptAnswer, Problem> {
    let body = serde_json::to_string(shown).map_err(|error| internal(&error))?;
    Ok(KeptAnswer {
        status,
        headers: vec![
            (header::LOCATION.to_string(), location),
            (header::ETAG.to_string(), EntityTag::of(body.as_bytes()).header()),
            (header::CONTENT_TYPE.to_string(), "application/json".to_owned()),
        ],
        body,
    })
}

/// The tag of a resource as it is sent.
pub(crate) fn tag_of<T: Serialize>(shown: &T) -> Result<EntityTag, Problem> {
    let body = serde_json::to_vec(shown).map_err(|error| internal(&error))?;
    Ok(EntityTag::of(&body))
}

/// Drafts orders, one a supplier, from the shortages of a stored quote or for parts that are named. Each line freezes what
/// it should bring, and remembers its quote or job; a quote is ordered for once.
#[utoipa::path(
    post, path = "/v1/orders", operation_id = "create_orders", tag = "buying",
    params(("Idempotency-Key" = String, Header, example = "\"01941f29-7c00-7000-8000-000000000002\"", description =
        "A text of your own in quotes. A repeated request with the same key and body gets the first answer again; the \
         key is kept for 24 hours.")),
    request_body(content = AskedOrders, description = "What is to be ordered."),
    responses(
        (status = 201, description = "The orders, drafted.", body = DraftedOrders, headers(
            ("Location" = String, description = "Path of the first order."),
            ("ETag" = String, description = "The entity tag of this answer."),
        )),
        NewOrderProblems,
    ),
)]
pub(crate) async fn create_orders(
    request: HttpRequest,
    shop: web::Data<Shop>,
    asked: JsonBody<AskedOrders>,
) -> Result<HttpResponse, Problem> {
    let asked = asked.0;
    let payload = asked.clone();
    once(&shop, &request, &payload, |owned| async move {
        let drafted = operations::draft_orders::draft_orders(&owned, &asked).await?;
        let first = drafted.items.first().map_or("", |order| order.number.as_str());
        kept(201, format!("/v1/orders/{}", percent_encoded(first)), &drafted)
    })
    .await
}

/// The orders, the oldest first.
#[utoipa::path(
    get, path = "/v1/orders", operation_id = "list_orders", tag = "buying", params(OrderPage),
    responses(
        (status = 200, description = "A piece of the list; the header `Link` leads to the next.", body = OrderList,
            headers(("Link" = String, description = "The next piece, as rel=\"next\"."))),
        OrderListProblems,
    ),
)]
pub(crate) async fn list_orders(
    request: HttpRequest,
    shop: web::Data<Shop>,
    page: Query<OrderPage>,
) -> Result<HttpResponse, Problem> {
    let page = page.0;
    let limit = limit_of(page.limit)?;
    let wanted = OrdersWanted {
        supplier: page.supplier.clone(),
        state: page.state,
        quote: page.quote.clone(),
        job: page.job.clone(),
    };
    let listed = operations::list_orders::list_orders(&shop, &wanted, page.after.as_deref(), limit).await?;
    Ok(piece_of(&request, limit, &listed.items, listed.next_after.as_deref()))
}

/// One order. `Accept` chooses data, or the paper for the supplier: an Order of OASIS UBL 2.1 as `application/xml`, or CSV.
/// A draft is no paper yet.
#[utoipa::path(
    get, path = "/v1/orders/{number}", operation_id = "get_order", tag = "buying",
    params(("number" = String, Path, example = "PO-000001", description = "The order's number.")),
    responses(
        (status = 200, description = "The order.",
            content((OrderSheet = "application/json"), (String = "application/xml"), (String = "text/csv")),
            headers(("ETag" = String, description = "Goes into `If-Match` when a step of the order is taken."))),
        OrderPaperProblems,
    ),
)]
pub(crate) async fn get_order(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let response = match PaperFormat::of(preferred(&request, FORMATS)) {
        None => sent::json(&request, &operations::show_order::show_order(&shop, &number).await?)?,
        Some(format) => {
            let text = operations::papers::write_order(&shop, &number, format).await?;
            sent::bytes(&request, format.media_type(), text.into_bytes())
        }
    };
    Ok(sent::varying_by_accept(response))
}

/// Takes a step of an order: places it, notes what the supplier acknowledged, takes a substitute, closes or cancels it. The
/// header `If-Match` names the state of the order that the step was decided on.
#[utoipa::path(
    post, path = "/v1/orders/{number}/steps", operation_id = "create_order_step", tag = "buying",
    params(
        ("number" = String, Path, example = "PO-000001", description = "The order's number."),
        ("Idempotency-Key" = String, Header, example = "\"01941f29-7c00-7000-8000-000000000003\"", description =
            "A text of your own in quotes; a repeated request with the same key and body gets the first answer again."),
        ("If-Match" = String, Header, example = "*", description = "The ETag of the order as it was read, or `*`."),
    ),
    request_body(content = AskedOrderStep, description = "What is to be done."),
    responses(
        (status = 201, description = "The order as it is now.", body = OrderSheet, headers(
            ("Location" = String, description = "Path of the order."),
            ("ETag" = String, description = "Its new entity tag."),
        )),
        OrderStepProblems,
    ),
)]
pub(crate) async fn create_order_step(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
    asked: JsonBody<AskedOrderStep>,
) -> Result<HttpResponse, Problem> {
    let (asked, payload) = (asked.0.clone(), asked.0);
    let if_match = IfMatch::of(&request);
    if_match.require_any()?;
    once(&shop, &request, &payload, |owned| async move {
        let still_holds = |order: &OrderSheet| if_match.require(&tag_of(order)?);
        let changed = operations::change_order::change_order(&owned, &number, &asked, still_holds).await?;
        kept(201, format!("/v1/orders/{}", percent_encoded(&changed.number)), &changed)
    })
    .await
}
