//! A case: all that an answer follows from, to be answered again elsewhere.

use resolver::{Answer, Input, RequestFault};

use crate::asked::Asked;
use crate::quote_error::QuoteError;
use crate::quote_rebuild::gather;
use crate::rebuild_error::RebuildError;
use crate::shop::Shop;
use crate::show_quote::stored;

/// Why a case was not answered again.
#[derive(Debug, thiserror::Error)]
pub enum ReplayError {
    /// The text is no case of this version of the engine.
    #[error("this is no saved case that {engine} can read: {0}", engine = resolver::ENGINE)]
    Unreadable(serde_json::Error),
    /// The case has no answer.
    #[error("{detail} ({pointer})", detail = .0.detail, pointer = .0.pointer)]
    Fault(RequestFault),
}

/// What the answer to a request follows from now, as JSON. The request is not answered, so that a case can be saved of one
/// that fails.
pub async fn save_case(shop: &Shop, asked: &Asked) -> Result<String, RebuildError> {
    let (input, _) = gather(shop, asked).await?;
    Ok(serde_json::to_string(&input)?)
}

/// What a stored quote froze, byte for byte, with the quote's number.
pub async fn case_of_quote(shop: &Shop, number: &str) -> Result<(String, String), QuoteError> {
    let quote = stored(shop, number).await?;
    Ok((quote.number, quote.frozen))
}

/// Answers a saved case again: catalogue, prices, stock and day are the case's own.
///
/// # Errors
///
/// The text is no case, or the case has no answer.
pub fn replay_case(case: &str) -> Result<Answer, ReplayError> {
    let input: Input = serde_json::from_str(case).map_err(ReplayError::Unreadable)?;
    // A case that somebody touched may have its rows in another order than a store gives them.
    resolver::resolve(&input.in_order()).map_err(ReplayError::Fault)
}
