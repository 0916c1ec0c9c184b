//! Steps of an order.

use catalogue::event::{Happened, OrderEvent};
use catalogue::{PartKey, Quantity};
use chrono::{DateTime, NaiveDate, Utc};
use sea_orm::{ConnectionTrait, DatabaseTransaction};

use super::OrderContent;
use super::insert::insert_contents;
use super::shares::{keep_replaced, move_shares};
use crate::audit::Changed;
use crate::error::StoreError;
use crate::numbers::kept;
use crate::outbox::Outbox;
use crate::received_papers::{NewReceivedPaper, insert_received};
use crate::select::statement;
use crate::store::Store;

/// A step that is to be taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderChange {
    /// What is done.
    pub what: String,
    /// The state after it.
    pub state: String,
    /// When.
    pub at: DateTime<Utc>,
    /// Who does it.
    pub by: String,
    /// Its particulars, in words.
    pub detail: String,
    /// What becomes of lines.
    pub lines: Vec<OrderLineChange>,
    /// The paper that says so.
    pub paper: Option<NewReceivedPaper>,
}

/// What becomes of a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum OrderLineChange {
    /// The supplier acknowledged it.
    Acknowledged {
        /// The line.
        line: i64,
        /// How many.
        quantity: Quantity,
        /// For which day; `None`: as before.
        on: Option<NaiveDate>,
        /// The part offered instead; `None`: none.
        substitute: Option<PartKey>,
    },
    /// The part offered instead is taken: the line is for that part from now on.
    SubstituteTaken {
        /// The line.
        line: i64,
        /// The part.
        part: PartKey,
        /// What one piece of it brings.
        contents: Vec<OrderContent>,
    },
}

impl Store {
    /// Takes a step of an order, if the order is still at the version on which it was decided.
    ///
    /// # Errors
    /// [`StoreError::OrderChanged`] where it is not.
    pub async fn change_order(
        &self,
        number: &str,
        version: i64,
        change: &OrderChange,
    ) -> Result<(), StoreError> {
        let transaction = self.begin_writing().await?;
        let before = move_order(&transaction, number, version, &change.state).await?;
        let mut changes = vec![Changed::new("state", Some(before), Some(&change.state))];
        for line in &change.lines {
            changes.extend(change_line(&transaction, number, line).await?);
        }
        let what = (change.what.as_str(), change.state.as_str());
        let mut outbox = Outbox::default();
        if let Some(paper) = &change.paper {
            insert_received(&transaction, &mut outbox, paper, &[]).await?;
        }
        let who = (change.at, change.by.as_str());
        add_order_step(&transaction, &mut outbox, number, what, who, (&change.detail, changes)).await?;
        self.finish(transaction, outbox).await?;
        Ok(())
    }
}

/// Moves an order to another state, if it is still at a version; it is held until the transaction ends. Returns the state
/// that it was in.
pub(crate) async fn move_order(
    transaction: &DatabaseTransaction,
    number: &str,
    version: i64,
    state: &str,
) -> Result<String, StoreError> {
    // At one version there is one state, so it may be read before the order is held.
    let sql = "SELECT state FROM orders WHERE number = $1 AND version = $2";
    let values = vec![number.into(), version.into()];
    let row = transaction.query_one_raw(statement(transaction, sql.to_owned(), values)).await?;
    let row = row.ok_or_else(|| StoreError::OrderChanged(number.to_owned()))?;
    let sql = "UPDATE orders SET version = version + 1, state = $3 WHERE number = $1 AND version = $2";
    let values = vec![number.into(), version.into(), state.into()];
    let done = transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
    if done.rows_affected() == 0 {
        return Err(StoreError::OrderChanged(number.to_owned()));
    }
    Ok(row.try_get_by_index(0)?)
}

/// Changes a line of an order that is held; returns what is another value than before.
async fn change_line(
    transaction: &DatabaseTransaction,
    number: &str,
    change: &OrderLineChange,
) -> Result<Vec<Changed>, StoreError> {
    match change {
        OrderLineChange::Acknowledged { line, quantity, on, substitute } => {
            let before = line_of(transaction, number, *line).await?;
            let sql = "UPDATE order_lines SET acknowledged_quantity = $3, \
                       acknowledged_on = COALESCE($4, acknowledged_on), substitute = $5 \
                       WHERE number = $1 AND line = $2";
            let values = vec![
                number.into(),
                (*line).into(),
                quantity.raw().into(),
                (*on).into(),
                substitute.as_ref().map(|part| part.as_str().to_owned()).into(),
            ];
            transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
            let field = |name: &str| format!("{name} of line {line}");
            Ok(vec![
                Changed::new(field("acknowledged_quantity"), before.acknowledged, Some(*quantity)),
                Changed::new(field("acknowledged_on"), before.on, on.or(before.on)),
                Changed::new(
                    field("substitute"),
                    before.substitute,
                    substitute.as_ref().map(PartKey::as_str),
                ),
            ])
        }
        OrderLineChange::SubstituteTaken { line, part, contents } => {
            let before = line_of(transaction, number, *line).await?;
            keep_replaced(transaction, number, *line).await?;
            let sql = "UPDATE order_lines SET part = $3, substitute = NULL WHERE number = $1 AND line = $2";
            let values = vec![number.into(), (*line).into(), part.as_str().into()];
            transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
            let sql = "DELETE FROM order_contents WHERE number = $1 AND line = $2";
            let values = vec![number.into(), (*line).into()];
            transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
            insert_contents(transaction, number, *line, contents).await?;
            move_shares(transaction, number, *line, contents).await?;
            let field = |name: &str| format!("{name} of line {line}");
            Ok(vec![
                Changed::new(field("part"), Some(before.part), Some(part)),
                Changed::new(field("substitute"), before.substitute, None::<&str>),
            ])
        }
    }
}

/// What a step may change of a line.
struct Line {
    part: String,
    acknowledged: Option<Quantity>,
    on: Option<NaiveDate>,
    substitute: Option<String>,
}

async fn line_of(transaction: &DatabaseTransaction, number: &str, line: i64) -> Result<Line, StoreError> {
    let sql = "SELECT part, acknowledged_quantity, acknowledged_on, substitute FROM order_lines \
               WHERE number = $1 AND line = $2";
    let values = vec![number.into(), line.into()];
    let row = transaction.query_one_raw(statement(transaction, sql.to_owned(), values)).await?;
    let row = row.ok_or(StoreError::BadRow { table: "order_lines", column: "line".to_owned() })?;
    Ok(Line {
        part: row.try_get_by_index(0)?,
        acknowledged: row.try_get_by_index::<Option<i64>>(1)?.map(Quantity::from_raw),
        on: row.try_get_by_index(2)?,
        substitute: row.try_get_by_index(3)?,
    })
}

/// Writes a step down with its event: what was done, the state after it, its particulars in words and what it changed. The
/// order itself must be held by the transaction.
pub(crate) async fn add_order_step(
    transaction: &DatabaseTransaction,
    outbox: &mut Outbox,
    number: &str,
    (what, state): (&str, &str),
    (at, by): (DateTime<Utc>, &str),
    (detail, changes): (&str, Vec<Changed>),
) -> Result<(), StoreError> {
    let sql = "INSERT INTO order_steps (number, step, what, state, at, who, detail) \
               SELECT $1, COALESCE(MAX(step), 0) + 1, CAST($2 AS text), CAST($3 AS text), $4, CAST($5 AS text), \
               CAST($6 AS text) FROM order_steps WHERE number = $1";
    let values = vec![number.into(), what.into(), state.into(), kept(at).into(), by.into(), detail.into()];
    transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
    let event = OrderEvent {
        order: number.to_owned(),
        step: what.to_owned(),
        state: state.to_owned(),
        by: by.to_owned(),
        detail: detail.to_owned(),
    };
    outbox.record(at, Happened::to_order(event), changes);
    Ok(())
}
