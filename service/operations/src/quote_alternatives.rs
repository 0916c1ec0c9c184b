//! The other answers to what a stored quote asked, from what it froze.

use std::sync::atomic::AtomicBool;

use resolver::{Alternatives, Request};

use crate::asked_alternatives::AskedOfQuote;
use crate::quote_error::QuoteError;
use crate::rebuild_error::RebuildError;
use crate::recompute_quote::frozen;
use crate::shop::Shop;
use crate::show_quote::stored;
use crate::time_budget::TimeBudget;
use crate::translate_alternatives::translate_alternatives;

/// The next best answers of a quote and those under conditions. Catalogue, prices and stock of today play no part.
pub async fn quote_alternatives(
    shop: &Shop,
    number: &str,
    asked: &AskedOfQuote,
) -> Result<Alternatives, QuoteError> {
    let mut input = frozen(&stored(shop, number).await?)?;
    let wanted = translate_alternatives(shop, &asked.alternatives(), &input.request.units, "").await?;
    input.request = Request { alternatives: None, ..input.request };
    let time = asked.time_budget_ms;
    let work = move |left: &AtomicBool| {
        let budget = TimeBudget::start(left, time);
        resolver::alternatives_until(&input, &wanted, &|| budget.is_over())
    };
    let found = shop.work_while_awaited(work).await;
    Ok(found.map_err(RebuildError::from)?.map_err(RebuildError::from)?)
}
