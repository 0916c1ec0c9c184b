//! Reading receipts.

use std::collections::BTreeMap;

use catalogue::{Code, Gtin, Mark, Money, Part, PartKey, Quantity};
use sea_orm::{ConnectionTrait, QueryResult, Value};

use super::{Receipt, ReceiptEntry, ReceiptPiece};
use crate::error::StoreError;
use crate::select::{key_list, keys_in, rows, statement};
use crate::store::Store;

/// Which receipts are wanted.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ReceiptFilter {
    /// Counted against this order.
    pub order: Option<String>,
    /// Sent by this supplier.
    pub supplier: Option<Code>,
    /// Counted against an order with lines for this job.
    pub job: Option<String>,
}

/// Columns of a receipt in a list.
const ENTRY: &str = "r.number, r.order_number, r.kit, r.supplier, r.counted_at, r.counted_by, r.reverses, \
     (SELECT b.number FROM receipts b WHERE b.reverses = r.number), \
     (SELECT c.number FROM claims c WHERE c.receipt = r.number)";

impl Store {
    /// The receipt of a number.
    pub async fn receipt(&self, number: &str) -> Result<Option<Receipt>, StoreError> {
        read_receipt(&self.db, number).await
    }

    /// The receipts behind a number, the oldest first, at most so many. Behind a number that there is none of comes
    /// nothing.
    pub async fn list_receipts(
        &self,
        filter: &ReceiptFilter,
        after: Option<&str>,
        limit: u64,
    ) -> Result<Vec<ReceiptEntry>, StoreError> {
        let mut sql = format!("SELECT {ENTRY} FROM receipts r WHERE TRUE");
        let mut values: Vec<Value> = Vec::new();
        let mut narrow = |condition: &str, value: &str| {
            values.push(value.into());
            sql.push_str(&format!(" AND {}", condition.replace('?', &format!("${}", values.len()))));
        };
        if let Some(order) = &filter.order {
            narrow("r.order_number = ?", order);
        }
        if let Some(supplier) = &filter.supplier {
            narrow("r.supplier = ?", supplier.as_str());
        }
        if let Some(job) = &filter.job {
            narrow(
                "(r.order_number IN (SELECT l.number FROM order_lines l WHERE l.job = ?) \
                 OR r.order_number IN (SELECT s.number FROM order_shares s WHERE s.job = ?))",
                job,
            );
        }
        if let Some(after) = after {
            narrow("r.running > (SELECT a.running FROM receipts a WHERE a.number = ?)", after);
        }
        sql.push_str(&format!(" ORDER BY r.running LIMIT {limit}"));
        let rows = self.db.query_all_raw(statement(&self.db, sql, values)).await?;
        rows.iter().map(entry_of).collect()
    }

    /// How much of an order has come, taken-back receipts apart: by line and content what is stood for.
    pub async fn received_of_order(&self, order: &str) -> Result<BTreeMap<(i64, i64), Quantity>, StoreError> {
        let sql = "SELECT line, content, CAST(SUM(stands_for) AS bigint) FROM receipt_pieces \
                   WHERE order_number = $1 AND line IS NOT NULL GROUP BY line, content";
        let rows = self.db.query_all_raw(statement(&self.db, sql.to_owned(), vec![order.into()])).await?;
        let mut received = BTreeMap::new();
        for row in rows {
            let place = (row.try_get_by_index(0)?, row.try_get_by_index(1)?);
            received.insert(place, Quantity::from_raw(row.try_get_by_index(2)?));
        }
        Ok(received)
    }

    /// The bin in which most of each part lies, or lay.
    pub async fn usual_bins(&self, parts: &[PartKey]) -> Result<BTreeMap<PartKey, Code>, StoreError> {
        let sql = format!(
            "SELECT t.part, t.bin FROM stock t JOIN {} k ON t.part = k.\"key\" ORDER BY t.part, t.quantity, t.bin DESC",
            keys_in(self.kind(), "$1")
        );
        let list = key_list(parts.iter().map(PartKey::as_str));
        let rows = self.db.query_all_raw(statement(&self.db, sql, vec![list])).await?;
        let mut bins = BTreeMap::new();
        for row in rows {
            // The last of a part stands: the bin with most of it.
            let part = PartKey::from_stored(row.try_get_by_index::<String>(0)?);
            bins.insert(part, Code::from_stored(row.try_get_by_index::<String>(1)?));
        }
        Ok(bins)
    }

    /// Which of some bins there are.
    pub async fn known_bins(&self, bins: &[Code]) -> Result<Vec<Code>, StoreError> {
        let sql =
            format!("SELECT t.bin FROM bins t JOIN {} k ON t.bin = k.\"key\"", keys_in(self.kind(), "$1"));
        let list = key_list(bins.iter().map(Code::as_str));
        let rows = self.db.query_all_raw(statement(&self.db, sql, vec![list])).await?;
        let codes = rows.iter().map(|row| row.try_get_by_index::<String>(0).map(Code::from_stored));
        Ok(codes.collect::<Result<_, _>>()?)
    }

    /// The parts with a GTIN.
    pub async fn parts_by_gtin(&self, gtin: &Gtin) -> Result<Vec<Part>, StoreError> {
        rows(&self.db, "WHERE t.gtin = $1", vec![gtin.as_str().into()]).await
    }
}

fn entry_of(row: &QueryResult) -> Result<ReceiptEntry, StoreError> {
    Ok(ReceiptEntry {
        number: row.try_get_by_index(0)?,
        order: row.try_get_by_index(1)?,
        kit: row.try_get_by_index::<Option<String>>(2)?.map(PartKey::from_stored),
        supplier: row.try_get_by_index::<Option<String>>(3)?.map(Code::from_stored),
        counted_at: row.try_get_by_index(4)?,
        counted_by: row.try_get_by_index(5)?,
        reverses: row.try_get_by_index(6)?,
        reversed_by: row.try_get_by_index(7)?,
        claim: row.try_get_by_index(8)?,
    })
}

/// The receipt of a number, whoever holds the connection.
pub(super) async fn read_receipt(
    db: &impl ConnectionTrait,
    number: &str,
) -> Result<Option<Receipt>, StoreError> {
    let sql = format!("SELECT {ENTRY}, r.note, r.body FROM receipts r WHERE r.number = $1");
    let Some(row) = db.query_one_raw(statement(db, sql, vec![number.into()])).await? else {
        return Ok(None);
    };
    let entry = entry_of(&row)?;
    let sql = "SELECT line, content, part, verdict, quantity, damaged, stands_for, bin, mark, batch, unit_value, \
               booked FROM receipt_pieces WHERE receipt = $1 ORDER BY piece";
    let pieces = db.query_all_raw(statement(db, sql.to_owned(), vec![number.into()])).await?;
    let pieces = pieces.iter().map(piece_of).collect::<Result<_, _>>()?;
    Ok(Some(Receipt {
        number: entry.number,
        order: entry.order,
        kit: entry.kit,
        supplier: entry.supplier,
        counted_at: entry.counted_at,
        counted_by: entry.counted_by,
        reverses: entry.reverses,
        reversed_by: entry.reversed_by,
        claim: entry.claim,
        note: row.try_get_by_index(9)?,
        body: row.try_get_by_index(10)?,
        pieces,
    }))
}

fn piece_of(row: &QueryResult) -> Result<ReceiptPiece, StoreError> {
    let (line, content): (Option<i64>, Option<i64>) = (row.try_get_by_index(0)?, row.try_get_by_index(1)?);
    Ok(ReceiptPiece {
        place: line.zip(content),
        part: row.try_get_by_index::<Option<String>>(2)?.map(PartKey::from_stored),
        verdict: row.try_get_by_index(3)?,
        quantity: Quantity::from_raw(row.try_get_by_index(4)?),
        damaged: Quantity::from_raw(row.try_get_by_index(5)?),
        stands_for: Quantity::from_raw(row.try_get_by_index(6)?),
        bin: row.try_get_by_index::<Option<String>>(7)?.map(Code::from_stored),
        mark: Mark(row.try_get_by_index(8)?),
        batch: row.try_get_by_index(9)?,
        unit_value: Money::from_raw(row.try_get_by_index(10)?),
        booked: Quantity::from_raw(row.try_get_by_index(11)?),
    })
}
