//! Reads a paper: UBL 2.1 or CSV, as its `Content-Type` says.

use std::future::Future;
use std::pin::Pin;

use actix_web::dev::Payload;
use actix_web::http::header;
use actix_web::{FromRequest, HttpRequest};
use operations::papers::PaperFormat;

use crate::json_body::{arrived, check_length};
use crate::problem::Problem;
use crate::problem_kind::ProblemKind;

/// Most bytes of a paper, as much as is read of a UBL document.
const PAPER_BYTES_MAX: usize = 32 << 20;

/// A paper as it is sent.
pub(crate) struct PaperBody {
    /// How it is written.
    pub(crate) format: PaperFormat,
    /// Its text.
    pub(crate) text: String,
}

impl FromRequest for PaperBody {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let format = format_of(request).and_then(|format| {
            check_length(request, PAPER_BYTES_MAX)?;
            Ok(format)
        });
        let payload = payload.take();
        Box::pin(async move {
            let format = format?;
            let text = String::from_utf8(arrived(payload, PAPER_BYTES_MAX).await?).map_err(|error| {
                let at = error.utf8_error().valid_up_to();
                let detail = format!("the paper is no UTF-8 text from byte {at} on; send it in UTF-8");
                Problem::new(ProblemKind::MalformedPaper, detail)
            })?;
            Ok(Self { format, text })
        })
    }
}

fn format_of(request: &HttpRequest) -> Result<PaperFormat, Problem> {
    let sent = request.headers().get(header::CONTENT_TYPE).map(|value| value.to_str().unwrap_or(""));
    let essence = sent.unwrap_or("").split(';').next().unwrap_or("").trim().to_ascii_lowercase();
    PaperFormat::of(&essence).ok_or_else(|| {
        let found = match sent {
            None => "there is no header Content-Type".to_owned(),
            Some(_) => format!("the body is sent as `{essence}`"),
        };
        Problem::new(
            ProblemKind::UnsupportedMediaType,
            format!("{found}; this resource reads `application/xml` (UBL 2.1) and `text/csv`"),
        )
    })
}
