//! What is on its way for a job: what its orders are still to bring.

use catalogue::{PartKey, Quantity};
use store::{Order, OrderLine, dealt_between};

use crate::deliveries::orders_for;
use crate::order_error::OrderError;
use crate::shop::Shop;
use crate::show_order::OrderState;

/// Pieces that are to come for a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Coming {
    /// The numbers under which they meet a need: what comes, and what was ordered before a substitute was taken.
    pub(super) names: Vec<PartKey>,
    /// How many.
    pub(super) quantity: Quantity,
}

/// What is to come for a job, by its number or by its quotes.
pub(super) async fn on_its_way(shop: &Shop, job: &str, quotes: &[String]) -> Result<Vec<Coming>, OrderError> {
    use OrderState::{Acknowledged, Draft, PartReceived, Placed};
    let brings_more = |state| matches!(state, Draft | Placed | Acknowledged | PartReceived);
    let mut coming = Vec::new();
    for order in orders_for(shop, quotes, Some(job), brings_more).await? {
        let received = shop.store().received_of_order(&order.number).await?;
        let come =
            |line: &OrderLine, content: i64| received.get(&(line.line, content)).copied().unwrap_or_default();
        coming.extend(of_order(&order, come, job, quotes));
    }
    Ok(coming)
}

/// What an order is still to bring for a job.
fn of_order(
    order: &Order,
    come: impl Fn(&OrderLine, i64) -> Quantity,
    job: &str,
    quotes: &[String],
) -> Vec<Coming> {
    let mut coming = Vec::new();
    for line in &order.lines {
        let whole = line.job.as_deref() == Some(job)
            || (line.job.is_none() && line.quote.as_ref().is_some_and(|quote| quotes.contains(quote)));
        let promised = line.acknowledged_quantity.unwrap_or(line.quantity);
        for content in &line.contents {
            let all = content.quantity.times(promised).unwrap_or_default();
            let here = come(line, content.content);
            let open = if whole {
                all - here
            } else {
                let open = dealt_between(&line.shares, content.content, here, all);
                open.filter(|(share, _)| share.job.as_deref() == Some(job)).map(|(_, open)| open).sum()
            };
            if open > Quantity::ZERO {
                let shared = line.shares.iter().filter(|share| share.content == content.content);
                let mut names: Vec<PartKey> = shared.map(|share| share.part.clone()).collect();
                if let [_] = line.contents.as_slice() {
                    names.extend(line.replaced.iter().cloned());
                }
                names.push(content.part.clone());
                names.sort();
                names.dedup();
                coming.push(Coming { names, quantity: open });
            }
        }
    }
    coming
}
