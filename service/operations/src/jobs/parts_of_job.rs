//! Parts that go into a job and come back, and the shims chosen for it.

use std::collections::BTreeSet;

use catalogue::{BenchKind, Code, Quantity};
use chrono::Utc;
use mechanics::shims::{ShimAdvice, choose_shims};
use resolver::job_state::JobStep;
use serde::{Deserialize, Serialize};
use store::{
    Booking, JobEffects, Lot, MovementFilter, MovementKind, Posting, PostingKind, Reservation,
    ReservationFilter,
};
use utoipa::ToSchema;

use super::change::{Planned, decided_answer};
use super::error::JobError;
use super::sheet::JobSheet;
use super::step::{Detail, PartLine, ShimsChosen};
use crate::rebuild_error::RebuildError;
use crate::shop::Shop;
use crate::stock_words::{code, mark, part, text};

/// Most lines of one step.
const LINES_MAX: usize = 500;
/// Most movements of a job that are read.
const MOVEMENTS_MAX: u64 = 100_000;

/// Pieces that go into a job, or come back: all of them or none.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PartsToMove {
    /// Who takes them or brings them back.
    #[schema(min_length = 1, max_length = 400, example = "Olaf")]
    pub by: String,
    /// The lines.
    #[schema(min_items = 1, max_items = 500)]
    pub lines: Vec<PartToMove>,
}

/// Pieces of one part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PartToMove {
    /// The unit; left out: the only one of the job.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false, max_length = 80)]
    pub unit: Option<String>,
    /// The position they are for; left out: none, such as oil.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false, max_length = 80)]
    pub position: Option<String>,
    /// The part: MAKER/NUMBER, or the number alone.
    #[schema(max_length = 160)]
    pub part: String,
    /// The bin.
    #[schema(max_length = 80)]
    pub bin: String,
    /// The mark etched on a matched set; left out: none.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    #[schema(required = false, max_length = 80)]
    pub mark: String,
    /// How many.
    pub quantity: Quantity,
    /// The maker's batch; left out: not known.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    #[schema(required = false, max_length = 400)]
    pub batch: String,
}

/// Reads the lines of a step; positions must be those of the decided requirement.
async fn lines(shop: &Shop, job: &JobSheet, asked: &PartsToMove) -> Result<Vec<PartLine>, JobError> {
    if asked.lines.is_empty() || asked.lines.len() > LINES_MAX {
        return Err(JobError::bad("/lines", format!("give 1 to {LINES_MAX} lines")));
    }
    let (_, answer) = match &job.decision {
        Some(_) => decided_answer(shop, job).await.map(|(quote, answer)| (quote, Some(answer)))?,
        None => (String::new(), None),
    };
    let mut lines = Vec::new();
    for (at, line) in asked.lines.iter().enumerate() {
        let pointer = |field: &str| format!("/lines/{at}/{field}");
        let unit = job.unit_named(line.unit.as_deref(), &pointer("unit"))?;
        let position = line.position.as_deref();
        let position = position.map(|text| code(text, "position", &pointer("position"))).transpose()?;
        if let (Some(position), Some(answer)) = (&position, &answer) {
            let known: BTreeSet<&Code> = answer
                .units
                .iter()
                .filter(|of| of.unit == unit)
                .flat_map(|of| of.lines.iter().filter_map(|line| line.position.as_ref()))
                .collect();
            if !known.contains(position) {
                let detail = format!("`{position}` is no position of the job's unit {unit}");
                return Err(JobError::bad(pointer("position"), detail));
            }
        }
        if line.quantity <= Quantity::ZERO {
            return Err(JobError::bad(pointer("quantity"), "the quantity must be above zero"));
        }
        lines.push(PartLine {
            unit: Some(unit),
            position,
            part: part(shop, &line.part, &pointer("part")).await?,
            bin: code(&line.bin, "bin", &pointer("bin"))?,
            mark: mark(&text(&line.mark, "the mark", &pointer("mark"))?),
            quantity: line.quantity,
            batch: text(&line.batch, "the batch", &pointer("batch"))?,
        });
    }
    Ok(lines)
}

fn posting(line: &PartLine, kind: PostingKind) -> Posting {
    let lot = Lot { part: line.part.clone(), bin: line.bin.clone(), mark: line.mark.clone() };
    let reason = line.position.as_ref().map_or(String::new(), ToString::to_string);
    Posting { lot, kind, batch: line.batch.clone(), reason }
}

fn booking(job: &JobSheet, by: &str, postings: Vec<Posting>) -> JobEffects {
    let booking = Booking { by: by.to_owned(), at: Utc::now(), paper: Some(job.number.clone()), postings };
    JobEffects { booking: Some(booking), as_built: Vec::new() }
}

/// Parts go into the job; what is reserved for it is used first.
pub(crate) async fn issue(
    shop: &Shop,
    job: &JobSheet,
    asked: &PartsToMove,
    by: &str,
) -> Result<Planned, JobError> {
    let lines = lines(shop, job, asked).await?;
    let postings = lines.iter().map(|line| posting(line, PostingKind::Issue { quantity: line.quantity }));
    let effects = booking(job, by, postings.collect());
    Ok(Planned { step: JobStep::Issue, detail: Detail::Issue { lines }, effects })
}

/// Parts come back from the job, at the value they were issued at; no more than went in.
pub(crate) async fn take_back(
    shop: &Shop,
    job: &JobSheet,
    asked: &PartsToMove,
    by: &str,
) -> Result<Planned, JobError> {
    let lines = lines(shop, job, asked).await?;
    let filter = MovementFilter { paper: Some(job.number.clone()), ..MovementFilter::default() };
    let booked = shop.store().find_movements(&filter, 0, MOVEMENTS_MAX).await?;
    let mut left = job.issued.clone();
    let mut postings = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        let same = |other: &&mut PartLine| {
            (&other.unit, &other.position, &other.part, &other.mark, &other.batch)
                == (&line.unit, &line.position, &line.part, &line.mark, &line.batch)
        };
        let mut wanted = line.quantity;
        for issued in left.iter_mut().filter(same) {
            let taken = wanted.min(issued.quantity);
            issued.quantity = issued.quantity - taken;
            wanted = wanted - taken;
        }
        if wanted > Quantity::ZERO {
            let in_job = line.quantity - wanted;
            let place = line.position.as_ref().map_or("no position".to_owned(), ToString::to_string);
            let detail = format!(
                "{} × {} are to come back from {place}, but {in_job} of that mark and batch were issued for it",
                line.quantity, line.part
            );
            return Err(JobError::bad(format!("/lines/{at}/quantity"), detail));
        }
        let issued = booked.iter().rev().find(|movement| {
            movement.kind == MovementKind::Issue && movement.part == line.part && movement.mark == line.mark
        });
        let value = issued.map(|movement| movement.carrying_value);
        postings.push(posting(line, PostingKind::Return { quantity: line.quantity, value }));
    }
    let effects = booking(job, by, postings);
    Ok(Planned { step: JobStep::Return, detail: Detail::Return { lines }, effects })
}

/// What is reserved for a job and still open.
pub(crate) async fn reserved(shop: &Shop, job: &str) -> Result<Vec<Reservation>, JobError> {
    let filter = ReservationFilter { job: Some(job.to_owned()), part: None, live: true };
    Ok(shop.store().list_reservations(&filter, None, MOVEMENTS_MAX).await?)
}

/// What shims are chosen from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ShimsToChoose {
    /// Who chooses.
    #[schema(min_length = 1, max_length = 400, example = "Olaf")]
    pub by: String,
    /// The unit; left out: the only one of the job.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false, max_length = 80)]
    pub unit: Option<String>,
    /// Where they go.
    #[schema(max_length = 80)]
    pub position: String,
    /// The thickness that the measurements ask for.
    pub wanted_mm: f64,
    /// How far off it may be.
    pub tolerance_mm: f64,
    /// The pieces in the box; left out: two of each thickness of the position's shim series.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false, max_items = 200)]
    pub shims_mm: Vec<f64>,
}

/// Chooses shims exactly. A choice that misses its tolerance is not kept: what to do is said instead.
pub(crate) async fn choose(shop: &Shop, job: &JobSheet, asked: &ShimsToChoose) -> Result<Planned, JobError> {
    let unit = job.unit_named(asked.unit.as_deref(), "/unit")?;
    let position = code(&asked.position, "position", "/position")?;
    let structure = shop.store().revisions().await?.structure;
    let snapshot = shop.snapshots().get(shop.store(), std::slice::from_ref(&unit), structure).await;
    let snapshot = snapshot.map_err(RebuildError::from)?;
    if !snapshot.positions.iter().any(|row| row.unit == unit && row.position == position) {
        return Err(JobError::bad("/position", format!("`{position}` is no position of {unit}")));
    }
    let mut shims = asked.shims_mm.clone();
    if shims.is_empty() {
        let series = snapshot
            .bench_values
            .iter()
            .find(|row| row.unit == unit && row.position == position && row.kind == BenchKind::ShimSeries);
        let series = series.and_then(|row| Some((row.minimum?, row.maximum?, row.step?)));
        let Some((least, most, step)) = series else {
            let detail = format!("{unit} has no shim series at `{position}`; say which shims are in the box");
            return Err(JobError::bad("/shims_mm", detail));
        };
        let count = ((most - least) / step).round().clamp(0.0, 99.0) as usize;
        shims = (0..=count).flat_map(|at| [least + step * at as f64; 2]).collect();
    }
    let choice = choose_shims(&shims, asked.wanted_mm, asked.tolerance_mm, &[])
        .map_err(|bad| JobError::bad(format!("/{}", bad.field()), bad.to_string()))?;
    if choice.advice != ShimAdvice::Reached {
        return Err(JobError::bad("/wanted_mm", missed(&choice.advice, choice.total_mm)));
    }
    let chosen = ShimsChosen {
        unit,
        position,
        wanted_mm: asked.wanted_mm,
        tolerance_mm: asked.tolerance_mm,
        pieces_mm: choice.pieces.iter().filter_map(|at| shims.get(*at).copied()).collect(),
        total_mm: choice.total_mm,
        error_mm: choice.error_mm,
    };
    Ok(Planned::plain(JobStep::Shim, Detail::Shim { choice: chosen }))
}

fn missed(advice: &ShimAdvice, total_mm: f64) -> String {
    let nearest = format!("the nearest that the box gives is {total_mm:.3} mm");
    match advice {
        ShimAdvice::Reached => nearest,
        ShimAdvice::RepeatMeasurement { .. } => format!("{nearest}: repeat the measurement"),
        ShimAdvice::BoxTooThin { lacking_mm } => format!("all shims together lack {lacking_mm:.3} mm"),
        ShimAdvice::WantedBelowNought => {
            "below nought: measure again with a thicker trial shim or another spacer".to_owned()
        }
        ShimAdvice::PieceLacking { thickness_mm } => {
            format!("{nearest}: a piece of {thickness_mm:.3} mm is lacking")
        }
    }
}
