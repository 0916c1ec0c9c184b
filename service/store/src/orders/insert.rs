//! Drafting orders.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Code, Currency, Money, PartKey, Quantity};
use chrono::{DateTime, NaiveDate, Utc};
use sea_orm::{ConnectionTrait, DatabaseTransaction};

use super::change::add_order_step;
use super::shares::insert_shares;
use super::{OrderContent, OrderShare};
use crate::audit::Changed;
use crate::error::StoreError;
use crate::numbers::{kept, take_number};
use crate::outbox::Outbox;
use crate::received_papers::{NewReceivedPaper, insert_received};
use crate::select::statement;
use crate::store::{DatabaseKind, Store};

/// An order that is to be drafted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewOrder {
    /// To whom.
    pub supplier: Code,
    /// The structure revision at which its contents were read.
    pub structure_revision: i64,
    /// When.
    pub created_at: DateTime<Utc>,
    /// Who drafts it.
    pub created_by: String,
    /// A note to the supplier.
    pub note: String,
    /// Its lines.
    pub lines: Vec<NewOrderLine>,
}

/// A line of such an order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewOrderLine {
    /// What is ordered.
    pub part: PartKey,
    /// How many.
    pub quantity: Quantity,
    /// The currency of price and deposit.
    pub currency: Currency,
    /// Price of one.
    pub price: Money,
    /// Deposit on one.
    pub deposit: Money,
    /// Price of one in the base currency.
    pub unit_value: Money,
    /// When it is expected.
    pub expected_on: Option<NaiveDate>,
    /// The quote whose shortage it meets.
    pub quote: Option<String>,
    /// The job whose shortage it meets.
    pub job: Option<String>,
    /// What one piece brings.
    pub contents: Vec<OrderContent>,
    /// For whom its pieces are, where it may serve several.
    pub shares: Vec<OrderShare>,
}

/// What an order round was worked out from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RoundState {
    /// The running number of the order that was drafted last.
    pub last_order: i64,
    /// The jobs it serves, each with its revision.
    pub jobs: Vec<(String, i64)>,
    /// The quotes that decided what they need.
    pub quotes: Vec<String>,
}

impl Store {
    /// Drafts orders, all of them or none, and gives them their numbers. Numbers run without gaps or doubles, whoever
    /// drafts at the same time.
    ///
    /// A quote whose shortages are met by these orders is named in `once_for`: it is ordered for only once, whoever asks at
    /// the same time.
    ///
    /// A paper of which they are made is kept with them.
    ///
    /// # Errors
    /// [`StoreError::AlreadyOrdered`] where an order that is not cancelled has lines for that quote.
    pub async fn insert_orders(
        &self,
        orders: &[NewOrder],
        once_for: Option<&str>,
        paper: Option<&NewReceivedPaper>,
    ) -> Result<Vec<String>, StoreError> {
        self.insert_orders_if(orders, once_for, None, paper).await
    }

    /// The same for orders that were worked out from what was on order, if the order of this running number is still the
    /// last one that was drafted.
    ///
    /// # Errors
    /// [`StoreError::OrderChanged`] with the number that the first order would have got, where it is not.
    pub async fn insert_orders_after(
        &self,
        last: i64,
        orders: &[NewOrder],
    ) -> Result<Vec<String>, StoreError> {
        self.insert_orders_if(orders, None, Some(last), None).await
    }

    /// The same for an order round: also only if its jobs are as they were. Its quotes are held meanwhile, so that nobody
    /// drafts for one of them at the same time.
    ///
    /// # Errors
    /// [`StoreError::OrderChanged`], [`StoreError::JobChanged`].
    pub async fn insert_round(
        &self,
        state: &RoundState,
        orders: &[NewOrder],
    ) -> Result<Vec<String>, StoreError> {
        let transaction = self.begin_writing().await?;
        // In the order of their numbers, as everybody does, so that nobody waits in a circle.
        let jobs: BTreeMap<&String, i64> =
            state.jobs.iter().map(|(job, revision)| (job, *revision)).collect();
        for (job, revision) in jobs {
            hold_job(&transaction, self.kind(), (job, revision)).await?;
        }
        let quotes: BTreeSet<&String> = state.quotes.iter().collect();
        for quote in quotes {
            lock_quote(&transaction, self.kind(), quote).await?;
        }
        let mut outbox = Outbox::default();
        let numbers = insert_all(&transaction, &mut outbox, orders, Some(state.last_order)).await?;
        self.finish(transaction, outbox).await?;
        Ok(numbers)
    }

    async fn insert_orders_if(
        &self,
        orders: &[NewOrder],
        once_for: Option<&str>,
        last: Option<i64>,
        paper: Option<&NewReceivedPaper>,
    ) -> Result<Vec<String>, StoreError> {
        let transaction = self.begin_writing().await?;
        if let Some(quote) = once_for {
            lock_quote(&transaction, self.kind(), quote).await?;
            let ordered = orders_of_quote(&transaction, quote).await?;
            if !ordered.is_empty() {
                return Err(StoreError::AlreadyOrdered { quote: quote.to_owned(), orders: ordered });
            }
        }
        let mut outbox = Outbox::default();
        let numbers = insert_all(&transaction, &mut outbox, orders, last).await?;
        if let Some(paper) = paper {
            insert_received(&transaction, &mut outbox, paper, &numbers).await?;
        }
        self.finish(transaction, outbox).await?;
        Ok(numbers)
    }
}

/// Inserts orders; where the last order is named, only if it still is the last.
async fn insert_all(
    transaction: &DatabaseTransaction,
    outbox: &mut Outbox,
    orders: &[NewOrder],
    last: Option<i64>,
) -> Result<Vec<String>, StoreError> {
    let mut numbers = Vec::with_capacity(orders.len());
    for order in orders {
        numbers.push(insert(transaction, outbox, order).await?);
    }
    // The series is held from the first number on, so nobody drafts between this and the end.
    if let (Some(last), Some(first)) = (last, numbers.first())
        && *first != order_number(last + 1)
    {
        return Err(StoreError::OrderChanged(first.clone()));
    }
    Ok(numbers)
}

/// Holds a job as it is until the transaction ends.
async fn hold_job(
    transaction: &DatabaseTransaction,
    kind: DatabaseKind,
    (job, revision): (&str, i64),
) -> Result<(), StoreError> {
    let held = if kind == DatabaseKind::Postgres { " FOR SHARE" } else { "" };
    let sql = format!("SELECT revision FROM jobs WHERE number = $1{held}");
    let row = transaction.query_one_raw(statement(transaction, sql, vec![job.into()])).await?;
    let now = row.map(|row| row.try_get_by_index::<i64>(0)).transpose()?;
    if now == Some(revision) { Ok(()) } else { Err(StoreError::JobChanged(job.to_owned())) }
}

/// Holds the quote until the transaction ends, so that nobody else orders for it meanwhile. A writer on SQLite is alone.
async fn lock_quote(
    transaction: &DatabaseTransaction,
    kind: DatabaseKind,
    quote: &str,
) -> Result<(), StoreError> {
    if kind == DatabaseKind::Postgres {
        let sql = "SELECT number FROM quotes WHERE number = $1 FOR UPDATE";
        transaction.query_all_raw(statement(transaction, sql.to_owned(), vec![quote.into()])).await?;
    }
    Ok(())
}

async fn orders_of_quote(transaction: &DatabaseTransaction, quote: &str) -> Result<Vec<String>, StoreError> {
    let sql = "SELECT o.number FROM orders o WHERE o.state <> 'cancelled' AND EXISTS \
               (SELECT 1 FROM order_lines l WHERE l.number = o.number AND l.quote = $1) \
               OR o.state <> 'cancelled' AND EXISTS \
               (SELECT 1 FROM order_shares s WHERE s.number = o.number AND s.quote = $1) ORDER BY o.running";
    let rows = transaction.query_all_raw(statement(transaction, sql.to_owned(), vec![quote.into()])).await?;
    Ok(rows.iter().map(|row| row.try_get_by_index(0)).collect::<Result<_, _>>()?)
}

fn order_number(running: i64) -> String {
    format!("PO-{running:06}")
}

async fn insert(
    transaction: &DatabaseTransaction,
    outbox: &mut Outbox,
    order: &NewOrder,
) -> Result<String, StoreError> {
    let running = take_number(transaction, "order").await?;
    let number = order_number(running);
    let sql = "INSERT INTO orders (number, running, version, supplier, state, structure_revision, created_at, \
               created_by, note) VALUES ($1, $2, 1, $3, 'draft', $4, $5, $6, $7)";
    let values = vec![
        number.as_str().into(),
        running.into(),
        order.supplier.as_str().into(),
        order.structure_revision.into(),
        kept(order.created_at).into(),
        order.created_by.as_str().into(),
        order.note.as_str().into(),
    ];
    transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
    for (line, new) in (1_i64..).zip(&order.lines) {
        insert_line(transaction, &number, line, new).await?;
    }
    let who = (order.created_at, order.created_by.as_str());
    let lines =
        order.lines.iter().map(|line| Changed::made(format!("quantity of {}", line.part), line.quantity));
    let changes = [Changed::made("state", "draft")].into_iter().chain(lines).collect();
    add_order_step(transaction, outbox, &number, ("draft", "draft"), who, ("", changes)).await?;
    Ok(number)
}

async fn insert_line(
    transaction: &DatabaseTransaction,
    number: &str,
    line: i64,
    new: &NewOrderLine,
) -> Result<(), StoreError> {
    let sql = "INSERT INTO order_lines (number, line, part, quantity, currency, price, deposit, unit_value, \
               expected_on, quote, job) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)";
    let values = vec![
        number.into(),
        line.into(),
        new.part.as_str().into(),
        new.quantity.raw().into(),
        new.currency.as_str().into(),
        new.price.raw().into(),
        new.deposit.raw().into(),
        new.unit_value.raw().into(),
        new.expected_on.into(),
        new.quote.clone().into(),
        new.job.clone().into(),
    ];
    transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
    insert_contents(transaction, number, line, &new.contents).await?;
    insert_shares(transaction, number, line, &new.shares).await
}

/// Freezes what one piece of a line brings.
pub(super) async fn insert_contents(
    transaction: &DatabaseTransaction,
    number: &str,
    line: i64,
    contents: &[OrderContent],
) -> Result<(), StoreError> {
    let sql = "INSERT INTO order_contents (number, line, content, part, quantity, option_group, through, \
               unit_value) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)";
    for content in contents {
        let through = serde_json::Value::from_iter(content.through.iter().map(PartKey::as_str)).to_string();
        let values = vec![
            number.into(),
            line.into(),
            content.content.into(),
            content.part.as_str().into(),
            content.quantity.raw().into(),
            content.option_group.as_ref().map(|group| group.as_str().to_owned()).into(),
            through.into(),
            content.unit_value.map(Money::raw).into(),
        ];
        transaction.execute_raw(statement(transaction, sql.to_owned(), values)).await?;
    }
    Ok(())
}
