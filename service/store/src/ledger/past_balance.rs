//! Any past balance, made again from the movements alone.

use catalogue::{Code, Mark, Money, PartKey, Quantity};
use chrono::{DateTime, Utc};
use sea_orm::{ConnectionTrait, Value};

use super::lots::LotFilter;
use super::posting::Lot;
use crate::error::StoreError;
use crate::numbers::kept;
use crate::select::statement;
use crate::store::Store;

/// Up to where movements count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AsOf {
    /// Up to this number, it among them.
    Sequence(i64),
    /// Up to this instant, it among them.
    Instant(DateTime<Utc>),
}

/// What lay in a lot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PastBalance {
    /// The lot.
    pub lot: Lot,
    /// How many lay there.
    pub quantity: Quantity,
    /// What each was carried at.
    pub carrying_value: Money,
}

impl Store {
    /// What lay in the lots behind one at a past point, by part, bin and mark, at most so many.
    pub async fn past_balances(
        &self,
        as_of: AsOf,
        filter: &LotFilter,
        after: Option<&Lot>,
        limit: u64,
    ) -> Result<Vec<PastBalance>, StoreError> {
        let (until, bound): (&str, Value) = match as_of {
            AsOf::Sequence(sequence) => ("seq <= $1", sequence.into()),
            AsOf::Instant(instant) => ("at <= $1", kept(instant).into()),
        };
        let mut values = vec![bound];
        let mut rest = String::new();
        let mut add = |text: &str, value: &str| {
            values.push(value.into());
            rest += &text.replace('?', &format!("${}", values.len()));
        };
        if let Some(part) = &filter.part {
            add(" AND m.part = ?", part.as_str());
        }
        if let Some(bin) = &filter.bin {
            add(" AND m.bin = ?", bin.as_str());
        }
        if let Some(after) = after {
            add(" AND (m.part, m.bin, m.mark) > (?, ", after.part.as_str());
            add("?, ", after.bin.as_str());
            add("?)", &after.mark.0);
        }
        let having = if filter.empty { "" } else { "HAVING SUM(m.quantity) <> 0" };
        let sql = format!(
            "SELECT b.part, b.bin, b.mark, b.quantity, l.carrying_value FROM \
             (SELECT m.part, m.bin, m.mark, CAST(SUM(m.quantity) AS bigint) AS quantity, MAX(m.seq) AS last \
             FROM movements m WHERE m.{until}{rest} GROUP BY m.part, m.bin, m.mark {having}) b \
             JOIN movements l ON l.seq = b.last ORDER BY b.part, b.bin, b.mark LIMIT {limit}"
        );
        let found = self.db.query_all_raw(statement(&self.db, sql, values)).await?;
        let balance = |row: &sea_orm::QueryResult| {
            Ok(PastBalance {
                lot: Lot {
                    part: PartKey::from_stored(row.try_get_by_index::<String>(0)?),
                    bin: Code::from_stored(row.try_get_by_index::<String>(1)?),
                    mark: Mark(row.try_get_by_index(2)?),
                },
                quantity: Quantity::from_raw(row.try_get_by_index(3)?),
                carrying_value: Money::from_raw(row.try_get_by_index(4)?),
            })
        };
        found.iter().map(balance).collect()
    }
}
