//! The orders of a round: one a supplier, with what each line brings frozen and for whom.

use std::collections::BTreeMap;

use catalogue::{Code, Money, Quantity};
use chrono::Utc;
use resolver::answer::PartName;
use resolver::order_round::{RoundPlan, RoundShare};
use store::{NewOrder, NewOrderLine, OrderShare};

use super::Gathered;
use crate::draft_orders::{Lines, kit_line, loose_line, with_contents};
use crate::order_error::OrderError;
use crate::shop::Shop;

/// The orders of a round with what the answer says of their lines besides.
pub(super) struct Drafts {
    /// The orders, by supplier.
    pub(super) orders: Vec<NewOrder>,
    /// For each order and line the part by name, and what the line costs in the base currency, deposits included.
    pub(super) heads: Vec<Vec<(PartName, Money)>>,
}

/// For each need of a job, in the order of the needs, the job and the quote that decided it; needs behind them are the
/// shelf's.
type Owners<'a> = Vec<(&'a str, &'a str)>;

fn owners(gathered: &Gathered) -> Owners<'_> {
    let lines = gathered.jobs.iter().flat_map(|job| job.lines.iter().map(move |_| job));
    lines.map(|job| (job.number.as_str(), job.quote.as_str())).collect()
}

/// What a line is about, what it costs, and whose its pieces are.
type Bought<'a> = (PartName, Money, &'a [RoundShare]);

/// Makes the orders of a plan.
pub(super) async fn drafts(
    shop: &Shop,
    gathered: &Gathered,
    plan: &RoundPlan,
    (by, note): (&str, &str),
) -> Result<Drafts, OrderError> {
    let mut lines = Lines::new();
    let mut more: BTreeMap<Code, Vec<Bought>> = BTreeMap::new();
    for (kit, shares) in plan.sourcing.kits.iter().zip(&plan.kit_shares) {
        lines.entry(kit.supplier.clone()).or_default().push(kit_line(kit, None));
        more.entry(kit.supplier.clone()).or_default().push((kit.kit.clone(), kit.cost, shares));
    }
    for (loose, shares) in plan.sourcing.loose.iter().zip(&plan.loose_shares) {
        lines.entry(loose.supplier.clone()).or_default().push(loose_line(loose, None));
        more.entry(loose.supplier.clone()).or_default().push((loose.part.clone(), loose.cost, shares));
    }
    let owners = owners(gathered);
    let mut orders = with_contents(shop, lines, Utc::now(), by, note).await?;
    let mut heads = Vec::with_capacity(orders.len());
    for (order, more) in orders.iter_mut().zip(more.into_values()) {
        let mut of_order = Vec::with_capacity(more.len());
        for (line, (name, cost, shares)) in order.lines.iter_mut().zip(more) {
            line.shares = shares_of(&owners, line, shares);
            let mut whose = line.shares.iter().map(|share| (&share.job, &share.quote));
            if let Some(first) = whose.next()
                && whose.all(|other| other == first)
            {
                // All of it is for one: what is left over belongs to that job too.
                (line.job, line.quote) = (first.0.clone(), first.1.clone());
            }
            of_order.push((name, cost));
        }
        heads.push(of_order);
    }
    Ok(Drafts { orders, heads })
}

/// The shares of a line by its contents: pieces for the same job, or for the shelf, are one share.
fn shares_of(owners: &Owners<'_>, line: &NewOrderLine, shares: &[RoundShare]) -> Vec<OrderShare> {
    let mut there: Vec<Quantity> = line
        .contents
        .iter()
        .map(|content| content.quantity.times(line.quantity).unwrap_or_default())
        .collect();
    let mut found: Vec<OrderShare> = Vec::new();
    for share in shares {
        let owner = owners.get(share.need).copied();
        let (job, quote) = (owner.map(|(job, _)| job.to_owned()), owner.map(|(_, quote)| quote.to_owned()));
        let mut left = share.quantity;
        for (content, there) in line.contents.iter().zip(&mut there).filter(|(c, _)| c.part == share.part) {
            let quantity = left.min(*there);
            if quantity == Quantity::ZERO {
                continue;
            }
            *there = *there - quantity;
            left = left - quantity;
            let same = |known: &&mut OrderShare| known.content == content.content && known.job == job;
            match found.iter_mut().find(same) {
                Some(known) => known.quantity += quantity,
                None => found.push(OrderShare {
                    content: content.content,
                    part: share.part.clone(),
                    job: job.clone(),
                    quote: quote.clone(),
                    quantity,
                }),
            }
        }
    }
    found
}
