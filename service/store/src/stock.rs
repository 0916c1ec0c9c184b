//! Reading what lies on the shelf.

use catalogue::{Code, Mark, Money, PartKey, Quantity, StockLot, StockView};
use sea_orm::{ConnectionTrait, QueryResult};

use crate::error::StoreError;
use crate::revisions::read_revisions;
use crate::select::{key_list, keys_in, statement};
use crate::store::Store;

impl Store {
    /// The lots of parts that lie on the shelf, at one moment. The number of queries does not depend on the number of
    /// parts.
    pub async fn load_stock(&self, parts: &[PartKey]) -> Result<StockView, StoreError> {
        self.release_expired(chrono::Utc::now()).await?;
        let transaction = self.begin_reading().await?;
        let ledger_sequence = read_revisions(&transaction).await?.ledger;
        let sql = format!(
            "SELECT t.part, t.bin, t.mark, t.quantity, t.reserved, t.carrying_value FROM stock t \
             JOIN {} k ON t.part = k.\"key\" WHERE t.quantity > 0",
            keys_in(self.kind(), "$1")
        );
        let list = key_list(parts.iter().map(PartKey::as_str));
        let found = transaction.query_all_raw(statement(&transaction, sql, vec![list])).await?;
        let mut lots = found.iter().map(lot_of).collect::<Result<Vec<_>, _>>()?;
        lots.sort_by(|one, other| {
            (&one.part, &one.bin, &one.mark).cmp(&(&other.part, &other.bin, &other.mark))
        });
        transaction.commit().await?;
        Ok(StockView { ledger_sequence, lots })
    }
}

fn lot_of(row: &QueryResult) -> Result<StockLot, StoreError> {
    Ok(StockLot {
        part: PartKey::from_stored(row.try_get_by_index::<String>(0)?),
        bin: Code::from_stored(row.try_get_by_index::<String>(1)?),
        mark: Mark(row.try_get_by_index(2)?),
        quantity: Quantity::from_raw(row.try_get_by_index(3)?),
        reserved: Quantity::from_raw(row.try_get_by_index(4)?),
        carrying_value: Money::from_raw(row.try_get_by_index(5)?),
    })
}
