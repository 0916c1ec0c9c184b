//! What lies on the shelf, now or at a past point of the ledger.

use catalogue::{Code, Mark, Money, PartKey, Quantity, StockLot};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use store::{AsOf, Lot, LotFilter, PastBalance};
use utoipa::ToSchema;

use crate::listed::Listed;
use crate::shop::Shop;
use crate::stock_error::StockError;
use crate::stock_words::{code, part};

/// Which lots are wanted.
#[derive(Debug, Clone, Default)]
pub struct StockAsked {
    /// Of this part, as a person writes it.
    pub part: Option<String>,
    /// In this bin.
    pub bin: Option<String>,
    /// As they were after this movement.
    pub sequence: Option<i64>,
    /// As they were at this instant.
    pub at: Option<DateTime<Utc>>,
    /// Empty lots too.
    pub empty: bool,
}

/// What lies in a lot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LotSheet {
    /// The part.
    pub part: PartKey,
    /// The bin.
    pub bin: Code,
    /// The mark etched on a matched set; empty: none.
    pub mark: Mark,
    /// How many lie there.
    pub balance: Quantity,
    /// How many of them are reserved for jobs; left out for a past point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub reserved: Option<Quantity>,
    /// How many are free; left out for a past point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub available: Option<Quantity>,
    /// What each is carried at, in the base currency.
    pub carrying_value: Money,
}

/// The lots behind one, by part, bin and mark, at most so many. The cursor is `PART|BIN|MARK`.
pub async fn list_stock(
    shop: &Shop,
    asked: &StockAsked,
    after: Option<&str>,
    limit: u64,
) -> Result<Listed<LotSheet>, StockError> {
    let filter = LotFilter {
        part: match &asked.part {
            Some(written) => Some(part(shop, written, "/part").await?),
            None => None,
        },
        bin: asked.bin.as_deref().map(|written| code(written, "bin", "/bin")).transpose()?,
        empty: asked.empty,
    };
    let after = after.map(cursor).transpose()?;
    let as_of = match (asked.sequence, asked.at) {
        (Some(_), Some(_)) => {
            return Err(StockError::bad("/at", "name a sequence or an instant, not both"));
        }
        (Some(sequence), None) => Some(AsOf::Sequence(sequence)),
        (None, at) => at.map(AsOf::Instant),
    };
    let (store, more) = (shop.store(), limit.saturating_add(1));
    let lots: Vec<LotSheet> = match as_of {
        Some(as_of) => {
            let past = store.past_balances(as_of, &filter, after.as_ref(), more).await?;
            past.into_iter().map(past_sheet).collect()
        }
        None => {
            let lots = store.list_lots(&filter, after.as_ref(), more).await?;
            lots.into_iter().map(lot_sheet).collect()
        }
    };
    Ok(Listed::of(lots, limit, |lot| format!("{}|{}|{}", lot.part, lot.bin, lot.mark.0)))
}

fn cursor(text: &str) -> Result<Lot, StockError> {
    let mut pieces = text.splitn(3, '|');
    match (pieces.next(), pieces.next(), pieces.next()) {
        (Some(part), Some(bin), Some(mark)) => Ok(Lot {
            part: PartKey::from_stored(part),
            bin: Code::from_stored(bin),
            mark: Mark(mark.to_owned()),
        }),
        _ => Err(StockError::bad("/after", "`after` is no cursor; take it from the header `Link`")),
    }
}

fn lot_sheet(lot: StockLot) -> LotSheet {
    LotSheet {
        part: lot.part,
        bin: lot.bin,
        mark: lot.mark,
        balance: lot.quantity,
        reserved: Some(lot.reserved),
        available: Some(lot.quantity - lot.reserved),
        carrying_value: lot.carrying_value,
    }
}

fn past_sheet(past: PastBalance) -> LotSheet {
    LotSheet {
        part: past.lot.part,
        bin: past.lot.bin,
        mark: past.lot.mark,
        balance: past.quantity,
        reserved: None,
        available: None,
        carrying_value: past.carrying_value,
    }
}
