//! What the shelf needs to be bought for: what will lie below its minimum when the jobs have taken what is free.

use std::collections::BTreeMap;

use catalogue::{Code, Minimum, PartKey, Quantity, StockLot};
use resolver::order_round::RoundNeed;

use super::needs::JobNeeds;
use crate::below_minimum::available;
use crate::order_error::OrderError;
use crate::shop::Shop;

/// What the shelf lacks of a part.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ShelfNeed {
    /// The part.
    pub(super) part: PartKey,
    /// The bin that is counted; `None`: all bins together.
    pub(super) bin: Option<Code>,
    /// The least that should be there.
    pub(super) minimum: Quantity,
    /// How many should be there after the round.
    pub(super) order_up_to: Quantity,
    /// How many lie free there.
    pub(super) available: Quantity,
    /// How many are on order for the shelf.
    pub(super) on_order: Quantity,
    /// How many of those that are free the jobs of the round will take.
    pub(super) for_jobs: Quantity,
    /// How many lack.
    pub(super) lacking: Quantity,
    /// How many of the part shall lie free when all jobs are served: those that stay, and those that lack. So what the jobs
    /// leave on the shelf need not be bought.
    pub(super) need: RoundNeed,
}

/// What the shelf needs besides the jobs, by part.
pub(super) async fn shelf_needs(shop: &Shop, jobs: &[JobNeeds]) -> Result<Vec<ShelfNeed>, OrderError> {
    let minimums: Vec<Minimum> = shop.store().all_rows().await?;
    let parts: Vec<PartKey> = minimums.iter().map(|row| row.part.clone()).collect();
    let lots = shop.store().load_stock(&parts).await?.lots;
    let on_order = shop.store().on_order(&parts).await?;
    let mut wanted: BTreeMap<&PartKey, Quantity> = BTreeMap::new();
    for line in jobs.iter().flat_map(|job| &job.lines) {
        *wanted.entry(&line.decided.part).or_default() += line.need.quantity;
    }
    let needs = minimums.iter().filter_map(|row| {
        let of_jobs = wanted.get(&row.part).copied().unwrap_or_default();
        let on_order = on_order.get(&row.part).copied().unwrap_or_default();
        shelf_need(row, &lots, on_order, of_jobs)
    });
    Ok(needs.collect())
}

/// What lacks of a part, if anything does.
fn shelf_need(row: &Minimum, lots: &[StockLot], on_order: Quantity, of_jobs: Quantity) -> Option<ShelfNeed> {
    let free: Quantity =
        lots.iter().filter(|lot| lot.part == row.part).map(|lot| lot.quantity - lot.reserved).sum();
    let available = available(row, lots);
    let for_jobs = of_jobs.min(free);
    // Jobs take from other bins first.
    let left = available - (for_jobs - (free - available)).max(Quantity::ZERO);
    if left + on_order >= row.minimum {
        return None;
    }
    let order_up_to = row.order_up_to.unwrap_or(row.minimum);
    let lacking = order_up_to - left - on_order;
    Some(ShelfNeed {
        part: row.part.clone(),
        bin: row.bin.clone(),
        minimum: row.minimum,
        order_up_to,
        available,
        on_order,
        for_jobs,
        lacking,
        need: RoundNeed { quantity: lacking + (free - for_jobs), accepts: vec![row.part.clone()] },
    })
}

#[cfg(test)]
mod tests {
    use catalogue::{Mark, Money};

    use super::*;

    fn lot(bin: &str, quantity: i64) -> StockLot {
        StockLot {
            part: PartKey::from_stored("V/S1"),
            bin: Code::from_stored(bin),
            mark: Mark::default(),
            quantity: Quantity::whole(quantity),
            reserved: Quantity::ZERO,
            carrying_value: Money::ZERO,
        }
    }

    fn told(bin: Option<&str>, lots: &[StockLot], on_order: i64, of_jobs: i64) -> Option<(String, String)> {
        let row = Minimum {
            part: PartKey::from_stored("V/S1"),
            bin: bin.map(Code::from_stored),
            minimum: Quantity::whole(3),
            order_up_to: Some(Quantity::whole(5)),
        };
        let found = shelf_need(&row, lots, Quantity::whole(on_order), Quantity::whole(of_jobs))?;
        Some((found.lacking.to_string(), found.need.quantity.to_string()))
    }

    #[test]
    fn what_jobs_will_take_is_no_longer_on_the_shelf() {
        let lots = [lot("A", 3), lot("B", 1)];
        let pair = |lacking: &str, need: &str| Some((lacking.to_owned(), need.to_owned()));
        assert_eq!(told(None, &lots, 0, 0), None);
        // Two of four stay: three lack, and five shall lie there.
        assert_eq!(told(None, &lots, 0, 2), pair("3", "5"));
        assert_eq!(told(None, &lots, 1, 2), None);
        assert_eq!(told(None, &lots, 0, 9), pair("5", "5"));
        // Only bin A counts; the jobs take the one of bin B first.
        assert_eq!(told(Some("A"), &lots, 0, 1), None);
        assert_eq!(told(Some("A"), &lots, 0, 2), pair("3", "5"));
        assert_eq!(told(Some("C"), &lots, 0, 2), pair("5", "7"));
    }
}
