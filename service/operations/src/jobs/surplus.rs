//! What a job's kits brought that the job did not use: put on the shelf when the job is closed.
//!
//! A kit is received with all its sizes, each carried at its share of the kit's cost (`resolver::receipt::cost_shares`).
//! What of it is not in the job at the close is surplus: it goes to the bin that the close names, or stays in the bin
//! where it was received, at its share. What somebody else has taken or reserved meanwhile is no surplus any more.

use std::collections::BTreeMap;

use catalogue::{Code, Mark, Money, PartKey, Quantity};
use serde::{Deserialize, Serialize};
use store::{JobPiece, Lot, Posting, PostingKind};
use utoipa::ToSchema;

use super::error::JobError;
use super::sheet::JobSheet;
use super::step::PartLine;
use crate::shop::Shop;

/// Pieces that were bought for a job and not used.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ShelvedSurplus {
    /// The part.
    pub part: PartKey,
    /// What was ordered and brought it.
    pub ordered: PartKey,
    /// The option group whose sizes all lay in the box.
    pub option_group: Option<Code>,
    /// The mark etched on a matched set; empty: none.
    pub mark: Mark,
    /// The maker's batch; empty: not known.
    pub batch: String,
    /// How many.
    pub quantity: Quantity,
    /// The bin where they lie from now on.
    pub bin: Code,
    /// The bin into which they were received.
    pub received_into: Code,
    /// The share of the cost that one piece carries, in the base currency.
    pub unit_value: Money,
    /// The share of all of them.
    pub amount: Money,
}

/// What is surplus of a job, and the postings that bring it where it shall lie.
pub(crate) async fn surplus(
    shop: &Shop,
    job: &JobSheet,
    to: Option<&Code>,
) -> Result<(Vec<ShelvedSurplus>, Vec<Posting>), JobError> {
    let bought = shop.store().pieces_for_job(&job.number).await?;
    let parts: Vec<PartKey> = bought.iter().map(|piece| piece.lot.part.clone()).collect();
    let lots = shop.store().load_stock(&parts).await?.lots;
    let free = lots.into_iter().map(|lot| {
        let key = Lot { part: lot.part, bin: lot.bin, mark: lot.mark };
        (key, lot.quantity - lot.reserved)
    });
    let mut free: BTreeMap<Lot, Quantity> = free.collect();
    for own in super::parts_of_job::reserved(shop, &job.number).await? {
        // What the job holds without having used it is given back by the close.
        if to.is_none_or(|to| *to == own.lot.bin) {
            *free.entry(own.lot).or_default() += own.open;
        }
    }
    let lines = left_over(&bought, &job.issued, free, to);
    let postings = lines.iter().filter(|line| line.bin != line.received_into).map(|line| Posting {
        lot: Lot { part: line.part.clone(), bin: line.received_into.clone(), mark: line.mark.clone() },
        kind: PostingKind::Transfer { quantity: line.quantity, to: line.bin.clone() },
        batch: line.batch.clone(),
        reason: format!("surplus of {}", line.ordered),
    });
    let postings = postings.collect();
    Ok((lines, postings))
}

/// Of what was bought, what is neither in the job nor gone from where it was received.
fn left_over(
    bought: &[JobPiece],
    issued: &[PartLine],
    mut free: BTreeMap<Lot, Quantity>,
    to: Option<&Code>,
) -> Vec<ShelvedSurplus> {
    let mut used: BTreeMap<Lot, Quantity> = BTreeMap::new();
    for line in issued {
        let lot = Lot { part: line.part.clone(), bin: line.bin.clone(), mark: line.mark.clone() };
        *used.entry(lot).or_default() += line.quantity;
    }
    let mut lines = Vec::new();
    for piece in bought {
        let used = used.entry(piece.lot.clone()).or_default();
        let taken = piece.quantity.min(*used);
        *used = *used - taken;
        let there = free.entry(piece.lot.clone()).or_default();
        let quantity = (piece.quantity - taken).min(*there);
        *there = *there - quantity;
        if quantity > Quantity::ZERO {
            lines.push(ShelvedSurplus {
                part: piece.lot.part.clone(),
                ordered: piece.ordered.clone(),
                option_group: piece.option_group.clone(),
                mark: piece.lot.mark.clone(),
                batch: piece.batch.clone(),
                quantity,
                bin: to.unwrap_or(&piece.lot.bin).clone(),
                received_into: piece.lot.bin.clone(),
                unit_value: piece.unit_value,
                amount: piece.unit_value.times(quantity.raw(), Quantity::SCALE).unwrap_or_default(),
            });
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    fn piece(part: &str, quantity: i64) -> JobPiece {
        JobPiece {
            lot: lot(part),
            batch: String::new(),
            ordered: PartKey::from_stored("V/KIT"),
            stands_for: None,
            option_group: None,
            quantity: Quantity::whole(quantity),
            unit_value: Money::from_raw(12_345),
        }
    }

    fn lot(part: &str) -> Lot {
        Lot { part: PartKey::from_stored(part), bin: Code::from_stored("A"), mark: Mark::default() }
    }

    fn issued(part: &str, quantity: i64) -> PartLine {
        let Lot { part, bin, mark } = lot(part);
        let quantity = Quantity::whole(quantity);
        PartLine { unit: None, position: None, part, bin, mark, quantity, batch: String::new() }
    }

    fn told(bought: &[JobPiece], issued: &[PartLine], free: &[(&str, i64)]) -> Vec<String> {
        let free = free.iter().map(|(part, count)| (lot(part), Quantity::whole(*count))).collect();
        let lines = left_over(bought, issued, free, None);
        lines.iter().map(|line| format!("{} {} {}", line.part, line.quantity, line.amount)).collect()
    }

    #[test]
    fn what_is_not_in_the_job_is_left_over() {
        let bought = [piece("V/NUT30", 1), piece("V/NUT33", 1), piece("V/BOLT", 10)];
        let used = [issued("V/NUT30", 1), issued("V/BOLT", 8)];
        let free = [("V/NUT33", 1), ("V/BOLT", 2)];
        assert_eq!(told(&bought, &used, &free), ["V/NUT33 1 1.2345", "V/BOLT 2 2.469"]);
    }

    #[test]
    fn what_is_gone_is_no_surplus_and_older_stock_is_not_claimed() {
        assert_eq!(told(&[piece("V/NUT", 2)], &[], &[]), Vec::<String>::new());
        assert_eq!(told(&[piece("V/NUT", 2)], &[issued("V/NUT", 1)], &[("V/NUT", 7)]), ["V/NUT 1 1.2345"]);
        assert_eq!(told(&[piece("V/NUT", 1)], &[issued("V/NUT", 3)], &[("V/NUT", 7)]), Vec::<String>::new());
        let twice = [piece("V/NUT", 1), piece("V/NUT", 1)];
        assert_eq!(told(&twice, &[], &[("V/NUT", 1)]), ["V/NUT 1 1.2345"]);
    }
}
