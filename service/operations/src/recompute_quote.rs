//! Makes a stored quote again from what it froze, and says whether it comes out the same.

use resolver::Input;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use utoipa::ToSchema;

use crate::quote_error::QuoteError;
use crate::quote_rebuild::solve;
use crate::rebuild_error::RebuildError;
use crate::shop::Shop;
use crate::show_quote::stored;

/// A quote made again from what it froze. Catalogue, prices and stock of today play no part.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct Recomputed {
    /// The quote.
    pub number: String,
    /// The engine that made it when it was stored.
    pub stored_engine: String,
    /// The engine that made it again.
    pub engine: String,
    /// Whether the answer is the stored one, byte for byte. The same engine always gives the same bytes.
    pub same: bool,
    /// The answer that was made again.
    #[schema(value_type = resolver::Answer)]
    pub answer: Box<RawValue>,
}

/// Makes the quote of a number again.
pub async fn recompute_quote(shop: &Shop, number: &str) -> Result<Recomputed, QuoteError> {
    let quote = stored(shop, number).await?;
    let input = frozen(&quote)?;
    let rebuild = solve(shop, input).await?;
    let same = *rebuild.body == *quote.answer;
    if !same && quote.engine == resolver::ENGINE {
        tracing::error!(number = quote.number, "the same engine made other bytes");
    }
    let answer = RawValue::from_string(rebuild.body.to_string()).map_err(RebuildError::Unwritable)?;
    Ok(Recomputed {
        number: quote.number,
        stored_engine: quote.engine,
        engine: resolver::ENGINE.to_owned(),
        same,
        answer,
    })
}

/// What a stored quote froze.
pub(crate) fn frozen(quote: &store::Quote) -> Result<Input, QuoteError> {
    serde_json::from_str(&quote.frozen)
        .map_err(|source| QuoteError::Unreadable { number: quote.number.clone(), source })
}
