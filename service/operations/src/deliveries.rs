//! When what was ordered for a quote or a job is here: as it was planned, and as the suppliers have answered since.

use std::collections::BTreeSet;

use catalogue::{Code, PartKey, Quantity};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use store::{Order, OrderFilter, OrderLine, OrderShare, dealt};
use utoipa::ToSchema;

use crate::jobs::error::JobError;
use crate::jobs::sheet::show_job;
use crate::order_error::OrderError;
use crate::shop::Shop;
use crate::show_order::{OrderState, state_of};
use crate::show_quote::stored;

/// Most orders that are looked at for one quote or job.
const ORDERS_MAX: u64 = 500;

/// What is on its way for a quote or a job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Deliveries {
    /// The day on which all of it was to be here when it was ordered.
    pub planned_on: Option<NaiveDate>,
    /// The day on which all that will come is expected now.
    pub expected_on: Option<NaiveDate>,
    /// How many days later than planned; below zero: earlier.
    pub days_later: i64,
    /// Whether something will not come, or something else is offered: somebody must decide.
    pub to_decide: bool,
    /// The lines of orders that are not cancelled, by order and line.
    pub lines: Vec<DeliveryLine>,
}

/// A line of an order that is on its way for a quote or a job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct DeliveryLine {
    /// The order.
    pub order: String,
    /// To whom.
    pub supplier: Code,
    /// How far the order has come.
    pub state: OrderState,
    /// Number of the line.
    pub line: i64,
    /// The part.
    pub part: PartKey,
    /// The quote whose shortage it meets.
    pub quote: Option<String>,
    /// The job whose shortage it meets.
    pub job: Option<String>,
    /// How many were ordered.
    #[schema(value_type = String)]
    pub ordered: Quantity,
    /// How many will come, as far as the supplier has said.
    #[schema(value_type = String)]
    pub coming: Quantity,
    /// How many will not.
    #[schema(value_type = String)]
    pub lacking: Quantity,
    /// The day for which it was planned.
    pub planned_on: Option<NaiveDate>,
    /// The day on which it is expected now; empty: nothing of it comes.
    pub expected_on: Option<NaiveDate>,
    /// How many days later than planned.
    pub days_later: i64,
    /// The part that the supplier offers instead, not taken yet.
    pub substitute: Option<PartKey>,
    /// Of a line that serves several jobs or the shelf too: what of it is for this quote or job. The quantities above are then
    /// those of these pieces, but of a kit its boxes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub shares: Vec<DeliveryShare>,
}

/// Pieces of a line that are for a quote or a job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct DeliveryShare {
    /// The part that was needed.
    pub part: PartKey,
    /// How many were ordered for it.
    #[schema(value_type = String)]
    pub ordered: Quantity,
    /// How many will come for it, as far as the supplier has said.
    #[schema(value_type = String)]
    pub coming: Quantity,
}

/// What is on its way for a quote.
pub async fn quote_deliveries(shop: &Shop, number: &str) -> Result<Deliveries, OrderError> {
    let quote = stored(shop, number).await?.number;
    of_orders(shop, &[quote], None).await
}

/// What is on its way for a job: by its own number, or by the quotes of its estimate and decision.
pub async fn job_deliveries(shop: &Shop, number: &str) -> Result<Deliveries, JobError> {
    let job = show_job(shop, number).await?;
    let quotes: BTreeSet<String> = [job.estimate, job.decision, job.approval.map(|approval| approval.quote)]
        .into_iter()
        .flatten()
        .collect();
    let quotes: Vec<String> = quotes.into_iter().collect();
    of_orders(shop, &quotes, Some(&job.number)).await.map_err(|error| match error {
        OrderError::Store(error) => JobError::Store(error),
        OrderError::Quote(error) => JobError::Quote(error),
        other => JobError::NotReady(other.to_string()),
    })
}

async fn of_orders(shop: &Shop, quotes: &[String], job: Option<&str>) -> Result<Deliveries, OrderError> {
    let mut lines = Vec::new();
    for order in orders_for(shop, quotes, job, |state| state != OrderState::Cancelled).await? {
        let state = state_of(&order.state)?;
        let is_for = |of_job: &Option<String>, of_quote: &Option<String>| {
            of_quote.as_ref().is_some_and(|quote| quotes.contains(quote))
                || (job.is_some() && of_job.as_deref() == job)
        };
        for line in &order.lines {
            if is_for(&line.job, &line.quote) {
                lines.push(delivery(&order, state, line));
            } else if line.shares.iter().any(|share| is_for(&share.job, &share.quote)) {
                lines.push(shared_delivery(delivery(&order, state, line), line, |share| {
                    is_for(&share.job, &share.quote)
                }));
            }
        }
    }
    Ok(summed(lines))
}

/// The orders in such states that have lines, or shares of lines, for one of the quotes or the job, by their numbers.
pub(crate) async fn orders_for(
    shop: &Shop,
    quotes: &[String],
    job: Option<&str>,
    in_state: impl Fn(OrderState) -> bool,
) -> Result<Vec<Order>, OrderError> {
    let of_quotes =
        quotes.iter().map(|quote| OrderFilter { quote: Some(quote.clone()), ..Default::default() });
    let of_job = job.map(|job| OrderFilter { job: Some(job.to_owned()), ..Default::default() });
    let mut numbers = BTreeSet::new();
    for filter in of_quotes.chain(of_job) {
        for entry in shop.store().list_orders(&filter, None, ORDERS_MAX).await? {
            if in_state(state_of(&entry.state)?) {
                numbers.insert(entry.number);
            }
        }
    }
    let mut orders = Vec::with_capacity(numbers.len());
    for number in &numbers {
        orders.extend(shop.store().order(number).await?);
    }
    Ok(orders)
}

fn delivery(order: &Order, state: OrderState, line: &OrderLine) -> DeliveryLine {
    let coming = line.acknowledged_quantity.unwrap_or(line.quantity);
    let expected = line.acknowledged_on.or(line.expected_on).filter(|_| coming > Quantity::ZERO);
    DeliveryLine {
        order: order.number.clone(),
        supplier: order.supplier.clone(),
        state,
        line: line.line,
        part: line.part.clone(),
        quote: line.quote.clone(),
        job: line.job.clone(),
        ordered: line.quantity,
        coming,
        lacking: line.quantity - coming,
        planned_on: line.expected_on,
        expected_on: expected,
        days_later: later(line.expected_on, expected),
        substitute: line.substitute.clone(),
        shares: Vec::new(),
    }
}

/// A line that serves several, as it is for one of them: what the supplier sends less than was ordered lacks to the shelf
/// first, then to those that stand last.
fn shared_delivery(
    whole: DeliveryLine,
    line: &OrderLine,
    is_own: impl Fn(&OrderShare) -> bool,
) -> DeliveryLine {
    let mut shares = Vec::new();
    for content in &line.contents {
        let all = content.quantity.times(whole.coming).unwrap_or_default();
        let coming = dealt(&line.shares, content.content, all);
        let of_content = line.shares.iter().zip(coming).filter(|(share, _)| share.content == content.content);
        shares.extend(of_content.filter(|(share, _)| is_own(share)).map(|(share, coming)| DeliveryShare {
            part: share.part.clone(),
            ordered: share.quantity,
            coming,
        }));
    }
    let owner = line.shares.iter().find(|share| is_own(share));
    let (job, quote) =
        (owner.and_then(|share| share.job.clone()), owner.and_then(|share| share.quote.clone()));
    let ordered: Quantity = shares.iter().map(|share| share.ordered).sum();
    let coming: Quantity = shares.iter().map(|share| share.coming).sum();
    let expected_on = whole.expected_on.filter(|_| coming > Quantity::ZERO);
    let (ordered, coming, lacking) = match line.contents.as_slice() {
        [_] => (ordered, coming, ordered - coming),
        // Boxes: one that does not come lacks where pieces of it do.
        _ if coming < ordered => (whole.ordered, whole.coming, whole.lacking),
        _ => (whole.ordered, whole.ordered, Quantity::ZERO),
    };
    DeliveryLine {
        job,
        quote,
        ordered,
        coming,
        lacking,
        days_later: later(whole.planned_on, expected_on),
        expected_on,
        shares,
        ..whole
    }
}

fn later(planned: Option<NaiveDate>, expected: Option<NaiveDate>) -> i64 {
    match (planned, expected) {
        (Some(planned), Some(expected)) => (expected - planned).num_days(),
        _ => 0,
    }
}

fn summed(lines: Vec<DeliveryLine>) -> Deliveries {
    let planned_on = lines.iter().filter_map(|line| line.planned_on).max();
    let expected_on = lines.iter().filter_map(|line| line.expected_on).max();
    Deliveries {
        planned_on,
        expected_on,
        days_later: later(planned_on, expected_on),
        to_decide: lines.iter().any(|line| line.lacking > Quantity::ZERO || line.substitute.is_some()),
        lines,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(planned: &str, expected: Option<&str>, lacking: i64) -> DeliveryLine {
        let day = |text: &str| text.parse().unwrap();
        DeliveryLine {
            order: "PO-000001".to_owned(),
            supplier: Code::parse("OSTREL").unwrap(),
            state: OrderState::Acknowledged,
            line: 1,
            part: PartKey::parse("VESSICK/S-1").unwrap(),
            quote: None,
            job: None,
            ordered: Quantity::whole(2),
            coming: Quantity::whole(2 - lacking),
            lacking: Quantity::whole(lacking),
            planned_on: Some(day(planned)),
            expected_on: expected.map(day),
            days_later: 0,
            substitute: None,
            shares: Vec::new(),
        }
    }

    fn share(content: i64, job: Option<&str>, quantity: i64) -> OrderShare {
        OrderShare {
            content,
            part: PartKey::parse("VESSICK/S-1").unwrap(),
            job: job.map(str::to_owned),
            quote: None,
            quantity: Quantity::whole(quantity),
        }
    }

    fn shared(contents: i64, lacking: i64, job: &str) -> DeliveryLine {
        let content = |content| store::OrderContent {
            content,
            part: PartKey::parse("VESSICK/S-1").unwrap(),
            quantity: Quantity::whole(1),
            option_group: None,
            through: Vec::new(),
            unit_value: None,
        };
        let whole = DeliveryLine {
            ordered: Quantity::whole(10),
            coming: Quantity::whole(10 - lacking),
            lacking: Quantity::whole(lacking),
            ..line("2026-12-01", Some("2026-12-08"), 0)
        };
        let of_order = OrderLine {
            line: 1,
            part: whole.part.clone(),
            quantity: whole.ordered,
            currency: catalogue::Currency::parse("EUR").unwrap(),
            price: catalogue::Money::ZERO,
            deposit: catalogue::Money::ZERO,
            unit_value: catalogue::Money::ZERO,
            expected_on: whole.planned_on,
            quote: None,
            job: None,
            acknowledged_quantity: Some(whole.coming),
            acknowledged_on: whole.expected_on,
            substitute: None,
            contents: (1..=contents).map(content).collect(),
            shares: vec![share(1, None, 3), share(1, Some("J-000001"), 3), share(1, Some("J-000002"), 4)],
            replaced: Vec::new(),
        };
        shared_delivery(whole, &of_order, |share| share.job.as_deref() == Some(job))
    }

    #[test]
    fn what_lacks_of_a_shared_line_lacks_to_the_shelf_first_then_to_the_last_job() {
        let told = |contents, lacking, job| {
            let line = shared(contents, lacking, job);
            [line.ordered, line.coming, line.lacking].map(|quantity| quantity.raw() / Quantity::SCALE)
        };
        assert_eq!(told(1, 3, "J-000002"), [4, 4, 0]);
        assert_eq!(told(1, 4, "J-000002"), [4, 3, 1]);
        assert_eq!(told(1, 4, "J-000001"), [3, 3, 0]);
        assert_eq!(shared(1, 10, "J-000001").expected_on, None);
        assert_eq!(shared(1, 4, "J-000001").job.as_deref(), Some("J-000001"));
        // Of a kit in boxes.
        assert_eq!(told(2, 3, "J-000002"), [10, 10, 0]);
        assert_eq!(told(2, 4, "J-000002"), [10, 6, 4]);
    }

    #[test]
    fn the_last_line_says_when_all_is_here() {
        let all = summed(vec![
            line("2026-12-01", Some("2026-12-08"), 0),
            line("2026-12-03", Some("2026-12-03"), 1),
            line("2026-12-10", None, 2),
        ]);
        assert_eq!(all.planned_on, "2026-12-10".parse().ok());
        assert_eq!((all.expected_on, all.days_later), ("2026-12-08".parse().ok(), -2));
        assert!(all.to_decide);
        assert!(!summed(vec![line("2026-12-01", Some("2026-12-01"), 0)]).to_decide);
    }
}
