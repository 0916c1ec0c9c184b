//! The orders, the oldest first.

use catalogue::Code;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use store::OrderFilter;
use utoipa::ToSchema;

use crate::listed::Listed;
use crate::order_error::OrderError;
use crate::shop::Shop;
use crate::show_order::{OrderState, state_of};

/// Which orders are wanted.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct OrdersWanted {
    /// To this supplier.
    pub supplier: Option<String>,
    /// In this state.
    pub state: Option<OrderState>,
    /// With lines for this quote.
    pub quote: Option<String>,
    /// With lines for this job.
    pub job: Option<String>,
}

/// An order in a list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct OrderHead {
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
    /// How many lines it has.
    pub lines: i64,
    /// The last day on which one of them is expected.
    pub expected_on: Option<NaiveDate>,
}

/// The orders behind a number, at most so many.
pub async fn list_orders(
    shop: &Shop,
    wanted: &OrdersWanted,
    after: Option<&str>,
    limit: u64,
) -> Result<Listed<OrderHead>, OrderError> {
    let upper = |text: &Option<String>| text.as_ref().map(|text| text.trim().to_uppercase());
    let filter = OrderFilter {
        supplier: upper(&wanted.supplier).map(Code::from_stored),
        state: wanted.state.map(|state| state.word().to_owned()),
        quote: upper(&wanted.quote),
        job: upper(&wanted.job),
    };
    let found = shop.store().list_orders(&filter, after, limit.saturating_add(1)).await?;
    let mut heads = Vec::with_capacity(found.len());
    for order in found {
        heads.push(OrderHead {
            state: state_of(&order.state)?,
            number: order.number,
            supplier: order.supplier,
            created_at: order.created_at,
            created_by: order.created_by,
            lines: order.lines,
            expected_on: order.expected_on,
        });
    }
    Ok(Listed::of(heads, limit, |head| head.number.clone()))
}
