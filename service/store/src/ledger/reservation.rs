//! Reservations: pieces on the shelf that are spoken for by a job.
//!
//! What is reserved stays on the shelf and in the balance; nobody but the job takes it. A reservation ends when its pieces
//! are issued, when it is released, or when its time is over: those whose time is over are released before anybody reads
//! or books, so that no clock needs to run.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::event::{Happened, ReservationEvent};
use catalogue::{Code, Mark, PartKey, Quantity};
use chrono::{DateTime, Utc};
use sea_orm::sea_query::Expr;
use sea_orm::{
    ActiveModelTrait, ActiveValue::Set, ColumnTrait, DatabaseTransaction, DeriveActiveEnum, EntityTrait,
    EnumIter, QueryFilter, QueryOrder, QuerySelect,
};

use super::balance_sheet::{Held, Shortage};
use super::lots::{lock_lots, lock_lots_of, write_lot};
use super::posting::Lot;
use crate::audit::Changed;
use crate::error::StoreError;
use crate::numbers::{kept, take_number};
use crate::outbox::Outbox;
use crate::store::Store;

/// How a reservation ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, EnumIter, DeriveActiveEnum)]
#[sea_orm(rs_type = "String", db_type = "Text")]
pub enum ReservationEnd {
    /// Somebody gave it back.
    #[sea_orm(string_value = "released")]
    Released,
    /// Its time was over.
    #[sea_orm(string_value = "expired")]
    Expired,
    /// Its pieces went into the job.
    #[sea_orm(string_value = "issued")]
    Issued,
}

/// Pieces that are spoken for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reservation {
    /// Its number, such as `RS-000001`.
    pub number: String,
    /// The job.
    pub job: String,
    /// The lot.
    pub lot: Lot,
    /// How many were reserved.
    pub quantity: Quantity,
    /// How many still are.
    pub open: Quantity,
    /// Who reserved.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
    /// When it ends by itself; `None`: never.
    pub expires_at: Option<DateTime<Utc>>,
    /// How it ended; `None`: it has not.
    pub ended: Option<ReservationEnd>,
    /// When it ended.
    pub ended_at: Option<DateTime<Utc>>,
    /// Who ended it; `None`: nobody, its time was over.
    pub ended_by: Option<String>,
}

/// One thing to reserve.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReservationLine {
    /// The part.
    pub part: PartKey,
    /// The bin; `None`: whichever bins have it, by their codes.
    pub bin: Option<Code>,
    /// The mark; `None`: any.
    pub mark: Option<Mark>,
    /// How many.
    pub quantity: Quantity,
}

/// What is to be reserved: all of it or nothing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewReservations {
    /// The job.
    pub job: String,
    /// Who reserves.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
    /// When they end by themselves; `None`: never.
    pub expires_at: Option<DateTime<Utc>>,
    /// The lines.
    pub lines: Vec<ReservationLine>,
}

/// Which reservations are wanted.
#[derive(Debug, Clone, Default)]
pub struct ReservationFilter {
    /// Of this job.
    pub job: Option<String>,
    /// Of this part.
    pub part: Option<PartKey>,
    /// Only those that have not ended.
    pub live: bool,
}

mod table {
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, Eq, DeriveEntityModel)]
    #[sea_orm(table_name = "reservations")]
    pub(super) struct Model {
        #[sea_orm(primary_key, auto_increment = false)]
        pub(super) number: String,
        pub(super) running: i64,
        pub(super) job: String,
        pub(super) bin: String,
        pub(super) part: String,
        pub(super) mark: String,
        pub(super) quantity: i64,
        pub(super) open: i64,
        pub(super) who: String,
        pub(super) at: DateTimeUtc,
        pub(super) expires_at: Option<DateTimeUtc>,
        pub(super) ended_at: Option<DateTimeUtc>,
        pub(super) ended: Option<super::ReservationEnd>,
        pub(super) ended_by: Option<String>,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(super) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

use table::Column;

impl Store {
    /// Reserves what lies free on the shelf: all lines or none.
    ///
    /// # Errors
    /// [`StoreError::NotAvailable`] for the first line of which not enough is free.
    pub async fn reserve(&self, wanted: &NewReservations) -> Result<Vec<Reservation>, StoreError> {
        self.release_expired(wanted.at).await?;
        let transaction = self.begin_writing().await?;
        let parts: BTreeSet<PartKey> = wanted.lines.iter().map(|line| line.part.clone()).collect();
        let mut lots = lock_lots_of(&transaction, &parts).await?;
        let mut picked = Vec::new();
        for (index, line) in wanted.lines.iter().enumerate() {
            picked.extend(pick(index, line, &mut lots)?);
        }
        let touched: BTreeSet<&Lot> = picked.iter().map(|(lot, _)| lot).collect();
        for (lot, held) in &lots {
            if touched.contains(lot) {
                write_lot(&transaction, lot, held).await?;
            }
        }
        let mut made = Vec::new();
        for (lot, quantity) in picked {
            made.push(insert(&transaction, wanted, lot, quantity).await?);
        }
        let mut outbox = Outbox::default();
        for reservation in &made {
            let Reservation { number, job, lot, open, .. } = reservation;
            let event = event_of(number, job, lot, *open, Some(&wanted.by));
            outbox.record(wanted.at, Happened::ReservationMade(event), vec![Changed::made("open", open)]);
        }
        self.finish(transaction, outbox).await?;
        Ok(made)
    }

    /// Gives reserved pieces back.
    ///
    /// # Errors
    /// [`StoreError::ReservationNotFound`], [`StoreError::ReservationEnded`].
    pub async fn release(
        &self,
        number: &str,
        by: &str,
        at: DateTime<Utc>,
    ) -> Result<Reservation, StoreError> {
        self.release_expired(at).await?;
        let Some(found) = self.reservation(number).await? else {
            return Err(StoreError::ReservationNotFound(number.to_owned()));
        };
        let transaction = self.begin_writing().await?;
        let mut outbox = Outbox::default();
        let ended = end(&transaction, &mut outbox, vec![found], Some(by), at).await?;
        self.finish(transaction, outbox).await?;
        let one = ended.into_iter().next();
        one.ok_or_else(|| StoreError::ReservationEnded(number.to_owned()))
    }

    /// Gives back all that is still reserved for a job.
    pub async fn release_job(
        &self,
        job: &str,
        by: &str,
        at: DateTime<Utc>,
    ) -> Result<Vec<Reservation>, StoreError> {
        let filter = ReservationFilter { job: Some(job.to_owned()), live: true, ..Default::default() };
        let found = self.list_reservations(&filter, None, u64::from(u32::MAX)).await?;
        let transaction = self.begin_writing().await?;
        let mut outbox = Outbox::default();
        let ended = end(&transaction, &mut outbox, found, Some(by), at).await?;
        self.finish(transaction, outbox).await?;
        Ok(ended)
    }

    /// Ends the reservations whose time is over, in a transaction of its own. Whoever reads or books goes through here
    /// first; where nothing has run out, it is one query of an index.
    pub async fn release_expired(&self, now: DateTime<Utc>) -> Result<(), StoreError> {
        let over = table::Entity::find()
            .filter(Column::EndedAt.is_null())
            .filter(Column::ExpiresAt.lte(kept(now)))
            .all(&self.db)
            .await?;
        if over.is_empty() {
            return Ok(());
        }
        let transaction = self.begin_writing().await?;
        let over = over.into_iter().map(reservation_of).collect();
        let mut outbox = Outbox::default();
        end(&transaction, &mut outbox, over, None, now).await?;
        self.finish_aside(transaction, outbox).await
    }

    /// The reservation of a number.
    pub async fn reservation(&self, number: &str) -> Result<Option<Reservation>, StoreError> {
        let row = table::Entity::find_by_id(number.to_owned()).one(&self.db).await?;
        Ok(row.map(reservation_of))
    }

    /// The reservations behind a number, the oldest first, at most so many. Behind a number that there is none of comes
    /// nothing.
    pub async fn list_reservations(
        &self,
        filter: &ReservationFilter,
        after: Option<&str>,
        limit: u64,
    ) -> Result<Vec<Reservation>, StoreError> {
        self.release_expired(Utc::now()).await?;
        let mut query = table::Entity::find().order_by_asc(Column::Running).limit(limit);
        if let Some(job) = &filter.job {
            query = query.filter(Column::Job.eq(job.as_str()));
        }
        if let Some(part) = &filter.part {
            query = query.filter(Column::Part.eq(part.as_str()));
        }
        if filter.live {
            query = query.filter(Column::EndedAt.is_null());
        }
        if let Some(after) = after {
            let Some(last) = table::Entity::find_by_id(after.to_owned()).one(&self.db).await? else {
                return Ok(Vec::new());
            };
            query = query.filter(Column::Running.gt(last.running));
        }
        Ok(query.all(&self.db).await?.into_iter().map(reservation_of).collect())
    }
}

/// Reserves a line in locked lots, by bin and mark.
fn pick(
    index: usize,
    line: &ReservationLine,
    lots: &mut BTreeMap<Lot, Held>,
) -> Result<Vec<(Lot, Quantity)>, StoreError> {
    if line.quantity <= Quantity::ZERO {
        let wrong = "its quantity must be above zero";
        return Err(StoreError::BadPosting { index, part: line.part.clone(), wrong });
    }
    let asked = |lot: &Lot| {
        lot.part == line.part
            && line.bin.as_ref().is_none_or(|bin| *bin == lot.bin)
            && line.mark.as_ref().is_none_or(|mark| *mark == lot.mark)
    };
    let mut shortage = Shortage {
        part: line.part.clone(),
        bin: line.bin.clone(),
        mark: line.mark.clone().unwrap_or_default(),
        wanted: line.quantity,
        balance: Quantity::ZERO,
        reserved: Quantity::ZERO,
    };
    let mut left = line.quantity;
    let mut picked = Vec::new();
    for (lot, held) in lots.iter_mut().filter(|(lot, _)| asked(lot)) {
        shortage.balance += held.quantity;
        shortage.reserved += held.reserved;
        let taken = left.min(held.quantity - held.reserved);
        if taken > Quantity::ZERO {
            held.reserved += taken;
            left = left - taken;
            picked.push((lot.clone(), taken));
        }
    }
    if left > Quantity::ZERO { Err(StoreError::NotAvailable(Box::new(shortage))) } else { Ok(picked) }
}

async fn insert(
    transaction: &DatabaseTransaction,
    wanted: &NewReservations,
    lot: Lot,
    quantity: Quantity,
) -> Result<Reservation, StoreError> {
    let running = take_number(transaction, "reservation").await?;
    let row = table::ActiveModel {
        number: Set(format!("RS-{running:06}")),
        running: Set(running),
        job: Set(wanted.job.clone()),
        bin: Set(lot.bin.to_string()),
        part: Set(lot.part.to_string()),
        mark: Set(lot.mark.0),
        quantity: Set(quantity.raw()),
        open: Set(quantity.raw()),
        who: Set(wanted.by.clone()),
        at: Set(kept(wanted.at)),
        expires_at: Set(wanted.expires_at.map(kept)),
        ended_at: Set(None),
        ended: Set(None),
        ended_by: Set(None),
    };
    Ok(reservation_of(row.insert(transaction).await?))
}

/// Ends reservations and frees their pieces: released by somebody, or, where nobody is named, because their time is over.
/// Those that have ended meanwhile are left out of what comes back.
async fn end(
    transaction: &DatabaseTransaction,
    outbox: &mut Outbox,
    reservations: Vec<Reservation>,
    by: Option<&str>,
    at: DateTime<Utc>,
) -> Result<Vec<Reservation>, StoreError> {
    let how = if by.is_some() { ReservationEnd::Released } else { ReservationEnd::Expired };
    let lots: BTreeSet<Lot> = reservations.iter().map(|reservation| reservation.lot.clone()).collect();
    let mut held = lock_lots(transaction, &lots, &BTreeSet::new()).await?;
    let mut ended = Vec::new();
    for reservation in reservations {
        // Read again now that nobody else changes what is reserved of its lot.
        let row = table::Entity::find_by_id(reservation.number).one(transaction).await?;
        let Some(row) = row.filter(|row| row.ended_at.is_none()) else { continue };
        table::Entity::update_many()
            .col_expr(Column::Open, Expr::value(0_i64))
            .col_expr(Column::Ended, Expr::value(how))
            .col_expr(Column::EndedAt, Expr::value(kept(at)))
            .col_expr(Column::EndedBy, Expr::value(by))
            .filter(Column::Number.eq(row.number.as_str()))
            .exec(transaction)
            .await?;
        if let Some(lot) = held.get_mut(&reservation.lot) {
            lot.reserved = lot.reserved - Quantity::from_raw(row.open);
        }
        let event = event_of(&row.number, &row.job, &reservation.lot, Quantity::ZERO, by);
        let happened = match by {
            Some(_) => Happened::ReservationReleased(event),
            None => Happened::ReservationExpired(event),
        };
        let open = Changed::new("open", Some(Quantity::from_raw(row.open)), Some(Quantity::ZERO));
        outbox.record(at, happened, vec![open]);
        let ended_by = by.map(str::to_owned);
        let row = table::Model { open: 0, ended: Some(how), ended_at: Some(kept(at)), ended_by, ..row };
        ended.push(reservation_of(row));
    }
    for (lot, held) in &held {
        write_lot(transaction, lot, held).await?;
    }
    Ok(ended)
}

/// What an event says of a reservation.
pub(super) fn event_of(
    number: &str,
    job: &str,
    lot: &Lot,
    open: Quantity,
    by: Option<&str>,
) -> ReservationEvent {
    ReservationEvent {
        reservation: number.to_owned(),
        job: job.to_owned(),
        part: lot.part.clone(),
        bin: lot.bin.clone(),
        mark: lot.mark.clone(),
        open,
        by: by.map(str::to_owned),
    }
}

fn reservation_of(row: table::Model) -> Reservation {
    Reservation {
        number: row.number,
        job: row.job,
        lot: Lot {
            part: PartKey::from_stored(row.part),
            bin: Code::from_stored(row.bin),
            mark: Mark(row.mark),
        },
        quantity: Quantity::from_raw(row.quantity),
        open: Quantity::from_raw(row.open),
        by: row.who,
        at: row.at,
        expires_at: row.expires_at,
        ended: row.ended,
        ended_at: row.ended_at,
        ended_by: row.ended_by,
    }
}
