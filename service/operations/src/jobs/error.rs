//! What can go wrong with a job.

use resolver::job_state::{JobState, JobStep};
use store::StoreError;

use crate::quote_error::QuoteError;
use crate::rebuild_error::RebuildError;
use crate::stock_error::StockError;

/// Why nothing was done with a job.
#[derive(Debug, thiserror::Error)]
pub enum JobError {
    /// There is no such job.
    #[error("there is no job `{0}`")]
    NotFound(String),
    /// The job was changed since the step was decided on.
    #[error("the job was changed in the meantime")]
    Stale,
    /// The step cannot be taken from the state that the job is in.
    #[error(
        "the job `{number}` is at `{state}`, from which the step `{step}` is not taken; {}",
        next(allowed)
    )]
    NotAllowed {
        /// The job.
        number: String,
        /// The state it is in.
        state: JobState,
        /// The step.
        step: JobStep,
        /// The steps that can be taken.
        allowed: Vec<JobStep>,
    },
    /// Something that the step needs is not there yet.
    #[error("{0}")]
    NotReady(String),
    /// Seen against the catalogue the job's question has no answer.
    #[error(transparent)]
    Rebuild(#[from] RebuildError),
    /// A quote of the job was not read or made.
    #[error(transparent)]
    Quote(#[from] QuoteError),
    /// A value of the body is wrong, or the shelf refuses.
    #[error(transparent)]
    Stock(#[from] StockError),
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// A stored step cannot be read, or a new one not be written.
    #[error("a step of the job `{number}` cannot be read or written: {source}")]
    Unreadable {
        /// The job.
        number: String,
        /// Why not.
        source: serde_json::Error,
    },
}

fn next(allowed: &[JobStep]) -> String {
    if allowed.is_empty() {
        return "nothing more is done with it".to_owned();
    }
    let words: Vec<&str> = allowed.iter().map(|step| step.word()).collect();
    format!("it can take {}", words.join(", "))
}

impl JobError {
    /// A value that is wrong.
    pub(crate) fn bad(pointer: impl Into<String>, detail: impl Into<String>) -> Self {
        Self::Stock(StockError::bad(pointer, detail))
    }
}
