//! The stock ledger: movements, only added to.
//!
//! Everything that moves pieces goes through [`book::book`]: it locks the lots, holds the postings against their balances
//! ([`balance_sheet`]), and adds the movements under running numbers without gaps. Only a count that is imported books
//! many thousand rows by sets in its own transaction (`import/count.rs`), under the same locks and numbers.

mod balance_sheet;
pub(crate) mod book;
mod count;
mod lots;
mod past_balance;
mod posting;
pub(crate) mod reservation;

use catalogue::{Code, Mark, Money, PartKey, Quantity};
use chrono::{DateTime, Utc};
use sea_orm::{ColumnTrait, DeriveActiveEnum, EntityTrait, EnumIter, QueryFilter, QueryOrder, QuerySelect};

use crate::error::StoreError;
use crate::store::Store;

pub use balance_sheet::Shortage;
pub use count::CountBooked;
pub use lots::LotFilter;
pub use past_balance::{AsOf, PastBalance};
pub use posting::{Booking, Lot, Posting, PostingKind};
pub use reservation::{NewReservations, Reservation, ReservationEnd, ReservationFilter, ReservationLine};

/// Why pieces moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, EnumIter, DeriveActiveEnum)]
#[sea_orm(rs_type = "String", db_type = "Text")]
pub enum MovementKind {
    /// They came from a supplier.
    #[sea_orm(string_value = "receive")]
    Receive,
    /// They went into a job.
    #[sea_orm(string_value = "issue")]
    Issue,
    /// They came back from a job.
    #[sea_orm(string_value = "return")]
    Return,
    /// A count found more or fewer, or another value.
    #[sea_orm(string_value = "adjust")]
    Adjust,
    /// They went to or came from another bin.
    #[sea_orm(string_value = "transfer")]
    Transfer,
    /// They were thrown away.
    #[sea_orm(string_value = "scrap")]
    Scrap,
}

/// A movement of the stock ledger.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Movement {
    /// Its running number: the ledger sequence.
    pub sequence: i64,
    /// The bin.
    pub bin: Code,
    /// The part.
    pub part: PartKey,
    /// The mark etched on a matched set.
    pub mark: Mark,
    /// Why pieces moved.
    pub kind: MovementKind,
    /// How many came; below zero: how many went.
    pub quantity: Quantity,
    /// Carrying value of one piece of the lot after it.
    pub carrying_value: Money,
    /// The reason in words.
    pub reason: String,
    /// When it was booked.
    pub at: DateTime<Utc>,
    /// The paper it was booked for.
    pub paper: Option<String>,
    /// Who booked it.
    pub who: String,
    /// The maker's batch of the pieces; empty: not known.
    pub batch: String,
}

/// Which movements are wanted.
#[derive(Debug, Clone, Default)]
pub struct MovementFilter {
    /// Of this part.
    pub part: Option<PartKey>,
    /// In this bin.
    pub bin: Option<Code>,
    /// Booked for this paper.
    pub paper: Option<String>,
    /// Of this batch.
    pub batch: Option<String>,
}

mod table {
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, Eq, DeriveEntityModel)]
    #[sea_orm(table_name = "movements")]
    pub(super) struct Model {
        #[sea_orm(primary_key, auto_increment = false)]
        pub(super) seq: i64,
        pub(super) bin: String,
        pub(super) part: String,
        pub(super) mark: String,
        pub(super) kind: super::MovementKind,
        pub(super) quantity: i64,
        pub(super) carrying_value: i64,
        pub(super) reason: String,
        pub(super) at: DateTimeUtc,
        pub(super) paper: Option<String>,
        pub(super) who: String,
        pub(super) batch: String,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(super) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

impl Store {
    /// The movements after a sequence number, the oldest first, at most so many.
    pub async fn list_movements(&self, after: i64, limit: u64) -> Result<Vec<Movement>, StoreError> {
        self.find_movements(&MovementFilter::default(), after, limit).await
    }

    /// The movements of a kind after a sequence number, the oldest first, at most so many.
    pub async fn find_movements(
        &self,
        filter: &MovementFilter,
        after: i64,
        limit: u64,
    ) -> Result<Vec<Movement>, StoreError> {
        use table::Column;
        let mut query =
            table::Entity::find().filter(Column::Seq.gt(after)).order_by_asc(Column::Seq).limit(limit);
        if let Some(part) = &filter.part {
            query = query.filter(Column::Part.eq(part.as_str()));
        }
        if let Some(bin) = &filter.bin {
            query = query.filter(Column::Bin.eq(bin.as_str()));
        }
        if let Some(paper) = &filter.paper {
            query = query.filter(Column::Paper.eq(paper.as_str()));
        }
        if let Some(batch) = &filter.batch {
            query = query.filter(Column::Batch.eq(batch.as_str()));
        }
        Ok(query.all(&self.db).await?.into_iter().map(movement_of).collect())
    }
}

fn movement_of(row: table::Model) -> Movement {
    Movement {
        sequence: row.seq,
        bin: Code::from_stored(row.bin),
        part: PartKey::from_stored(row.part),
        mark: Mark(row.mark),
        kind: row.kind,
        quantity: Quantity::from_raw(row.quantity),
        carrying_value: Money::from_raw(row.carrying_value),
        reason: row.reason,
        at: row.at,
        paper: row.paper,
        who: row.who,
        batch: row.batch,
    }
}
