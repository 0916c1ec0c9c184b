//! What is on order for the shelf.

use std::collections::BTreeMap;

use catalogue::{PartKey, Quantity};
use sea_orm::ConnectionTrait;

use crate::error::StoreError;
use crate::select::{key_list, keys_in, statement};
use crate::store::Store;

impl Store {
    /// How many of each part are on order for nobody in particular: in orders that are drafted, placed, acknowledged or
    /// received in part, kits opened, less what has come. What is ordered for a job or a quote is spoken for, and of a line
    /// that serves several what is for jobs: they get theirs first. The number of queries does not depend on the number of
    /// parts.
    pub async fn on_order(&self, parts: &[PartKey]) -> Result<BTreeMap<PartKey, Quantity>, StoreError> {
        let sql = format!(
            "SELECT c.part, c.quantity, COALESCE(l.acknowledged_quantity, l.quantity), \
             (SELECT CAST(COALESCE(SUM(p.stands_for), 0) AS bigint) FROM receipt_pieces p \
              WHERE p.order_number = c.number AND p.line = c.line AND p.content = c.content), \
             (SELECT CAST(COALESCE(SUM(s.quantity), 0) AS bigint) FROM order_shares s \
              WHERE s.number = c.number AND s.line = c.line AND s.content = c.content AND s.job IS NOT NULL) \
             FROM order_contents c JOIN {} k ON c.part = k.\"key\" \
             JOIN order_lines l ON l.number = c.number AND l.line = c.line \
             JOIN orders o ON o.number = c.number \
             WHERE o.state IN ('draft', 'placed', 'acknowledged', 'part_received') \
             AND l.job IS NULL AND l.quote IS NULL",
            keys_in(self.kind(), "$1")
        );
        let list = key_list(parts.iter().map(PartKey::as_str));
        let mut on_order: BTreeMap<PartKey, Quantity> = BTreeMap::new();
        for row in self.db.query_all_raw(statement(&self.db, sql, vec![list])).await? {
            let part = PartKey::from_stored(row.try_get_by_index::<String>(0)?);
            let (each, pieces) = (row.try_get_by_index::<i64>(1)?, row.try_get_by_index::<i64>(2)?);
            let bad = || StoreError::BadRow { table: "order_lines", column: "quantity".to_owned() };
            let all = Quantity::from_raw(each).times(Quantity::from_raw(pieces)).ok_or_else(bad)?;
            let come = Quantity::from_raw(row.try_get_by_index(3)?);
            let open = all - come.max(Quantity::from_raw(row.try_get_by_index(4)?));
            if open > Quantity::ZERO {
                *on_order.entry(part).or_default() += open;
            }
        }
        Ok(on_order)
    }

    /// The running number of the order that was drafted last; nought where there is none.
    pub async fn last_order(&self) -> Result<i64, StoreError> {
        let sql = "SELECT COALESCE(MAX(running), 0) FROM orders";
        let row = self.db.query_one_raw(statement(&self.db, sql.to_owned(), vec![])).await?;
        Ok(row.map(|row| row.try_get_by_index(0)).transpose()?.unwrap_or(0))
    }
}
