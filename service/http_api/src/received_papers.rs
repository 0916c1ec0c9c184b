//! Papers by an open standard: those that others send, and a supplier's catalogue.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use chrono::{NaiveDate, Utc};
use operations::papers::{
    PaperFormat, PaperSort, PapersWanted, ReceivedPaperHead, ReceivedPaperSheet, SentPaper,
};
use operations::shop::Shop;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::endpoint::preferred;
use crate::failure::internal;
use crate::idempotency::once;
use crate::orders::kept;
use crate::paging::{Query, limit_of, next_link, percent_encoded, piece_of};
use crate::paper_body::PaperBody;
use crate::problem::Problem;
use crate::problem_responses::{
    NewReceivedPaperProblems, OrderListProblems, ReceivedPaperProblems, SupplierCatalogueProblems,
};
use crate::sent;

/// What a paper is sent as; the first where a client does not say.
pub(crate) const FORMATS: &[&str] = &["application/json", "application/xml", "text/csv"];
/// The same of what is a paper only.
pub(crate) const WRITTEN: &[&str] = &["application/xml", "text/csv"];
/// Who sends a paper where nobody is named.
const SENDER_USUAL: &str = "ordering system";

/// How a paper is sent in.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct PaperSender {
    /// Who sends it in; left out: the ordering system.
    #[serde(default)]
    #[param(example = "M. Brandl")]
    by: Option<String>,
    /// The bin into which all that a receipt advice counts goes; left out: where most of each part lies.
    #[serde(default)]
    bin: Option<String>,
}

/// A piece of the list of received papers.
#[derive(Serialize, ToSchema)]
pub(crate) struct ReceivedPaperList {
    /// The papers, the oldest first.
    items: Vec<ReceivedPaperHead>,
}

/// Which received papers, and which piece of their list.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ReceivedPaperPage {
    /// Only those of this sort.
    #[serde(default)]
    sort: Option<PaperSort>,
    /// Only those that speak of this order.
    #[serde(default)]
    order: Option<String>,
    /// Only those from this supplier.
    #[serde(default)]
    supplier: Option<String>,
    /// The list goes on behind the item of this key; the `Link` header of a piece has it filled in.
    #[serde(default)]
    after: Option<String>,
    /// How many items at most.
    #[serde(default)]
    #[param(minimum = 1, maximum = 500, default = 50)]
    limit: Option<u64>,
}

/// Which piece of a supplier's catalogue.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct CataloguePage {
    /// The day of the document; left out: today (UTC).
    #[serde(default)]
    as_of: Option<NaiveDate>,
    /// The catalogue goes on behind this part; the `Link` header of a piece has it filled in.
    #[serde(default)]
    after: Option<String>,
    /// How many lines at most.
    #[serde(default)]
    #[param(minimum = 1, maximum = 500, default = 50)]
    limit: Option<u64>,
}

/// Takes a paper in: an Order, OrderResponse, DespatchAdvice, ReceiptAdvice or Catalogue of OASIS UBL 2.1 as
/// `application/xml`, or the same as CSV. An order becomes drafts; an answer changes its order and says what that means for
/// quotes and jobs; a despatch advice gives a count to begin with; a receipt advice is booked as a count; a catalogue
/// changes parts, kit contents, prices and notices. All of it or nothing. What is not understood is kept and told. The same
/// paper sent again is answered by the first.
#[utoipa::path(
    post, path = "/v1/received-papers", operation_id = "create_received_paper", tag = "buying",
    params(
        PaperSender,
        ("Idempotency-Key" = String, Header, example = "\"01941f29-7c00-7000-8000-000000000009\"", description =
            "A text of your own in quotes; a repeated request with the same key and body gets the first answer again."),
    ),
    request_body(description = "The paper.", content((String = "application/xml"), (String = "text/csv"))),
    responses(
        (status = 200, description = "It had been taken in before; nothing was done again.",
            body = ReceivedPaperSheet),
        (status = 201, description = "What came of it.", body = ReceivedPaperSheet, headers(
            ("Location" = String, description = "Path of the paper."),
            ("ETag" = String, description = "Its entity tag."),
        )),
        NewReceivedPaperProblems,
    ),
)]
pub(crate) async fn create_received_paper(
    request: HttpRequest,
    shop: web::Data<Shop>,
    sender: Query<PaperSender>,
    paper: PaperBody,
) -> Result<HttpResponse, Problem> {
    let by = sender.0.by.unwrap_or_else(|| SENDER_USUAL.to_owned());
    let sent = SentPaper { format: paper.format, text: paper.text, by, bin: sender.0.bin };
    let payload = (sent.format.media_type(), sent.text.clone(), sent.by.clone(), sent.bin.clone());
    once(&shop, &request, &payload, |owned| async move {
        let taken = operations::papers::take_in(&owned, &sent).await?;
        let status = if taken.repeated { 200 } else { 201 };
        let location = format!("/v1/received-papers/{}", percent_encoded(&taken.paper.head.number));
        kept(status, location, &taken.paper)
    })
    .await
}

/// The papers that were taken in, the oldest first.
#[utoipa::path(
    get, path = "/v1/received-papers", operation_id = "list_received_papers", tag = "buying",
    params(ReceivedPaperPage),
    responses(
        (status = 200, description = "A piece of the list; the header `Link` leads to the next.",
            body = ReceivedPaperList, headers(("Link" = String, description = "The next piece, as rel=\"next\"."))),
        OrderListProblems,
    ),
)]
pub(crate) async fn list_received_papers(
    request: HttpRequest,
    shop: web::Data<Shop>,
    page: Query<ReceivedPaperPage>,
) -> Result<HttpResponse, Problem> {
    let page = page.0;
    let limit = limit_of(page.limit)?;
    let wanted = PapersWanted { sort: page.sort, order: page.order.clone(), supplier: page.supplier.clone() };
    let listed =
        operations::papers::list_received_papers(&shop, &wanted, page.after.as_deref(), limit).await?;
    Ok(piece_of(&request, limit, &listed.items, listed.next_after.as_deref()))
}

/// A paper that was taken in. `Accept` chooses what came of it as data, or the paper itself as UBL or CSV: as it was sent, in
/// the type in which it was sent.
#[utoipa::path(
    get, path = "/v1/received-papers/{number}", operation_id = "get_received_paper", tag = "buying",
    params(("number" = String, Path, example = "IN-000001", description = "The paper's running number.")),
    responses(
        (status = 200, description = "The paper.",
            content((ReceivedPaperSheet = "application/json"), (String = "application/xml"), (String = "text/csv"))),
        ReceivedPaperProblems,
    ),
)]
pub(crate) async fn get_received_paper(
    request: HttpRequest,
    shop: web::Data<Shop>,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let response = match PaperFormat::of(preferred(&request, FORMATS)) {
        None => sent::json(&request, &operations::papers::show_received_paper(&shop, &number).await?)?,
        Some(format) => {
            let text = operations::papers::write_received_paper(&shop, &number, format).await?;
            sent::bytes(&request, format.media_type(), text.into_bytes())
        }
    };
    Ok(sent::varying_by_accept(response))
}

/// What a supplier sells, as the shop knows it: parts and kits with their prices, lists, companions and successors. `Accept`
/// chooses a Catalogue of OASIS UBL 2.1 as `application/xml`, or CSV.
#[utoipa::path(
    get, path = "/v1/suppliers/{supplier}/catalogue", operation_id = "get_supplier_catalogue", tag = "buying",
    params(
        ("supplier" = String, Path, example = "OSTREL", description = "The supplier's code."),
        CataloguePage,
    ),
    responses(
        (status = 200, description = "A piece of the catalogue; the header `Link` leads to the next.",
            content((String = "application/xml"), (String = "text/csv")),
            headers(("Link" = String, description = "The next piece, as rel=\"next\"."))),
        SupplierCatalogueProblems,
    ),
)]
pub(crate) async fn get_supplier_catalogue(
    request: HttpRequest,
    shop: web::Data<Shop>,
    supplier: web::Path<String>,
    page: Query<CataloguePage>,
) -> Result<HttpResponse, Problem> {
    let page = page.0;
    let limit = limit_of(page.limit)?;
    let format = PaperFormat::of(preferred(&request, WRITTEN)).unwrap_or(PaperFormat::Ubl);
    let as_of = page.as_of.unwrap_or_else(|| Utc::now().date_naive());
    let place = (page.after.as_deref(), limit);
    let piece = operations::papers::write_catalogue(&shop, &supplier, place, as_of, format).await?;
    let mut response = sent::bytes(&request, format.media_type(), piece.text.into_bytes());
    if let Some(after) = piece.next_after {
        let link = header::HeaderValue::from_str(&next_link(&request, limit, &after));
        response.headers_mut().insert(header::LINK, link.map_err(|error| internal(&error))?);
    }
    Ok(sent::varying_by_accept(response))
}
