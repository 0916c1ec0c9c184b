//! Booking a count of the shelf.

use catalogue::{Code, Mark, PartKey};
use sea_orm::ConnectionTrait;

use super::Movement;
use super::book::book;
use super::posting::{Booking, Lot};
use crate::error::StoreError;
use crate::outbox::Outbox;
use crate::select::statement;
use crate::store::Store;

/// What came of a count.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CountBooked {
    /// Its differences are booked.
    Booked(Vec<Movement>),
    /// A lot was adjusted after the sheet was printed, so that its difference is not known any more. Nothing is booked.
    AdjustedSince(Lot),
}

impl Store {
    /// Books the differences between a count and what the ledger held after a movement: all of them or none.
    ///
    /// A difference is added to what lies there now, so what moved since the sheet was printed stays as it was booked.
    ///
    /// # Errors
    /// As for [`Store::book`].
    pub async fn book_count(&self, booking: &Booking, printed_at: i64) -> Result<CountBooked, StoreError> {
        self.release_expired(booking.at).await?;
        let transaction = self.begin_writing().await?;
        let mut outbox = Outbox::default();
        let movements = book(&transaction, booking, &mut outbox).await?;
        let before = movements.first().map_or(i64::MAX, |movement| movement.sequence);
        let sql = "SELECT 1 FROM movements WHERE seq > $1 AND seq < $2 AND kind = 'adjust' \
                   AND part = $3 AND bin = $4 AND mark = $5 LIMIT 1";
        // The lots are held by now: nobody adjusts them between this and the end.
        for posting in &booking.postings {
            let Lot { part, bin, mark } = &posting.lot;
            let values = vec![
                printed_at.into(),
                before.into(),
                part.as_str().into(),
                bin.as_str().into(),
                mark.0.as_str().into(),
            ];
            if transaction.query_one_raw(statement(&transaction, sql.to_owned(), values)).await?.is_some() {
                return Ok(CountBooked::AdjustedSince(posting.lot.clone()));
            }
        }
        self.finish(transaction, outbox).await?;
        Ok(CountBooked::Booked(movements))
    }

    /// The lots in which anything moved after a movement, by part, bin and mark.
    pub async fn lots_moved_since(&self, sequence: i64) -> Result<Vec<Lot>, StoreError> {
        let sql = "SELECT DISTINCT part, bin, mark FROM movements WHERE seq > $1 ORDER BY part, bin, mark";
        let rows = self.db.query_all_raw(statement(&self.db, sql.to_owned(), vec![sequence.into()])).await?;
        let lot = |row: &sea_orm::QueryResult| {
            Ok(Lot {
                part: PartKey::from_stored(row.try_get_by_index::<String>(0)?),
                bin: Code::from_stored(row.try_get_by_index::<String>(1)?),
                mark: Mark(row.try_get_by_index(2)?),
            })
        };
        rows.iter().map(lot).collect()
    }
}
