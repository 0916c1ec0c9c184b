//! Sheets of the catalogue as CSV.

use actix_web::{HttpRequest, HttpResponse, web};
use catalogue::bundle;
use operations::export_catalogue::{ExportError, export_sheet};
use operations::shop::Shop;

use crate::failure::internal;
use crate::problem::Problem;
use crate::problem_kind::ProblemKind;
use crate::problem_responses::ExportProblems;
use crate::sent;

/// The media type of CSV (RFC 4180).
pub(crate) const CSV: &str = "text/csv";
/// How many names are told when one is unknown.
const CLOSEST: usize = 3;

/// One sheet of the catalogue as CSV; importing it again changes nothing.
#[utoipa::path(
    get, path = "/v1/exports/{sheet}.csv", operation_id = "export_sheet", tag = "exchange",
    params(("sheet" = String, Path, description = "Name of the sheet.")),
    responses(
        (status = 200, description = "The sheet.", body = String, content_type = "text/csv"),
        ExportProblems,
    ),
)]
pub(crate) async fn get_sheet(
    request: HttpRequest,
    shop: web::Data<Shop>,
    sheet: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let spec = bundle::SHEETS.iter().find(|spec| spec.name == sheet.as_str()).ok_or_else(|| {
        let names = bundle::SHEETS.iter().map(|spec| spec.name);
        let closest = operations::closest::closest(&sheet, names, CLOSEST);
        Problem::new(ProblemKind::SheetNotFound, format!("there is no sheet `{sheet}`")).suggesting(closest)
    })?;
    let (_, text) = export_sheet(&shop, spec, Vec::new()).await.map_err(|error| match error {
        ExportError::Store(error) => error.into(),
        error @ (ExportError::File { .. } | ExportError::Output(_)) => internal(&error),
    })?;
    Ok(sent::bytes(&request, "text/csv; charset=utf-8; header=present", text))
}
