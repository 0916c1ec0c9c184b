//! The lots of the shelf: locked for a booking, and listed.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Code, Mark, Money, PartKey, Quantity, StockLot};
use chrono::Utc;
use sea_orm::{ConnectionTrait, DatabaseTransaction, DbBackend, QueryResult, Value};

use super::balance_sheet::Held;
use super::posting::Lot;
use crate::error::StoreError;
use crate::select::statement;
use crate::store::Store;

/// Which lots are wanted.
#[derive(Debug, Clone, Default)]
pub struct LotFilter {
    /// Of this part.
    pub part: Option<PartKey>,
    /// In this bin.
    pub bin: Option<Code>,
    /// Empty ones too.
    pub empty: bool,
}

impl Store {
    /// The lots behind one, by part, bin and mark, at most so many.
    pub async fn list_lots(
        &self,
        filter: &LotFilter,
        after: Option<&Lot>,
        limit: u64,
    ) -> Result<Vec<StockLot>, StoreError> {
        self.release_expired(Utc::now()).await?;
        let mut values: Vec<Value> = Vec::new();
        let mut rest = String::from("WHERE 1 = 1");
        let mut add = |text: &str, value: &str| {
            values.push(value.into());
            rest += &text.replace('?', &format!("${}", values.len()));
        };
        if let Some(part) = &filter.part {
            add(" AND part = ?", part.as_str());
        }
        if let Some(bin) = &filter.bin {
            add(" AND bin = ?", bin.as_str());
        }
        if let Some(after) = after {
            add(" AND (part, bin, mark) > (?, ", after.part.as_str());
            add("?, ", after.bin.as_str());
            add("?)", &after.mark.0);
        }
        if !filter.empty {
            rest += " AND quantity > 0";
        }
        let sql = format!("{SELECT_LOT} {rest} ORDER BY part, bin, mark LIMIT {limit}");
        let found = self.db.query_all_raw(statement(&self.db, sql, values)).await?;
        found.iter().map(stock_lot).collect()
    }
}

const SELECT_LOT: &str = "SELECT part, bin, mark, quantity, reserved, carrying_value FROM stock";

fn stock_lot(row: &QueryResult) -> Result<StockLot, StoreError> {
    Ok(StockLot {
        part: PartKey::from_stored(row.try_get_by_index::<String>(0)?),
        bin: Code::from_stored(row.try_get_by_index::<String>(1)?),
        mark: Mark(row.try_get_by_index(2)?),
        quantity: Quantity::from_raw(row.try_get_by_index(3)?),
        reserved: Quantity::from_raw(row.try_get_by_index(4)?),
        carrying_value: Money::from_raw(row.try_get_by_index(5)?),
    })
}

fn of_stock_lot(lot: StockLot) -> (Lot, Held) {
    let held = Held { quantity: lot.quantity, reserved: lot.reserved, value: lot.carrying_value };
    (Lot { part: lot.part, bin: lot.bin, mark: lot.mark }, held)
}

/// The end of a query that locks its rows. SQLite has one writer at a time, and it is this one.
fn for_update(db: &impl ConnectionTrait) -> &'static str {
    if db.get_database_backend() == DbBackend::Postgres { "FOR UPDATE" } else { "" }
}

/// Locks lots in the order of their keys, so that two bookings never wait for each other, and reads them. A lot that is
/// not there yet is made where `make` says so.
pub(super) async fn lock_lots(
    transaction: &DatabaseTransaction,
    lots: &BTreeSet<Lot>,
    make: &BTreeSet<Lot>,
) -> Result<BTreeMap<Lot, Held>, StoreError> {
    let mut found = BTreeMap::new();
    let sql = format!("{SELECT_LOT} WHERE part = $1 AND bin = $2 AND mark = $3 {}", for_update(transaction));
    for lot in lots {
        if make.contains(lot) {
            make_lot(transaction, lot).await?;
        }
        let row = transaction.query_one_raw(statement(transaction, sql.clone(), key_of(lot))).await?;
        found.extend(row.as_ref().map(stock_lot).transpose()?.map(of_stock_lot));
    }
    Ok(found)
}

/// Locks all lots of parts in which anything lies, in the order of their keys, and reads them.
pub(super) async fn lock_lots_of(
    transaction: &DatabaseTransaction,
    parts: &BTreeSet<PartKey>,
) -> Result<BTreeMap<Lot, Held>, StoreError> {
    let mut found = BTreeMap::new();
    let lock = for_update(transaction);
    let sql = format!("{SELECT_LOT} WHERE part = $1 AND quantity > 0 ORDER BY part, bin, mark {lock}");
    for part in parts {
        let values = vec![part.as_str().into()];
        let rows = transaction.query_all_raw(statement(transaction, sql.clone(), values)).await?;
        for row in &rows {
            let (lot, held) = of_stock_lot(stock_lot(row)?);
            found.insert(lot, held);
        }
    }
    Ok(found)
}

fn key_of(lot: &Lot) -> Vec<Value> {
    vec![lot.part.as_str().into(), lot.bin.as_str().into(), lot.mark.0.as_str().into()]
}

async fn make_lot(transaction: &DatabaseTransaction, lot: &Lot) -> Result<(), StoreError> {
    let known =
        "SELECT (SELECT COUNT(*) FROM parts WHERE part = $1), (SELECT COUNT(*) FROM bins WHERE bin = $2)";
    let values = vec![lot.part.as_str().into(), lot.bin.as_str().into()];
    let row = transaction.query_one_raw(statement(transaction, known.to_owned(), values)).await?;
    if let Some(row) = row {
        if row.try_get_by_index::<i64>(0)? == 0 {
            return Err(StoreError::PartNotFound(lot.part.clone()));
        }
        if row.try_get_by_index::<i64>(1)? == 0 {
            return Err(StoreError::BinNotFound(lot.bin.clone()));
        }
    }
    let sql = "INSERT INTO stock (part, bin, mark, quantity, carrying_value, reserved) \
               VALUES ($1, $2, $3, 0, 0, 0) ON CONFLICT (bin, part, mark) DO NOTHING";
    transaction.execute_raw(statement(transaction, sql.to_owned(), key_of(lot))).await?;
    Ok(())
}

/// Writes what lies in a locked lot.
pub(super) async fn write_lot(
    transaction: &DatabaseTransaction,
    lot: &Lot,
    held: &Held,
) -> Result<(), StoreError> {
    let sql = "UPDATE stock SET quantity = $4, reserved = $5, carrying_value = $6 \
               WHERE part = $1 AND bin = $2 AND mark = $3";
    let mut values = key_of(lot);
    values.extend([held.quantity.raw().into(), held.reserved.raw().into(), held.value.raw().into()]);
    transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
    Ok(())
}
