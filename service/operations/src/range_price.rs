//! What a job may cost, before the unit is taken apart.

use std::sync::atomic::AtomicBool;

use resolver::PriceRange;

use crate::asked::Asked;
use crate::quote_rebuild::{gather, in_asked_words};
use crate::rebuild_error::RebuildError;
use crate::shop::Shop;
use crate::time_budget::TimeBudget;

/// The price range of a rebuild over what may be found in its units. Nothing is stored.
pub async fn range_price(shop: &Shop, asked: &Asked) -> Result<PriceRange, RebuildError> {
    if asked.alternatives.is_some() {
        return Err(RebuildError::bad(
            "/alternatives",
            "a price range has no alternatives; ask for them with the requirement",
        ));
    }
    let (input, translated) = gather(shop, asked).await?;
    let time = asked.time_budget_ms;
    let work = move |left: &AtomicBool| {
        let budget = TimeBudget::start(left, time);
        resolver::price_range_until(&input, &|| budget.is_over())
    };
    let range = shop.work_while_awaited(work).await?;
    range.map_err(|fault| in_asked_words(&translated, fault.into()))
}
