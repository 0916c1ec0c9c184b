//! The jobs, the oldest first.

use chrono::{DateTime, Utc};
use resolver::job_state::JobState;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::error::JobError;
use crate::listed::Listed;
use crate::shop::Shop;

/// A job in a list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct JobHead {
    /// Its running number.
    #[schema(example = "J-000001")]
    pub number: String,
    /// How far it is.
    pub state: JobState,
    /// When it was opened.
    pub opened_at: DateTime<Utc>,
    /// When its last step was.
    pub changed_at: DateTime<Utc>,
}

/// The jobs behind a number, at most so many; only those in a state, if one is named.
pub async fn list_jobs(
    shop: &Shop,
    state: Option<JobState>,
    after: Option<&str>,
    limit: u64,
) -> Result<Listed<JobHead>, JobError> {
    let state = state.map(JobState::word);
    let rows = shop.store().list_jobs(state, after, limit.saturating_add(1)).await?;
    let head = |row: store::JobRow| {
        let bad = || store::StoreError::BadRow { table: "jobs", column: "state".to_owned() };
        Ok::<_, JobError>(JobHead {
            state: JobState::from_word(&row.state).ok_or_else(bad)?,
            number: row.number,
            opened_at: row.opened_at,
            changed_at: row.changed_at,
        })
    };
    let heads = rows.into_iter().map(head).collect::<Result<Vec<_>, _>>()?;
    Ok(Listed::of(heads, limit, |head| head.number.clone()))
}
