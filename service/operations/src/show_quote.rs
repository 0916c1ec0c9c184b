//! A stored quote.

use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use utoipa::ToSchema;

use crate::asked::Asked;
use crate::quote_error::QuoteError;
use crate::shop::Shop;

/// A stored quote. Number and time of storing lie outside the answer, whose bytes are those that were stored.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct QuoteSheet {
    /// Its running number.
    #[schema(example = "Q-000001")]
    pub number: String,
    /// When it was stored.
    pub created_at: DateTime<Utc>,
    /// Last day on which it holds.
    pub valid_until: NaiveDate,
    /// The engine that made it.
    pub engine: String,
    /// Structure revision that it was made at.
    pub structure_revision: i64,
    /// Price revision that it was made at.
    pub price_revision: i64,
    /// Ledger sequence that it was made at.
    pub ledger_sequence: i64,
    /// What was asked.
    #[schema(value_type = Asked)]
    pub request: Box<RawValue>,
    /// The answer.
    #[schema(value_type = resolver::Answer)]
    pub answer: Box<RawValue>,
}

/// A stored quote in a list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct QuoteHead {
    /// Its running number.
    #[schema(example = "Q-000001")]
    pub number: String,
    /// When it was stored.
    pub created_at: DateTime<Utc>,
    /// Last day on which it holds.
    pub valid_until: NaiveDate,
    /// The engine that made it.
    pub engine: String,
}

/// The quote of a number; case and blanks at the ends do not matter.
pub async fn show_quote(shop: &Shop, number: &str) -> Result<QuoteSheet, QuoteError> {
    let quote = stored(shop, number).await?;
    let raw = |text: String| {
        RawValue::from_string(text)
            .map_err(|source| QuoteError::Unreadable { number: quote.number.clone(), source })
    };
    Ok(QuoteSheet {
        created_at: quote.created_at,
        valid_until: quote.valid_until,
        engine: quote.engine,
        structure_revision: quote.revisions.structure,
        price_revision: quote.revisions.price,
        ledger_sequence: quote.revisions.ledger,
        request: raw(quote.request)?,
        answer: raw(quote.answer)?,
        number: quote.number,
    })
}

/// The row of a number.
pub(crate) async fn stored(shop: &Shop, number: &str) -> Result<store::Quote, QuoteError> {
    let number = number.trim().to_uppercase();
    shop.store().quote(&number).await?.ok_or(QuoteError::NotFound(number))
}
