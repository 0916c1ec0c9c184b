//! What was received for a job.

use std::collections::BTreeMap;

use catalogue::{Code, Mark, Money, PartKey, Quantity};
use sea_orm::{ConnectionTrait, QueryResult};

use crate::error::StoreError;
use crate::ledger::Lot;
use crate::select::statement;
use crate::store::Store;

/// Pieces that were booked for a job's order lines, taken-back receipts apart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobPiece {
    /// Where they went.
    pub lot: Lot,
    /// The maker's batch; empty: not known.
    pub batch: String,
    /// What the order line was for: the part, or the kit in whose box it lay.
    pub ordered: PartKey,
    /// The part that was ordered or lay in the kit's list, for which they stand; `None`: the line was changed since.
    pub stands_for: Option<PartKey>,
    /// The option group of the kit's list.
    pub option_group: Option<Code>,
    /// How many were booked.
    pub quantity: Quantity,
    /// What each is carried at.
    pub unit_value: Money,
}

impl Store {
    /// What was booked of the order lines that are for a job, by part, bin and mark; of a line that serves several, as much
    /// as is the job's when what came is dealt out in the order in which they stand.
    pub async fn pieces_for_job(&self, job: &str) -> Result<Vec<JobPiece>, StoreError> {
        let sql = "SELECT p.part, p.bin, p.mark, p.batch, l.part, c.option_group, p.unit_value, c.part, \
                   CAST(SUM(p.booked) AS bigint) \
                   FROM order_lines l \
                   JOIN receipt_pieces p ON p.order_number = l.number AND p.line = l.line \
                   LEFT JOIN order_contents c \
                   ON c.number = p.order_number AND c.line = p.line AND c.content = p.content \
                   WHERE l.job = $1 AND p.part IS NOT NULL AND p.bin IS NOT NULL \
                   GROUP BY p.part, p.bin, p.mark, p.batch, l.part, c.option_group, p.unit_value, c.part \
                   HAVING SUM(p.booked) > 0 \
                   ORDER BY p.part, p.bin, p.mark, p.batch, l.part, c.option_group, p.unit_value, c.part";
        let rows = self.db.query_all_raw(statement(&self.db, sql.to_owned(), vec![job.into()])).await?;
        let mut pieces = rows.iter().map(piece_of).collect::<Result<Vec<_>, _>>()?;
        pieces.extend(self.shared_pieces(job).await?);
        Ok(pieces)
    }

    async fn shared_pieces(&self, job: &str) -> Result<Vec<JobPiece>, StoreError> {
        let mut windows = self.windows(job).await?;
        if windows.is_empty() {
            return Ok(Vec::new());
        }
        let sql = "SELECT p.part, p.bin, p.mark, p.batch, l.part, c.option_group, p.unit_value, c.part, \
                   CAST(SUM(p.booked) AS bigint), CAST(SUM(p.stands_for) AS bigint), p.order_number, p.line, p.content \
                   FROM order_lines l \
                   JOIN receipt_pieces p ON p.order_number = l.number AND p.line = l.line \
                   LEFT JOIN order_contents c \
                   ON c.number = p.order_number AND c.line = p.line AND c.content = p.content \
                   WHERE l.job IS NULL AND p.part IS NOT NULL AND p.bin IS NOT NULL AND p.content IS NOT NULL \
                   AND EXISTS (SELECT 1 FROM order_shares s \
                   WHERE s.number = l.number AND s.line = l.line AND s.job = $1) \
                   GROUP BY p.part, p.bin, p.mark, p.batch, l.part, c.option_group, p.unit_value, c.part, \
                   p.order_number, p.line, p.content HAVING SUM(p.booked) > 0 \
                   ORDER BY p.order_number, p.line, p.content, MIN(p.receipt), MIN(p.piece), p.part, p.bin, p.mark, \
                   p.batch, p.unit_value";
        let rows = self.db.query_all_raw(statement(&self.db, sql.to_owned(), vec![job.into()])).await?;
        let mut pieces = Vec::new();
        for row in &rows {
            let place: Place =
                (row.try_get_by_index(10)?, row.try_get_by_index(11)?, row.try_get_by_index(12)?);
            let stands_for = Quantity::from_raw(row.try_get_by_index(9)?);
            let Some(window) = windows.get_mut(&place) else { continue };
            let mut piece = piece_of(row)?;
            piece.quantity = window.take(piece.quantity, stands_for);
            if piece.quantity > Quantity::ZERO {
                pieces.push(piece);
            }
        }
        Ok(pieces)
    }

    /// By order, line and content, which of the pieces that come are a job's: so many behind so many.
    async fn windows(&self, job: &str) -> Result<BTreeMap<Place, Window>, StoreError> {
        let sql = "SELECT s.number, s.line, s.content, s.quantity, s.job FROM order_shares s \
                   WHERE s.job IS NOT NULL AND EXISTS (SELECT 1 FROM order_shares o \
                   WHERE o.number = s.number AND o.line = s.line AND o.job = $1) \
                   ORDER BY s.number, s.line, s.share";
        let rows = self.db.query_all_raw(statement(&self.db, sql.to_owned(), vec![job.into()])).await?;
        let mut windows: BTreeMap<Place, Window> = BTreeMap::new();
        for row in rows {
            let place: Place = (row.try_get_by_index(0)?, row.try_get_by_index(1)?, row.try_get_by_index(2)?);
            let quantity = Quantity::from_raw(row.try_get_by_index(3)?);
            let parts = &mut windows.entry(place).or_default().parts;
            parts.push((quantity, row.try_get_by_index::<String>(4)? == job));
        }
        Ok(windows)
    }
}

/// Order, line and content.
type Place = (String, i64, i64);

/// The shares of a content in their order, each with whether it is the job's; what has come is counted off.
#[derive(Debug, Default)]
struct Window {
    parts: Vec<(Quantity, bool)>,
}

impl Window {
    /// Of pieces that came, which stand for so many of what was ordered: those that are the job's.
    fn take(&mut self, pieces: Quantity, stands_for: Quantity) -> Quantity {
        let (mut left, mut own) = (stands_for, Quantity::ZERO);
        for (open, is_own) in &mut self.parts {
            let taken = left.min(*open);
            *open = *open - taken;
            left = left - taken;
            if *is_own {
                own += taken;
            }
        }
        if stands_for <= Quantity::ZERO {
            return Quantity::ZERO;
        }
        let share = i128::from(pieces.raw()) * i128::from(own.raw()) / i128::from(stands_for.raw());
        Quantity::from_raw(i64::try_from(share).unwrap_or(0))
    }
}

fn piece_of(row: &QueryResult) -> Result<JobPiece, StoreError> {
    Ok(JobPiece {
        lot: Lot {
            part: PartKey::from_stored(row.try_get_by_index::<String>(0)?),
            bin: Code::from_stored(row.try_get_by_index::<String>(1)?),
            mark: Mark(row.try_get_by_index(2)?),
        },
        batch: row.try_get_by_index(3)?,
        ordered: PartKey::from_stored(row.try_get_by_index::<String>(4)?),
        option_group: row.try_get_by_index::<Option<String>>(5)?.map(Code::from_stored),
        unit_value: Money::from_raw(row.try_get_by_index(6)?),
        stands_for: row.try_get_by_index::<Option<String>>(7)?.map(PartKey::from_stored),
        quantity: Quantity::from_raw(row.try_get_by_index(8)?),
    })
}
