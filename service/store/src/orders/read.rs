//! Reading orders.

use std::collections::BTreeMap;

use catalogue::{Code, Currency, Money, PartKey, Quantity};
use chrono::NaiveDate;
use sea_orm::{ConnectionTrait, QueryResult, Value};

use super::shares::{replaced_of, shares_of};
use super::{Order, OrderContent, OrderEntry, OrderLine, OrderStep};
use crate::error::StoreError;
use crate::select::statement;
use crate::store::Store;

/// Which orders are wanted.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct OrderFilter {
    /// To this supplier.
    pub supplier: Option<Code>,
    /// In this state.
    pub state: Option<String>,
    /// With lines for this quote.
    pub quote: Option<String>,
    /// With lines for this job.
    pub job: Option<String>,
}

impl Store {
    /// The order of a number.
    pub async fn order(&self, number: &str) -> Result<Option<Order>, StoreError> {
        let transaction = self.begin_reading().await?;
        let order = read_order(&transaction, number).await?;
        transaction.commit().await?;
        Ok(order)
    }

    /// The orders behind a number, the oldest first, at most so many. Behind a number that there is none of comes nothing.
    pub async fn list_orders(
        &self,
        filter: &OrderFilter,
        after: Option<&str>,
        limit: u64,
    ) -> Result<Vec<OrderEntry>, StoreError> {
        let mut sql = "SELECT o.number, o.supplier, o.state, o.created_at, o.created_by, \
                       (SELECT COUNT(*) FROM order_lines l WHERE l.number = o.number), \
                       (SELECT MAX(COALESCE(l.acknowledged_on, l.expected_on)) FROM order_lines l \
                        WHERE l.number = o.number) FROM orders o WHERE TRUE"
            .to_owned();
        let mut values: Vec<Value> = Vec::new();
        let mut narrow = |condition: &str, value: &str| {
            values.push(value.into());
            sql.push_str(&format!(" AND {}", condition.replace('?', &format!("${}", values.len()))));
        };
        if let Some(supplier) = &filter.supplier {
            narrow("o.supplier = ?", supplier.as_str());
        }
        if let Some(state) = &filter.state {
            narrow("o.state = ?", state);
        }
        if let Some(quote) = &filter.quote {
            narrow(&has_lines_for("quote"), quote);
        }
        if let Some(job) = &filter.job {
            narrow(&has_lines_for("job"), job);
        }
        if let Some(after) = after {
            narrow("o.running > (SELECT a.running FROM orders a WHERE a.number = ?)", after);
        }
        sql.push_str(&format!(" ORDER BY o.running LIMIT {limit}"));
        let rows = self.db.query_all_raw(statement(&self.db, sql, values)).await?;
        rows.iter().map(entry_of).collect()
    }
}

/// The condition that an order has lines, or shares of lines, for a quote or a job.
fn has_lines_for(what: &str) -> String {
    format!(
        "(EXISTS (SELECT 1 FROM order_lines l WHERE l.number = o.number AND l.{what} = ?) \
         OR EXISTS (SELECT 1 FROM order_shares s WHERE s.number = o.number AND s.{what} = ?))"
    )
}

fn entry_of(row: &QueryResult) -> Result<OrderEntry, StoreError> {
    Ok(OrderEntry {
        number: row.try_get_by_index(0)?,
        supplier: Code::from_stored(row.try_get_by_index::<String>(1)?),
        state: row.try_get_by_index(2)?,
        created_at: row.try_get_by_index(3)?,
        created_by: row.try_get_by_index(4)?,
        lines: row.try_get_by_index(5)?,
        expected_on: row.try_get_by_index(6)?,
    })
}

/// The order of a number, whoever holds the connection.
pub(crate) async fn read_order(db: &impl ConnectionTrait, number: &str) -> Result<Option<Order>, StoreError> {
    let sql = "SELECT number, version, supplier, state, structure_revision, created_at, created_by, note \
               FROM orders WHERE number = $1";
    let of_number = || vec![Value::from(number)];
    let Some(row) = db.query_one_raw(statement(db, sql.to_owned(), of_number())).await? else {
        return Ok(None);
    };
    let contents = contents_of(db, number).await?;
    let sql = "SELECT line, part, quantity, currency, price, deposit, unit_value, expected_on, quote, job, \
               acknowledged_quantity, acknowledged_on, substitute FROM order_lines WHERE number = $1 ORDER BY line";
    let lines = db.query_all_raw(statement(db, sql.to_owned(), of_number())).await?;
    let mut lines = lines.iter().map(|row| line_of(row, &contents)).collect::<Result<Vec<_>, _>>()?;
    let (mut shares, mut replaced) = (shares_of(db, number).await?, replaced_of(db, number).await?);
    for line in &mut lines {
        line.shares = shares.remove(&line.line).unwrap_or_default();
        line.replaced = replaced.remove(&line.line).unwrap_or_default();
    }
    let sql = "SELECT step, what, state, at, who, detail FROM order_steps WHERE number = $1 ORDER BY step";
    let steps = db.query_all_raw(statement(db, sql.to_owned(), of_number())).await?;
    let steps = steps.iter().map(step_of).collect::<Result<_, _>>()?;
    Ok(Some(Order {
        number: row.try_get_by_index(0)?,
        version: row.try_get_by_index(1)?,
        supplier: Code::from_stored(row.try_get_by_index::<String>(2)?),
        state: row.try_get_by_index(3)?,
        structure_revision: row.try_get_by_index(4)?,
        created_at: row.try_get_by_index(5)?,
        created_by: row.try_get_by_index(6)?,
        note: row.try_get_by_index(7)?,
        lines,
        steps,
    }))
}

async fn contents_of(
    db: &impl ConnectionTrait,
    number: &str,
) -> Result<BTreeMap<i64, Vec<OrderContent>>, StoreError> {
    let sql = "SELECT line, content, part, quantity, option_group, through, unit_value FROM order_contents \
               WHERE number = $1 ORDER BY line, content";
    let rows = db.query_all_raw(statement(db, sql.to_owned(), vec![number.into()])).await?;
    let mut contents: BTreeMap<i64, Vec<OrderContent>> = BTreeMap::new();
    for row in rows {
        let through: String = row.try_get_by_index(5)?;
        let bad = |_| StoreError::BadRow { table: "order_contents", column: "through".to_owned() };
        let through: Vec<String> = serde_json::from_str(&through).map_err(bad)?;
        contents.entry(row.try_get_by_index(0)?).or_default().push(OrderContent {
            content: row.try_get_by_index(1)?,
            part: PartKey::from_stored(row.try_get_by_index::<String>(2)?),
            quantity: Quantity::from_raw(row.try_get_by_index(3)?),
            option_group: row.try_get_by_index::<Option<String>>(4)?.map(Code::from_stored),
            through: through.into_iter().map(PartKey::from_stored).collect(),
            unit_value: row.try_get_by_index::<Option<i64>>(6)?.map(Money::from_raw),
        });
    }
    Ok(contents)
}

fn line_of(row: &QueryResult, contents: &BTreeMap<i64, Vec<OrderContent>>) -> Result<OrderLine, StoreError> {
    let line: i64 = row.try_get_by_index(0)?;
    let currency: String = row.try_get_by_index(3)?;
    Ok(OrderLine {
        line,
        part: PartKey::from_stored(row.try_get_by_index::<String>(1)?),
        quantity: Quantity::from_raw(row.try_get_by_index(2)?),
        currency: Currency::parse(&currency)
            .ok_or(StoreError::BadRow { table: "order_lines", column: "currency".to_owned() })?,
        price: Money::from_raw(row.try_get_by_index(4)?),
        deposit: Money::from_raw(row.try_get_by_index(5)?),
        unit_value: Money::from_raw(row.try_get_by_index(6)?),
        expected_on: row.try_get_by_index::<Option<NaiveDate>>(7)?,
        quote: row.try_get_by_index(8)?,
        job: row.try_get_by_index(9)?,
        acknowledged_quantity: row.try_get_by_index::<Option<i64>>(10)?.map(Quantity::from_raw),
        acknowledged_on: row.try_get_by_index(11)?,
        substitute: row.try_get_by_index::<Option<String>>(12)?.map(PartKey::from_stored),
        contents: contents.get(&line).cloned().unwrap_or_default(),
        shares: Vec::new(),
        replaced: Vec::new(),
    })
}

fn step_of(row: &QueryResult) -> Result<OrderStep, StoreError> {
    Ok(OrderStep {
        step: row.try_get_by_index(0)?,
        what: row.try_get_by_index(1)?,
        state: row.try_get_by_index(2)?,
        at: row.try_get_by_index(3)?,
        by: row.try_get_by_index(4)?,
        detail: row.try_get_by_index(5)?,
    })
}
