//! Receipts: boxes that were counted, taken back, and the sheets by which they are counted.

use actix_web::{HttpRequest, HttpResponse, web};
use operations::count_sheet::CountSheet;
use operations::list_receipts::{ReceiptHead, ReceiptsWanted};
use operations::papers::PaperFormat;
use operations::receive_box::AskedReceipt;
use operations::reverse_receipt::AskedReversal;
use operations::shop::Shop;
use operations::show_receipt::ReceiptSheet;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::endpoint::preferred;
use crate::idempotency::once;
use crate::json_body::JsonBody;
use crate::orders::kept;
use crate::paging::{Query, limit_of, percent_encoded, piece_of};
use crate::problem::Problem;
use crate::problem_responses::{
    CountSheetProblems, NewReceiptProblems, OrderListProblems, ReceiptPaperProblems, ReversalProblems,
};
use crate::received_papers::FORMATS;
use crate::sent;

/// A piece of the list of receipts.
#[derive(Serialize, ToSchema)]
pub(crate) struct ReceiptList {
    /// The receipts, the oldest first.
    items: Vec<ReceiptHead>,
}

/// Which receipts, and which piece of their list.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ReceiptPage {
    /// Only those counted against this order.
    #[serde(default)]
    order: Option<String>,
    /// Only those from this supplier.
    #[serde(default)]
    supplier: Option<String>,
    /// Only those against orders with lines for this job.
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

/// Receives a box: counts it against an order or a kit, books what is right into stock, opens a claim for what is short,
/// wrong or damaged, proposes what to order, and warns who waits. All of it is stored together or not at all.
#[utoipa::path(
    post, path = "/v1/receipts", operation_id = "create_receipt", tag = "buying",
    params(("Idempotency-Key" = String, Header, example = "\"01941f29-7c00-7000-8000-000000000004\"", description =
        "A text of your own in quotes. A repeated request with the same key and body gets the first answer again; the \
         key is kept for 24 hours.")),
    request_body(content = AskedReceipt, description = "The count."),
    responses(
        (status = 201, description = "The receipt.", body = ReceiptSheet, headers(
            ("Location" = String, description = "Path of the receipt."),
            ("ETag" = String, description = "Its entity tag."),
        )),
        NewReceiptProblems,
    ),
)]
pub(crate) async fn create_receipt(
    request: HttpRequest,
    shop: web::Data<Shop>,
    asked: JsonBody<AskedReceipt>,
) -> Result<HttpResponse, Problem> {
    let (asked, payload) = (asked.0.clone(), asked.0);
    once(&shop, &request, &payload, |owned| async move {
        let receipt = operations::receive_box::receive_box(&owned, &asked).await?;
        kept(201, format!("/v1/receipts/{}", percent_encoded(&receipt.number)), &receipt)
    })
    .await
}

/// The receipts, the oldest first.
#[utoipa::path(
    get, path = "/v1/receipts", operation_id = "list_receipts", tag = "buying", params(ReceiptPage),
    responses(
        (status = 200, description = "A piece of the list; the header `Link` leads to the next.", body = ReceiptList,
            headers(("Link" = String, description = "The next piece, as rel=\"next\"."))),
        OrderListProblems,
    ),
)]
pub(crate) async fn list_receipts(
    request: HttpRequest,
    shop: web::Data<Shop>,
    page: Query<ReceiptPage>,
) -> Result<HttpResponse, Problem> {
    let page = page.0;
    let limit = limit_of(page.limit)?;
    let wanted =
        ReceiptsWanted { order: page.order.clone(), supplier: page.supplier.clone(), job: page.job.clone() };
    let listed =
        operations::list_receipts::list_receipts(&shop, &wanted, page.after.as_deref(), limit).await?;
    Ok(piece_of(&request, limit, &listed.items, listed.next_after.as_deref()))
}

/// One receipt. `Accept` chooses data, or the paper for the supplier: a ReceiptAdvice of OASIS UBL 2.1 as
/// `application/xml`, or CSV.
#[utoipa::path(
    get, path = "/v1/receipts/{number}", operation_id = "get_receipt", tag = "buying",
    params(("number" = String, Path, example = "RC-000001", description = "The receipt's number.")),
    responses(
        (status = 200, description = "The receipt.",
            content((ReceiptSheet = "application/json"), (String = "application/xml"), (String = "text/csv")),
            headers(("ETag" = String, description = "Its entity tag."))),
        ReceiptPaperProblems,
    ),
)]
pub(crate) async fn get_receipt(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let response = match PaperFormat::of(preferred(&request, FORMATS)) {
        None => sent::json(&request, &operations::show_receipt::show_receipt(&shop, &number).await?)?,
        Some(format) => {
            let text = operations::papers::write_receipt(&shop, &number, format).await?;
            sent::bytes(&request, format.media_type(), text.into_bytes())
        }
    };
    Ok(sent::varying_by_accept(response))
}

/// Takes a receipt back: its pieces leave the stock, its claim is withdrawn, and what came is still to come again. That is
/// the only way in which a receipt is corrected.
#[utoipa::path(
    post, path = "/v1/receipts/{number}/reversal", operation_id = "create_receipt_reversal", tag = "buying",
    params(
        ("number" = String, Path, example = "RC-000001", description = "The receipt's number."),
        ("Idempotency-Key" = String, Header, example = "\"01941f29-7c00-7000-8000-000000000005\"", description =
            "A text of your own in quotes; a repeated request with the same key and body gets the first answer again."),
    ),
    request_body(content = AskedReversal, description = "Why, and who."),
    responses(
        (status = 201, description = "The receipt that takes the other one back.", body = ReceiptSheet, headers(
            ("Location" = String, description = "Path of the new receipt."),
            ("ETag" = String, description = "Its entity tag."),
        )),
        ReversalProblems,
    ),
)]
pub(crate) async fn create_receipt_reversal(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
    asked: JsonBody<AskedReversal>,
) -> Result<HttpResponse, Problem> {
    let (asked, payload) = (asked.0.clone(), asked.0);
    once(&shop, &request, &payload, |owned| async move {
        let receipt = operations::reverse_receipt::reverse_receipt(&owned, &number, &asked).await?;
        kept(201, format!("/v1/receipts/{}", percent_encoded(&receipt.number)), &receipt)
    })
    .await
}

/// The sheet by which a box of an order is counted: what is still to come, in the order of the kits' lists.
#[utoipa::path(
    get, path = "/v1/orders/{number}/count-sheet", operation_id = "get_count_sheet", tag = "buying",
    params(("number" = String, Path, example = "PO-000001", description = "The order's number.")),
    responses((status = 200, description = "The sheet.", body = CountSheet), CountSheetProblems),
)]
pub(crate) async fn get_count_sheet(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, &operations::count_sheet::count_sheet(&shop, &number).await?)
}

/// The same sheet as CSV, to be printed, filled in, and sent as `csv` of a receipt.
#[utoipa::path(
    get, path = "/v1/orders/{number}/count-sheet.csv", operation_id = "export_count_sheet", tag = "buying",
    params(("number" = String, Path, example = "PO-000001", description = "The order's number.")),
    responses(
        (status = 200, description = "The sheet.", body = String, content_type = "text/csv"),
        CountSheetProblems,
    ),
)]
pub(crate) async fn get_count_sheet_csv(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let text = operations::count_sheet::count_sheet_csv(&shop, &number).await?;
    Ok(sent::bytes(&request, "text/csv; charset=utf-8", text.into_bytes()))
}
