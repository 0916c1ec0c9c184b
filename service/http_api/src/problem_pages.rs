//! The pages behind the `type` of a problem.

use actix_web::http::header;
use actix_web::{HttpResponse, web};

use crate::problem::Problem;
use crate::problem_kind::ProblemKind;
use crate::problem_responses::ProblemPageProblems;

/// All kinds of problem.
#[utoipa::path(
    get, path = "/problems/", operation_id = "list_problems", tag = "service",
    responses((status = 200, description = "A page.", body = String, content_type = "text/html")),
)]
pub(crate) async fn list_problems() -> HttpResponse {
    let rows: String = ProblemKind::ALL
        .iter()
        .map(|kind| {
            let facts = kind.facts();
            let status = facts.status.as_u16();
            format!(
                "<tr><td>{status}</td><td><a href=\"{}\">{}</a></td><td>{}</td></tr>",
                facts.code, facts.code, facts.title
            )
        })
        .collect();
    page("Problems", &format!("<table><tr><th>status</th><th>kind</th><th>title</th></tr>{rows}</table>"))
}

/// One kind of problem.
#[utoipa::path(
    get, path = "/problems/{kind}", operation_id = "get_problem", tag = "service",
    params(("kind" = String, Path, example = "unit-not-found", description = "Last segment of the problem's `type`.")),
    responses(
        (status = 200, description = "A page.", body = String, content_type = "text/html"),
        ProblemPageProblems,
    ),
)]
pub(crate) async fn get_problem(kind: web::Path<String>) -> Result<HttpResponse, Problem> {
    let kind = ProblemKind::of_code(&kind)
        .ok_or_else(|| Problem::new(ProblemKind::ProblemNotFound, "/problems/ lists all kinds"))?;
    let facts = kind.facts();
    let body = format!(
        "<p>Status {}.</p><p>{}</p><p><a href=\"./\">All kinds of problem</a></p>",
        facts.status, facts.meaning
    );
    Ok(page(facts.title, &body))
}

/// A page of texts from the table of problems, which hold nothing that a page must escape but backquotes and brackets of
/// code.
fn page(title: &str, body: &str) -> HttpResponse {
    let text = format!(
        "<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\"><title>{title}</title><style>body{{font-family:\
         sans-serif;max-width:50em;margin:2em auto;padding:0 1em}}td,th{{text-align:left;padding:.2em \
         .8em}}</style></head><body><h1>{title}</h1>{body}</body></html>\n"
    );
    HttpResponse::Ok().insert_header((header::CONTENT_TYPE, "text/html; charset=utf-8")).body(text)
}
