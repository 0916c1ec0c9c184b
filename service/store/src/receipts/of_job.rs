//! What was received for a job.

use catalogue::{Code, Mark, Money, PartKey, Quantity};
use sea_orm::ConnectionTrait;

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
    /// What was booked of the order lines that are for a job, by part, bin and mark.
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
        let piece = |row: &sea_orm::QueryResult| {
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
        };
        rows.iter().map(piece).collect()
    }
}
