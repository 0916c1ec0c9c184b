//! The other answers to what a stored quote asked, from what it froze.

use std::sync::atomic::Ordering;

use resolver::{Alternatives, Request};

use crate::asked_alternatives::AskedAlternatives;
use crate::quote_error::QuoteError;
use crate::rebuild_error::RebuildError;
use crate::recompute_quote::frozen;
use crate::shop::Shop;
use crate::show_quote::stored;
use crate::translate_alternatives::translate_alternatives;

/// The next best answers of a quote and those under conditions. Catalogue, prices and stock of today play no part.
pub async fn quote_alternatives(
    shop: &Shop,
    number: &str,
    asked: &AskedAlternatives,
) -> Result<Alternatives, QuoteError> {
    let mut input = frozen(&stored(shop, number).await?)?;
    let wanted = translate_alternatives(shop, asked, &input.request.units, "").await?;
    input.request = Request { alternatives: None, ..input.request };
    let found = shop
        .work_while_awaited(move |left| {
            resolver::alternatives_until(&input, &wanted, &|| left.load(Ordering::Relaxed))
        })
        .await;
    Ok(found.map_err(RebuildError::from)?.map_err(RebuildError::from)?)
}
