//! The next step of a job.

use catalogue::Money;
use chrono::Utc;
use resolver::Answer;
use resolver::job_state::JobStep;
use serde::{Deserialize, Serialize};
use store::{Booking, JobEffects, NewJobStep, StoreError};
use utoipa::ToSchema;

use super::error::JobError;
use super::final_inspection::{FinalInspection, inspect};
use super::findings::{FindingsToAdd, find};
use super::open::{below, by_code, written};
use super::parts_of_job::{PartsToMove, ShimsToChoose, choose, issue, take_back};
use super::sheet::{JobSheet, show_job};
use super::step::Detail;
use crate::asked::Asked;
use crate::quote_rebuild::{Rebuild, gather, in_asked_words, solve};
use crate::shop::Shop;
use crate::show_quote::stored;
use crate::stock_words::{code, said, text};
use crate::store_quote::keep;

/// A plain step of a job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StepToTake {
    /// What is done.
    pub step: PlainStep,
    /// Who does it.
    #[schema(min_length = 1, max_length = 400, example = "Ruth")]
    pub by: String,
    /// What is noted; why, where the job is cancelled.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    #[schema(required = false, max_length = 400)]
    pub note: String,
    /// With `decide`: the question as it is decided, without findings; left out: as before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub request: Option<Asked>,
    /// With `approve`: the price agreed to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub price: Option<Money>,
    /// With `approve`: who agreed for the customer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false, max_length = 400)]
    pub approved_by: Option<String>,
    /// With `close`: the bin into which the surplus of its kits goes; left out: it stays where it was received.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false, max_length = 80)]
    pub surplus_bin: Option<String>,
}

/// A step that needs no list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum PlainStep {
    /// An estimate is made and stored as a quote.
    Estimate,
    /// The unit is taken apart; what was decided and approved falls away.
    Strip,
    /// What is kept, renewed and upgraded is settled and stored as a quote.
    Decide,
    /// The customer agrees to a price.
    Approve,
    /// The build begins.
    Build,
    /// What is inside is written down.
    Close,
    /// It comes to nothing; what is reserved is given back.
    Cancel,
}

/// What is done with a job.
#[derive(Debug, Clone, PartialEq)]
pub enum JobChange {
    /// A plain step.
    Plain(StepToTake),
    /// Inspection finds something.
    Find(FindingsToAdd),
    /// Parts go into the job.
    Issue(PartsToMove),
    /// Parts come back.
    Return(PartsToMove),
    /// Shims are chosen.
    Shim(ShimsToChoose),
    /// The final inspection.
    Inspect(FinalInspection),
}

/// A step that is ready to be kept.
pub(crate) struct Planned {
    pub(crate) step: JobStep,
    pub(crate) detail: Detail,
    pub(crate) effects: JobEffects,
}

impl Planned {
    pub(crate) fn plain(step: JobStep, detail: Detail) -> Self {
        Self { step, detail, effects: JobEffects::default() }
    }
}

/// Takes the next step, if the job still stands as it was when the step was decided on.
pub async fn change_job(
    shop: &Shop,
    number: &str,
    change: &JobChange,
    still_holds: impl FnOnce(&JobSheet) -> bool,
) -> Result<JobSheet, JobError> {
    let job = show_job(shop, number).await?;
    if !still_holds(&job) {
        return Err(JobError::Stale);
    }
    let by = said(change.by(), "who does it", "/by")?;
    let step = change.step();
    let allowed = |step| {
        job.state.after(step).ok_or_else(|| JobError::NotAllowed {
            number: job.number.clone(),
            state: job.state,
            step,
            allowed: job.allowed.clone(),
        })
    };
    allowed(step)?;
    let planned = match change {
        JobChange::Plain(plain) => plan(shop, &job, plain).await?,
        JobChange::Find(findings) => find(shop, &job, findings).await?,
        JobChange::Issue(parts) => issue(shop, &job, parts, &by).await?,
        JobChange::Return(parts) => take_back(shop, &job, parts, &by).await?,
        JobChange::Shim(shims) => choose(shop, &job, shims).await?,
        JobChange::Inspect(inspection) => inspect(shop, &job, inspection).await?,
    };
    let state = allowed(planned.step)?;
    let at = Utc::now();
    let row = NewJobStep {
        kind: planned.step.word().to_owned(),
        state: state.word().to_owned(),
        by: by.clone(),
        at,
        detail: written(&planned.detail)?,
    };
    match shop.store().add_job_step(&job.number, job.revision, row, planned.effects).await {
        Ok(_) => {}
        Err(StoreError::JobChanged(_)) => return Err(JobError::Stale),
        Err(error) => return Err(error.into()),
    }
    if state.is_over() {
        shop.store().release_job(&job.number, &by, at).await?;
    }
    show_job(shop, &job.number).await
}

impl JobChange {
    fn by(&self) -> &str {
        match self {
            Self::Plain(plain) => &plain.by,
            Self::Find(findings) => &findings.by,
            Self::Issue(parts) | Self::Return(parts) => &parts.by,
            Self::Shim(shims) => &shims.by,
            Self::Inspect(inspection) => &inspection.by,
        }
    }

    fn step(&self) -> JobStep {
        match self {
            Self::Plain(plain) => match plain.step {
                PlainStep::Estimate => JobStep::Estimate,
                PlainStep::Strip => JobStep::Strip,
                PlainStep::Decide => JobStep::Decide,
                PlainStep::Approve => JobStep::Approve,
                PlainStep::Build => JobStep::Build,
                PlainStep::Close => JobStep::Close,
                PlainStep::Cancel => JobStep::Cancel,
            },
            Self::Find(_) => JobStep::Find,
            Self::Issue(_) => JobStep::Issue,
            Self::Return(_) => JobStep::Return,
            Self::Shim(_) => JobStep::Shim,
            Self::Inspect(_) => JobStep::Inspect,
        }
    }
}

async fn plan(shop: &Shop, job: &JobSheet, plain: &StepToTake) -> Result<Planned, JobError> {
    let note = text(&plain.note, "the note", "/note")?;
    let step = JobChange::Plain(plain.clone()).step();
    check_fields(plain)?;
    let detail = match plain.step {
        PlainStep::Estimate => Detail::Estimate { quote: quote_of(shop, job, &job.request).await? },
        PlainStep::Strip => Detail::Strip { note },
        PlainStep::Decide => {
            let request = match &plain.request {
                Some(asked) => Some(by_code(shop, asked, "/request").await?),
                None => None,
            };
            let mut decided = job.clone();
            if let Some(request) = &request {
                decided = job.asking(request)?;
            }
            Detail::Decide { quote: quote_of(shop, job, &decided.request).await?, request, note }
        }
        PlainStep::Approve => approval(shop, job, plain).await?,
        PlainStep::Build => Detail::Build { note },
        PlainStep::Close => return close(shop, job, plain, note).await,
        PlainStep::Cancel => {
            if let Some(line) = job.issued.first() {
                return Err(JobError::NotReady(format!(
                    "{} × {} are still in the job; take back what was issued first",
                    line.quantity, line.part
                )));
            }
            Detail::Cancel { reason: said(&note, "why it comes to nothing", "/note")? }
        }
    };
    Ok(Planned::plain(step, detail))
}

/// Writes down what is inside, and puts on the shelf what the job's kits brought too much.
async fn close(shop: &Shop, job: &JobSheet, plain: &StepToTake, note: String) -> Result<Planned, JobError> {
    let bin = plain.surplus_bin.as_deref();
    let bin = bin.map(|written| code(written, "bin", "/surplus_bin")).transpose()?;
    let as_built = super::as_built::rows_at_close(shop, job).await?;
    let (surplus, postings) = super::surplus::surplus(shop, job, bin.as_ref()).await?;
    let booking =
        Booking { by: plain.by.trim().to_owned(), at: Utc::now(), paper: Some(job.number.clone()), postings };
    let booking = Some(booking).filter(|booking| !booking.postings.is_empty());
    let effects = JobEffects { booking, as_built };
    Ok(Planned { step: JobStep::Close, detail: Detail::Close { note, surplus }, effects })
}

fn check_fields(plain: &StepToTake) -> Result<(), JobError> {
    if plain.request.is_some() && plain.step != PlainStep::Decide {
        return Err(JobError::bad("/request", "only a decision changes the question"));
    }
    if plain.surplus_bin.is_some() && plain.step != PlainStep::Close {
        return Err(JobError::bad("/surplus_bin", "surplus is put on the shelf when a job is closed"));
    }
    let approves = plain.step == PlainStep::Approve;
    for (given, pointer) in [(plain.price.is_some(), "/price"), (plain.approved_by.is_some(), "/approved_by")]
    {
        if given != approves {
            let detail = if approves {
                "an approval needs the price and who agreed for the customer"
            } else {
                "this goes with an approval alone"
            };
            return Err(JobError::bad(pointer, detail));
        }
    }
    Ok(())
}

async fn approval(shop: &Shop, job: &JobSheet, plain: &StepToTake) -> Result<Detail, JobError> {
    let price = plain.price.unwrap_or_default();
    if price < Money::ZERO {
        return Err(JobError::bad("/price", "the price must not be below zero"));
    }
    let approved_by = plain.approved_by.as_deref().unwrap_or_default();
    let approved_by = said(approved_by, "who agreed for the customer", "/approved_by")?;
    let (quote, answer) = decided_answer(shop, job).await?;
    Ok(Detail::Approve { price, currency: answer.price.currency.as_str().to_owned(), approved_by, quote })
}

/// The quote of the decision with its answer.
pub(crate) async fn decided_answer(shop: &Shop, job: &JobSheet) -> Result<(String, Answer), JobError> {
    let Some(number) = &job.decision else {
        return Err(JobError::NotReady(format!("nothing is decided for the job `{}` yet", job.number)));
    };
    let quote = stored(shop, number).await?;
    let unreadable = |source| JobError::Unreadable { number: job.number.clone(), source };
    Ok((quote.number, serde_json::from_str(&quote.answer).map_err(unreadable)?))
}

/// Answers a question of a job and keeps the answer as a quote.
async fn quote_of(shop: &Shop, job: &JobSheet, asked: &Asked) -> Result<String, JobError> {
    let rebuild = answer_of(shop, job, asked).await?;
    Ok(keep(shop, asked, &rebuild).await?)
}

/// Answers a question of a job as of today: what is reserved for it counts as free.
pub(crate) async fn answer_of(shop: &Shop, job: &JobSheet, asked: &Asked) -> Result<Rebuild, JobError> {
    let asked = Asked { as_of: None, ..asked.clone() };
    let (mut input, translated) = gather(shop, &asked).await.map_err(|error| below("/request", error))?;
    for own in super::parts_of_job::reserved(shop, &job.number).await? {
        let lot = input
            .stock
            .lots
            .iter_mut()
            .find(|lot| (&lot.part, &lot.bin, &lot.mark) == (&own.lot.part, &own.lot.bin, &own.lot.mark));
        if let Some(lot) = lot {
            lot.reserved = lot.reserved - own.open;
        }
    }
    let solved = solve(shop, input).await;
    solved.map_err(|error| below("/request", in_asked_words(&translated, error)))
}
