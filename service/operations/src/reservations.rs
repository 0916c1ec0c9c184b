//! Reservations of what lies on the shelf: made for a job, listed, given back.

use catalogue::{Code, Mark, PartKey, Quantity};
use chrono::{DateTime, TimeDelta, Utc};
use resolver::job_state::JobState;
use serde::{Deserialize, Serialize};
use store::{NewReservations, Reservation, ReservationEnd, ReservationFilter, ReservationLine, StoreError};
use utoipa::ToSchema;

use crate::listed::Listed;
use crate::shop::Shop;
use crate::stock_error::StockError;
use crate::stock_words::{code, mark, part, said};

/// Most lines that are reserved together.
const LINES_MAX: usize = 500;
/// Longest time that a reservation may be asked to hold, in hours: two years.
const HOURS_MAX: u32 = 17_520;

/// What is to be reserved: all of it or nothing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PartsToReserve {
    /// The job.
    #[schema(max_length = 80, example = "J-000001")]
    pub job: String,
    /// Who reserves.
    #[schema(min_length = 1, max_length = 400, example = "Ruth")]
    pub by: String,
    /// Hours after which the reservation ends by itself; left out: it holds until it is issued or given back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false, minimum = 1, maximum = 17520)]
    pub hold_hours: Option<u32>,
    /// The lines.
    #[schema(min_items = 1, max_items = 500)]
    pub lines: Vec<PartToReserve>,
}

/// One thing to reserve.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PartToReserve {
    /// The part: MAKER/NUMBER, or the number alone.
    #[schema(max_length = 160)]
    pub part: String,
    /// How many.
    pub quantity: Quantity,
    /// The bin; left out: whichever bins have it, by their codes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false, max_length = 80)]
    pub bin: Option<String>,
    /// The mark etched on a matched set; left out: any.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false, max_length = 80)]
    pub mark: Option<String>,
}

/// How a reservation stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ReservationState {
    /// It holds.
    Live,
    /// Its pieces went into the job.
    Issued,
    /// Somebody gave it back.
    Released,
    /// Its time was over.
    Expired,
}

/// Pieces that are spoken for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ReservationSheet {
    /// Its number.
    #[schema(example = "RS-000001")]
    pub number: String,
    /// The job.
    #[schema(example = "J-000001")]
    pub job: String,
    /// How it stands.
    pub state: ReservationState,
    /// The part.
    pub part: PartKey,
    /// The bin.
    pub bin: Code,
    /// The mark etched on a matched set; empty: none.
    pub mark: Mark,
    /// How many were reserved.
    pub quantity: Quantity,
    /// How many still are.
    pub open: Quantity,
    /// Who reserved.
    #[schema(example = "Ruth")]
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
    /// When it ends by itself.
    pub expires_at: Option<DateTime<Utc>>,
    /// When it ended.
    pub ended_at: Option<DateTime<Utc>>,
    /// Who ended it.
    pub ended_by: Option<String>,
}

/// Reserves what lies free on the shelf.
pub async fn reserve_parts(shop: &Shop, asked: &PartsToReserve) -> Result<Vec<ReservationSheet>, StockError> {
    if asked.lines.is_empty() || asked.lines.len() > LINES_MAX {
        return Err(StockError::bad("/lines", format!("give 1 to {LINES_MAX} lines")));
    }
    if asked.hold_hours.is_some_and(|hours| !(1..=HOURS_MAX).contains(&hours)) {
        return Err(StockError::bad("/hold_hours", format!("give 1 to {HOURS_MAX} hours")));
    }
    let mut lines = Vec::new();
    for (at, line) in asked.lines.iter().enumerate() {
        let pointer = |field: &str| format!("/lines/{at}/{field}");
        if line.quantity <= Quantity::ZERO {
            return Err(StockError::bad(pointer("quantity"), "the quantity must be above zero"));
        }
        let bin = line.bin.as_deref();
        lines.push(ReservationLine {
            part: part(shop, &line.part, &pointer("part")).await?,
            bin: bin.map(|written| code(written, "bin", &pointer("bin"))).transpose()?,
            mark: line.mark.as_deref().map(mark),
            quantity: line.quantity,
        });
    }
    let at = Utc::now();
    let wanted = NewReservations {
        job: open_job(shop, &asked.job).await?,
        by: said(&asked.by, "who reserves", "/by")?,
        at,
        expires_at: asked.hold_hours.map(|hours| at + TimeDelta::hours(i64::from(hours))),
        lines,
    };
    let made = shop.store().reserve(&wanted).await?;
    Ok(made.into_iter().map(reservation_sheet).collect())
}

/// The reservation of a number, as it stands now.
pub async fn show_reservation(shop: &Shop, number: &str) -> Result<ReservationSheet, StoreError> {
    let number = number.trim().to_uppercase();
    shop.store().release_expired(Utc::now()).await?;
    let found = shop.store().reservation(&number).await?;
    found.map(reservation_sheet).ok_or(StoreError::ReservationNotFound(number))
}

/// The number of a job that is not over yet.
async fn open_job(shop: &Shop, written: &str) -> Result<String, StockError> {
    let number = code(written, "job", "/job")?.to_string();
    let Some(job) = shop.store().job(&number).await? else {
        return Err(StockError::bad("/job", format!("there is no job `{number}`")));
    };
    match JobState::from_word(&job.state) {
        Some(state) if state.is_over() => Err(StockError::bad(
            "/job",
            format!("the job `{number}` is {state}: nothing more is reserved for it"),
        )),
        _ => Ok(number),
    }
}

/// Which reservations are wanted.
#[derive(Debug, Clone, Default)]
pub struct ReservationsAsked {
    /// Of this job.
    pub job: Option<String>,
    /// Of this part, as a person writes it.
    pub part: Option<String>,
    /// Those that have ended, too.
    pub ended: bool,
}

/// The reservations behind a number, the oldest first, at most so many.
pub async fn list_reservations(
    shop: &Shop,
    asked: &ReservationsAsked,
    after: Option<&str>,
    limit: u64,
) -> Result<Listed<ReservationSheet>, StockError> {
    let filter = ReservationFilter {
        job: asked.job.as_ref().map(|text| text.trim().to_uppercase()),
        part: match &asked.part {
            Some(written) => Some(part(shop, written, "/part").await?),
            None => None,
        },
        live: !asked.ended,
    };
    let found = shop.store().list_reservations(&filter, after, limit.saturating_add(1)).await?;
    let sheets = found.into_iter().map(reservation_sheet).collect();
    Ok(Listed::of(sheets, limit, |one: &ReservationSheet| one.number.clone()))
}

/// Gives a reservation back.
pub async fn release_reservation(
    shop: &Shop,
    number: &str,
    by: &str,
) -> Result<ReservationSheet, StockError> {
    let by = said(by, "who gives it back", "/by")?;
    let freed = shop.store().release(&number.trim().to_uppercase(), &by, Utc::now()).await?;
    Ok(reservation_sheet(freed))
}

fn reservation_sheet(reservation: Reservation) -> ReservationSheet {
    ReservationSheet {
        number: reservation.number,
        job: reservation.job,
        state: match reservation.ended {
            None => ReservationState::Live,
            Some(ReservationEnd::Issued) => ReservationState::Issued,
            Some(ReservationEnd::Released) => ReservationState::Released,
            Some(ReservationEnd::Expired) => ReservationState::Expired,
        },
        part: reservation.lot.part,
        bin: reservation.lot.bin,
        mark: reservation.lot.mark,
        quantity: reservation.quantity,
        open: reservation.open,
        by: reservation.by,
        at: reservation.at,
        expires_at: reservation.expires_at,
        ended_at: reservation.ended_at,
        ended_by: reservation.ended_by,
    }
}
