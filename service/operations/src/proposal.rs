//! What is to be ordered of a part, and from whom.

use catalogue::{Code, Currency, Money, PartKey, PriceBook, Quantity};
use chrono::{Days, NaiveDate};
use resolver::best_offer;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::order_error::OrderError;

/// What is to be ordered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Proposal {
    /// The part.
    pub part: PartKey,
    /// How many are wanted.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// Who sells it for least money; empty: nobody sells it loose.
    pub supplier: Option<Code>,
    /// How many must be bought: whole packs, and not less than the least order.
    #[schema(value_type = Option<String>)]
    pub buy: Option<Quantity>,
    /// Price of one.
    #[schema(value_type = Option<String>)]
    pub price: Option<Money>,
    /// The currency of the price.
    pub currency: Option<Currency>,
    /// When it could be here.
    pub expected_on: Option<NaiveDate>,
}

/// So many of a part from whoever asks least for it.
pub(crate) fn proposal(
    book: &PriceBook,
    part: PartKey,
    quantity: Quantity,
    today: NaiveDate,
) -> Result<Proposal, OrderError> {
    let offer = best_offer(book, &part, quantity, None, today)?;
    let expected_on = offer
        .as_ref()
        .and_then(|offer| today.checked_add_days(Days::new(u64::try_from(offer.lead_days).ok()?)));
    Ok(Proposal {
        part,
        quantity,
        supplier: offer.as_ref().map(|offer| offer.supplier.clone()),
        buy: offer.as_ref().map(|offer| offer.quantity),
        price: offer.as_ref().map(|offer| offer.price),
        currency: offer.map(|offer| offer.currency),
        expected_on,
    })
}
