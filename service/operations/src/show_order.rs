//! An order.

use catalogue::{Code, Currency, Money, PartKey, Quantity};
use chrono::{DateTime, NaiveDate, Utc};
use resolver::receipt::FrozenContent;
use serde::{Deserialize, Serialize};
use store::{Order, OrderLine};
use utoipa::ToSchema;

use crate::order_error::OrderError;
use crate::shop::Shop;

catalogue::choice! {
    /// How far an order has come.
    pub enum OrderState {
        /// Drafted; the supplier does not know of it.
        Draft = "draft",
        /// Sent to the supplier.
        Placed = "placed",
        /// The supplier has answered.
        Acknowledged = "acknowledged",
        /// Some of it is here.
        PartReceived = "part_received",
        /// All of it is here.
        Received = "received",
        /// Nothing more is expected of it.
        Closed = "closed",
        /// It was called off before anything came.
        Cancelled = "cancelled",
    }
}

/// An order with its lines and what was done with it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct OrderSheet {
    /// Its running number.
    #[schema(example = "PO-000001")]
    pub number: String,
    /// To whom.
    pub supplier: Code,
    /// How far it has come.
    pub state: OrderState,
    /// When it was drafted.
    pub created_at: DateTime<Utc>,
    /// Who drafted it.
    pub created_by: String,
    /// A note to the supplier.
    pub note: String,
    /// The structure revision at which the contents of its lines were frozen.
    pub structure_revision: i64,
    /// Its lines.
    pub lines: Vec<OrderLineSheet>,
    /// What it comes to, for each currency.
    pub totals: Vec<OrderTotal>,
    /// What was done with it, the first step first.
    pub steps: Vec<OrderStepSheet>,
}

/// A line of an order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct OrderLineSheet {
    /// Its number, from one.
    pub line: i64,
    /// What is ordered.
    pub part: PartKey,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// The currency of price and deposit.
    pub currency: Currency,
    /// Price of one.
    #[schema(value_type = String)]
    pub price: Money,
    /// Deposit on one, given back for the old part.
    #[schema(value_type = String)]
    pub deposit: Money,
    /// Price of one in the base currency when it was ordered.
    #[schema(value_type = String)]
    pub unit_value: Money,
    /// When it is expected: as the supplier acknowledged, or else as its lead time said.
    pub expected_on: Option<NaiveDate>,
    /// The quote whose shortage it meets.
    pub quote: Option<String>,
    /// The job whose shortage it meets.
    pub job: Option<String>,
    /// How many the supplier acknowledged; empty: nothing was said.
    #[schema(value_type = Option<String>)]
    pub acknowledged_quantity: Option<Quantity>,
    /// The part that the supplier offers instead; it is not taken yet.
    pub substitute: Option<PartKey>,
    /// What one piece brings: the part itself, or the lines of the kit's list when it was ordered.
    pub contents: Vec<FrozenContent>,
    /// For whom its pieces are, where an order round drafted it; what is left over is nobody's.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub shares: Vec<LineShare>,
}

/// Pieces of a line that are for a job or for the shelf.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LineShare {
    /// The content of the line.
    pub content: i64,
    /// The part that was needed.
    pub part: PartKey,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// The job; empty: the shelf.
    #[schema(example = "J-000001")]
    pub job: Option<String>,
    /// The quote that decided what the job needs.
    #[schema(example = "Q-000001")]
    pub quote: Option<String>,
}

/// What the lines in one currency come to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct OrderTotal {
    /// The currency.
    pub currency: Currency,
    /// Price of all lines.
    #[schema(value_type = String)]
    pub goods: Money,
    /// Deposits on all lines.
    #[schema(value_type = String)]
    pub deposits: Money,
}

/// One step of an order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct OrderStepSheet {
    /// What was done.
    pub what: String,
    /// The state after it.
    pub state: OrderState,
    /// When.
    pub at: DateTime<Utc>,
    /// Who did it.
    pub by: String,
    /// Its particulars.
    pub detail: String,
}

/// The order of a number; case and blanks at the ends do not matter.
pub async fn show_order(shop: &Shop, number: &str) -> Result<OrderSheet, OrderError> {
    sheet(stored_order(shop, number).await?)
}

/// The stored order of a number.
pub(crate) async fn stored_order(shop: &Shop, number: &str) -> Result<Order, OrderError> {
    let number = number.trim().to_uppercase();
    shop.store().order(&number).await?.ok_or(OrderError::NotFound(number))
}

/// The state that a stored word stands for.
pub(crate) fn state_of(word: &str) -> Result<OrderState, OrderError> {
    let bad = store::StoreError::BadRow { table: "orders", column: "state".to_owned() };
    OrderState::from_word(word).ok_or(OrderError::Store(bad))
}

/// An order as it is shown.
pub(crate) fn sheet(order: Order) -> Result<OrderSheet, OrderError> {
    let totals = totals(&order.lines);
    let mut steps = Vec::with_capacity(order.steps.len());
    for step in order.steps {
        steps.push(OrderStepSheet {
            what: step.what,
            state: state_of(&step.state)?,
            at: step.at,
            by: step.by,
            detail: step.detail,
        });
    }
    Ok(OrderSheet {
        state: state_of(&order.state)?,
        number: order.number,
        supplier: order.supplier,
        created_at: order.created_at,
        created_by: order.created_by,
        note: order.note,
        structure_revision: order.structure_revision,
        lines: order.lines.into_iter().map(line_sheet).collect(),
        totals,
        steps,
    })
}

fn line_sheet(line: OrderLine) -> OrderLineSheet {
    OrderLineSheet {
        line: line.line,
        part: line.part,
        quantity: line.quantity,
        currency: line.currency,
        price: line.price,
        deposit: line.deposit,
        unit_value: line.unit_value,
        expected_on: line.acknowledged_on.or(line.expected_on),
        quote: line.quote,
        job: line.job,
        acknowledged_quantity: line.acknowledged_quantity,
        substitute: line.substitute,
        contents: frozen_contents(&line.contents),
        shares: shares(&line.shares),
    }
}

/// Shares of a line as they are shown.
pub(crate) fn shares(shares: &[store::OrderShare]) -> Vec<LineShare> {
    let shown = shares.iter().map(|share| LineShare {
        content: share.content,
        part: share.part.clone(),
        quantity: share.quantity,
        job: share.job.clone(),
        quote: share.quote.clone(),
    });
    shown.collect()
}

/// Stored contents as the resolver knows them.
pub(crate) fn frozen_contents(contents: &[store::OrderContent]) -> Vec<FrozenContent> {
    let known = contents.iter().map(|content| FrozenContent {
        content: content.content,
        part: content.part.clone(),
        quantity: content.quantity,
        option_group: content.option_group.clone(),
        through: content.through.clone(),
    });
    known.collect()
}

fn totals(lines: &[OrderLine]) -> Vec<OrderTotal> {
    let mut totals: Vec<OrderTotal> = Vec::new();
    for line in lines {
        let of_all = |each: Money| each.times(line.quantity.raw(), Quantity::SCALE).unwrap_or_default();
        let (goods, deposits) = (of_all(line.price), of_all(line.deposit));
        match totals.iter_mut().find(|total| total.currency == line.currency) {
            Some(total) => {
                total.goods += goods;
                total.deposits += deposits;
            }
            None => totals.push(OrderTotal { currency: line.currency.clone(), goods, deposits }),
        }
    }
    totals.sort_by(|a, b| a.currency.cmp(&b.currency));
    totals
}
