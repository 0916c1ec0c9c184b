//! A job against its estimate: what changed since, line by line, and why.

use resolver::answer::CautionNote;
use resolver::{Answer, Comparison};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::change::answer_of;
use super::error::JobError;
use super::sheet::show_job;
use crate::rebuild_error::RebuildError;
use crate::recompute_quote::frozen;
use crate::shop::Shop;
use crate::show_quote::stored;

/// What changed since a job's estimate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct JobComparison {
    /// The job.
    #[schema(example = "J-000001")]
    pub number: String,
    /// The quote of the estimate.
    #[schema(example = "Q-000001")]
    pub estimate: String,
    /// What changed.
    #[serde(flatten)]
    pub comparison: Comparison,
    /// What can hurt someone who does today's work.
    pub cautions: Vec<CautionNote>,
    /// Sentence that always goes with an answer for bench or road.
    pub deferral: String,
}

/// Asks the job's question as it stands today, and compares the answer with the estimate.
pub async fn compare_job(shop: &Shop, number: &str) -> Result<JobComparison, JobError> {
    let job = show_job(shop, number).await?;
    let Some(estimate) = &job.estimate else {
        return Err(JobError::NotReady(format!("the job `{}` has no estimate yet", job.number)));
    };
    let quote = stored(shop, estimate).await?;
    let then_input = frozen(&quote)?;
    let unreadable = |source| JobError::Unreadable { number: job.number.clone(), source };
    let then: Answer = serde_json::from_str(&quote.answer).map_err(unreadable)?;
    let now = answer_of(shop, &job, &job.request).await?;
    let (now_input, now_answer) = (now.input.clone(), now.answer.clone());
    let compared =
        shop.work(move || resolver::compare((&then_input, &then), (&now_input, &now_answer))).await;
    Ok(JobComparison {
        number: job.number.clone(),
        estimate: quote.number,
        comparison: compared.map_err(RebuildError::from)?,
        cautions: now.answer.cautions.clone(),
        deferral: now.answer.deferral.clone(),
    })
}
