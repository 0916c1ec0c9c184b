//! What inspection finds of a job's units.

use resolver::job_state::JobStep;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::change::{Planned, answer_of};
use super::error::JobError;
use super::question::with_findings;
use super::sheet::{FindingSheet, JobSheet};
use super::step::{Detail, JobFinding, JobInside, JobVariant};
use crate::shop::Shop;
use crate::stock_words::{code, text};

/// Most findings of one step.
const FINDINGS_MAX: usize = 500;

/// What inspection finds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FindingsToAdd {
    /// Who inspects.
    #[schema(min_length = 1, max_length = 400, example = "Olaf")]
    pub by: String,
    /// What is found; a later finding of the same kind at a position goes before an earlier one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false, max_items = 500)]
    pub findings: Vec<JobFinding>,
    /// What is seen to be inside; it goes before the record.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false, max_items = 500)]
    pub inside: Vec<JobInside>,
    /// Variants that are seen to hold.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false, max_items = 100)]
    pub variants: Vec<JobVariant>,
}

/// Reads findings, and asks the job's question with them: what the catalogue does not know is refused at its place.
pub(crate) async fn find(shop: &Shop, job: &JobSheet, asked: &FindingsToAdd) -> Result<Planned, JobError> {
    let count = asked.findings.len() + asked.inside.len() + asked.variants.len();
    if count == 0 || count > FINDINGS_MAX {
        return Err(JobError::bad("/findings", format!("give 1 to {FINDINGS_MAX} findings")));
    }
    let unit = |written: &Option<String>, pointer: String| {
        Ok::<_, JobError>(Some(job.unit_named(written.as_deref(), &pointer)?.to_string()))
    };
    let mut findings = Vec::new();
    for (at, one) in asked.findings.iter().enumerate() {
        let pointer = |field: &str| format!("/findings/{at}/{field}");
        if one.grade.is_none() == one.bench_value.is_none()
            || one.bench_value.is_some() != one.measured.is_some()
        {
            let detail = "give a grade, or a bench value with what was measured";
            return Err(JobError::bad(format!("/findings/{at}"), detail));
        }
        let bench_value = one.bench_value.as_deref();
        findings.push(JobFinding {
            unit: unit(&one.unit, pointer("unit"))?,
            position: code(&one.position, "position", &pointer("position"))?.to_string(),
            grade: one.grade,
            bench_value: bench_value
                .map(|text| code(text, "bench value", &pointer("bench_value")))
                .transpose()?
                .map(|code| code.to_string()),
            measured: one.measured,
            note: text(&one.note, "the note", &pointer("note"))?,
            photo: text(&one.photo, "the photo", &pointer("photo"))?,
        });
    }
    let mut inside = Vec::new();
    for (at, one) in asked.inside.iter().enumerate() {
        let pointer = |field: &str| format!("/inside/{at}/{field}");
        inside.push(JobInside {
            unit: unit(&one.unit, pointer("unit"))?,
            position: code(&one.position, "position", &pointer("position"))?.to_string(),
            ..one.clone()
        });
    }
    let mut variants = Vec::new();
    for (at, one) in asked.variants.iter().enumerate() {
        let pointer = |field: &str| format!("/variants/{at}/{field}");
        let variant = code(&one.variant, "variant", &pointer("variant"))?.to_string();
        variants.push(JobVariant { unit: unit(&one.unit, pointer("unit"))?, variant });
    }
    let detail = Detail::Find { findings, inside, variants };
    answer_of(shop, job, &job_with(job, &detail).request).await?;
    Ok(Planned::plain(JobStep::Find, detail))
}

/// The job as it would be with some findings more.
fn job_with(job: &JobSheet, detail: &Detail) -> JobSheet {
    let mut other = job.clone();
    if let Detail::Find { findings, inside, variants } = detail {
        let now = chrono::Utc::now();
        let found = |finding: &JobFinding| FindingSheet::of(finding.clone(), "", now);
        other.findings.extend(findings.iter().map(found));
        other.seen_inside.extend(inside.iter().cloned());
        other.seen_variants.extend(variants.iter().cloned());
    }
    other.request = with_findings(&other, &other.seen_inside, &other.seen_variants);
    other
}
