//! Opens a job from an enquiry.

use chrono::Utc;
use resolver::job_state::{JobState, JobStep};
use serde::{Deserialize, Serialize};
use store::NewJobStep;
use utoipa::ToSchema;

use super::error::JobError;
use super::sheet::{JobSheet, show_job};
use super::step::Detail;
use crate::asked::{Asked, AskedUnit};
use crate::rebuild_error::RebuildError;
use crate::shop::Shop;
use crate::stock_words::{said, text};
use crate::translate_request::translate;

/// An enquiry.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Enquiry {
    /// Who takes it in.
    #[schema(min_length = 1, max_length = 400, example = "Ruth")]
    pub by: String,
    /// What the customer says.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    #[schema(required = false, max_length = 400)]
    pub note: String,
    /// What is asked for.
    pub request: Asked,
}

/// Opens a job.
pub async fn open_job(shop: &Shop, enquiry: &Enquiry) -> Result<JobSheet, JobError> {
    let by = said(&enquiry.by, "who takes it in", "/by")?;
    let note = text(&enquiry.note, "the note", "/note")?;
    let request = by_code(shop, &enquiry.request, "/request").await?;
    let at = Utc::now();
    let detail = Detail::Open { request, note };
    let step = NewJobStep {
        kind: JobStep::Open.word().to_owned(),
        state: JobState::Enquiry.word().to_owned(),
        by,
        at,
        detail: written(&detail)?,
    };
    let number = shop.store().insert_job(step).await?;
    show_job(shop, &number).await
}

/// The same question with every unit named by its code, checked against the catalogue.
pub(crate) async fn by_code(shop: &Shop, asked: &Asked, pointer: &str) -> Result<Asked, JobError> {
    let translated = translate(shop, asked, Utc::now().date_naive()).await;
    let translated = translated.map_err(|error| below(pointer, error))?;
    let unit = |(unit, origin): (&resolver::request::UnitRequest, &usize)| AskedUnit {
        unit: Some(unit.unit.to_string()),
        vehicle: None,
        role: None,
        ..asked.units.get(*origin).cloned().unwrap_or_default()
    };
    let units: Vec<AskedUnit> = translated.request.units.iter().zip(&translated.origins).map(unit).collect();
    for (at, one) in units.iter().enumerate() {
        if units[..at].iter().any(|other| other.unit == one.unit) {
            return Err(JobError::bad(format!("{pointer}/units"), "a unit stands there twice"));
        }
    }
    Ok(Asked { units, ..asked.clone() })
}

/// A fault of a question that stands below a place of the body.
pub(crate) fn below(pointer: &str, error: RebuildError) -> JobError {
    let at = |place: String| format!("{pointer}{place}");
    JobError::Rebuild(match error {
        RebuildError::Lookup { pointer, error } => RebuildError::Lookup { pointer: at(pointer), error },
        RebuildError::BadRequest { pointer, detail, suggestions } => {
            RebuildError::BadRequest { pointer: at(pointer), detail, suggestions }
        }
        RebuildError::Fault(mut fault) if !fault.pointer.is_empty() => {
            fault.pointer = at(fault.pointer);
            RebuildError::Fault(fault)
        }
        error => error,
    })
}

/// A step's particulars as they are kept.
pub(crate) fn written(detail: &Detail) -> Result<String, JobError> {
    serde_json::to_string(detail).map_err(|source| JobError::Unreadable { number: String::new(), source })
}
