//! The stored quotes, the oldest first.

use store::StoreError;

use crate::listed::Listed;
use crate::shop::Shop;
use crate::show_quote::QuoteHead;

/// The quotes behind a number, at most so many.
pub async fn list_quotes(
    shop: &Shop,
    after: Option<&str>,
    limit: u64,
) -> Result<Listed<QuoteHead>, StoreError> {
    let quotes = shop.store().list_quotes(after, limit.saturating_add(1)).await?;
    let heads = quotes.into_iter().map(|quote| QuoteHead {
        number: quote.number,
        created_at: quote.created_at,
        valid_until: quote.valid_until,
        engine: quote.engine,
    });
    Ok(Listed::of(heads.collect(), limit, |head| head.number.clone()))
}
