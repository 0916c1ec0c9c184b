//! What is on its way for a job: what its orders are still to bring.

use std::collections::BTreeSet;

use catalogue::{PartKey, Quantity};
use store::{Order, OrderFilter, OrderLine, dealt};

use crate::order_error::OrderError;
use crate::shop::Shop;

/// Most orders that are looked at for one job.
const ORDERS_MAX: u64 = 500;

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
    let mut filters = vec![OrderFilter { job: Some(job.to_owned()), ..OrderFilter::default() }];
    filters.extend(
        quotes.iter().map(|quote| OrderFilter { quote: Some(quote.clone()), ..OrderFilter::default() }),
    );
    let mut numbers = BTreeSet::new();
    for filter in &filters {
        for state in ["draft", "placed", "acknowledged", "part_received"] {
            let filter = OrderFilter { state: Some(state.to_owned()), ..filter.clone() };
            let found = shop.store().list_orders(&filter, None, ORDERS_MAX).await?;
            numbers.extend(found.into_iter().map(|order| order.number));
        }
    }
    let mut coming = Vec::new();
    for number in numbers {
        let Some(order) = shop.store().order(&number).await? else { continue };
        let received = shop.store().received_of_order(&number).await?;
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
                let (all, here) =
                    (dealt(&line.shares, content.content, all), dealt(&line.shares, content.content, here));
                let own = line.shares.iter().zip(all.iter().zip(here));
                own.filter(|(share, _)| share.job.as_deref() == Some(job))
                    .map(|(_, (all, here))| *all - here)
                    .sum()
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
