//! What has fallen below its shelf minimum, and the orders that fill it up again.

use std::collections::BTreeMap;

use catalogue::{Code, Minimum, Part, PartKey, Quantity, StockLot, UnitOfMeasure};
use chrono::Utc;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::draft_orders::{AskedOrderLine, AskedOrders, DraftedOrders, draft_for_shelf};
use crate::identify_part::identify_part;
use crate::listed::Listed;
use crate::order_error::OrderError;
use crate::proposal::{Proposal, proposal};
use crate::shop::Shop;

/// Most parts that are named in one request.
const PARTS_MAX: usize = 500;
/// How often a reorder is worked out again when somebody else drafts orders meanwhile.
const TRIES_MAX: usize = 8;

/// A part of which less is there than should be.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BelowMinimum {
    /// The part.
    pub part: PartKey,
    /// The number as the maker writes it.
    pub number: String,
    /// What it is called.
    pub name: String,
    /// The bin that is counted; empty: all bins together.
    pub bin: Option<Code>,
    /// The least that should be there.
    pub minimum: Quantity,
    /// How many should be there after a reorder.
    pub order_up_to: Quantity,
    /// How many lie free there.
    pub available: Quantity,
    /// How many are on order for the shelf: what is ordered for a job or a quote is spoken for.
    pub on_order: Quantity,
    /// How many are to be ordered, and from whom.
    pub reorder: Proposal,
    /// Unit of the quantities.
    pub measure: UnitOfMeasure,
}

/// Which reorders are to be drafted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReordersToDraft {
    /// Who drafts them.
    #[schema(min_length = 1, max_length = 100, example = "M. Brandl")]
    pub by: String,
    /// Only these parts: MAKER/NUMBER, or the number alone; left out: all that somebody sells.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false, max_items = 500)]
    pub parts: Vec<String>,
    /// A note to the suppliers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false, max_length = 2000)]
    pub note: Option<String>,
}

/// Everything that is below its minimum, by part. Available and on order count; the number of queries does not depend on
/// the number of minimums.
pub async fn below_minimum(shop: &Shop) -> Result<Vec<BelowMinimum>, OrderError> {
    let minimums: Vec<Minimum> = shop.store().all_rows().await?;
    let parts: Vec<PartKey> = minimums.iter().map(|row| row.part.clone()).collect();
    let lots = shop.store().load_stock(&parts).await?.lots;
    let on_order = shop.store().on_order(&parts).await?;
    let lacking: Vec<(Minimum, Quantity, Quantity)> = minimums
        .into_iter()
        .filter_map(|row| {
            let on_order = on_order.get(&row.part).copied().unwrap_or_default();
            let available = available(&row, &lots);
            (available + on_order < row.minimum).then_some((row, available, on_order))
        })
        .collect();
    let parts: Vec<PartKey> = lacking.iter().map(|(row, ..)| row.part.clone()).collect();
    let book = shop.store().load_prices(&parts, None).await?;
    let snapshot = shop.store().load_part_families(&parts).await?;
    let known: BTreeMap<&PartKey, &Part> = snapshot.parts.iter().map(|part| (&part.part, part)).collect();
    let today = Utc::now().date_naive();
    let mut found = Vec::with_capacity(lacking.len());
    for (row, available, on_order) in lacking {
        let part = known.get(&row.part);
        let order_up_to = row.order_up_to.unwrap_or(row.minimum);
        let wanted = order_up_to - available - on_order;
        found.push(BelowMinimum {
            number: part.map_or(String::new(), |part| part.number.clone()),
            name: part.map_or(String::new(), |part| part.name.clone()),
            measure: part.map_or(UnitOfMeasure::Piece, |part| part.measure),
            bin: row.bin,
            minimum: row.minimum,
            order_up_to,
            available,
            on_order,
            reorder: proposal(&book, row.part.clone(), wanted, today)?,
            part: row.part,
        });
    }
    Ok(found)
}

/// What lies free of a part where its minimum counts.
pub(crate) fn available(row: &Minimum, lots: &[StockLot]) -> Quantity {
    let counted =
        |lot: &&StockLot| lot.part == row.part && row.bin.as_ref().is_none_or(|bin| lot.bin == *bin);
    lots.iter().filter(counted).map(|lot| lot.quantity - lot.reserved).sum()
}

/// The parts below their minimums behind one, at most so many.
pub async fn list_reorders(
    shop: &Shop,
    after: Option<&str>,
    limit: u64,
) -> Result<Listed<BelowMinimum>, OrderError> {
    let mut found = below_minimum(shop).await?;
    if let Some(after) = after {
        found.retain(|row| row.part.as_str() > after);
    }
    found.truncate(usize::try_from(limit.saturating_add(1)).unwrap_or(usize::MAX));
    Ok(Listed::of(found, limit, |row| row.part.to_string()))
}

/// Drafts the orders that fill the shelf up again, one a supplier. Whoever drafts at the same time, nothing is ordered
/// twice: what another has drafted meanwhile counts as on order.
pub async fn draft_reorders(shop: &Shop, asked: &ReordersToDraft) -> Result<DraftedOrders, OrderError> {
    if asked.parts.len() > PARTS_MAX {
        return Err(OrderError::bad("/parts", format!("more than {PARTS_MAX} parts are named")));
    }
    let mut wanted = Vec::with_capacity(asked.parts.len());
    for (at, written) in asked.parts.iter().enumerate() {
        let part = identify_part(shop, written).await;
        let pointer = format!("/parts/{at}");
        wanted.push(part.map_err(|error| OrderError::Lookup { pointer, error })?.part);
    }
    for _ in 0..TRIES_MAX {
        let last = shop.store().last_order().await?;
        let below = below_minimum(shop).await?;
        for (at, part) in wanted.iter().enumerate() {
            if !below.iter().any(|row| row.part == *part) {
                return Err(OrderError::bad(
                    format!("/parts/{at}"),
                    format!("{part} is not below a minimum"),
                ));
            }
        }
        let lines: Vec<AskedOrderLine> = below
            .iter()
            .filter(|row| wanted.contains(&row.part) || (wanted.is_empty() && row.reorder.supplier.is_some()))
            .map(|row| AskedOrderLine {
                part: row.part.to_string(),
                quantity: row.reorder.quantity,
                job: None,
            })
            .collect();
        if lines.is_empty() {
            return Err(OrderError::bad("", "nothing that somebody sells is below its minimum"));
        }
        let orders = AskedOrders {
            quote: None,
            job: None,
            again: false,
            lines,
            supplier: None,
            note: asked.note.clone(),
            by: asked.by.clone(),
        };
        match draft_for_shelf(shop, &orders, last).await {
            Err(OrderError::Stale(_)) => {}
            drafted => return drafted,
        }
    }
    Err(OrderError::Stale("next".to_owned()))
}
