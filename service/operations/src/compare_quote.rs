//! Holds a stored quote against today.

use chrono::{NaiveDate, Utc};
use resolver::answer::CautionNote;
use resolver::{Answer, Comparison, Request};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::quote_error::QuoteError;
use crate::quote_rebuild::{load, solve};
use crate::recompute_quote::frozen;
use crate::shop::Shop;
use crate::show_quote::stored;

/// What changed since a quote was stored, line by line, with what is behind it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct QuoteComparison {
    /// The quote.
    pub number: String,
    /// What changed.
    #[serde(flatten)]
    pub comparison: Comparison,
    /// What can hurt someone who does today's work.
    pub cautions: Vec<CautionNote>,
    /// Sentence that always goes with an answer for bench or road.
    pub deferral: String,
}

/// Asks the quote's question again, of today's catalogue, prices and stock and for a day (today where none is given), and
/// compares the answers.
pub async fn compare_quote(
    shop: &Shop,
    number: &str,
    as_of: Option<NaiveDate>,
) -> Result<QuoteComparison, QuoteError> {
    let quote = stored(shop, number).await?;
    let unreadable = |source| QuoteError::Unreadable { number: quote.number.clone(), source };
    let then_input = frozen(&quote)?;
    let then: Answer = serde_json::from_str(&quote.answer).map_err(unreadable)?;
    let as_of = as_of.unwrap_or_else(|| Utc::now().date_naive());
    // The answers are compared, not what other answers would be.
    let request = Request { as_of, alternatives: None, ..then_input.request.clone() };
    let now = solve(shop, load(shop, request).await?).await?;
    let (now_input, now_answer) = (now.input.clone(), now.answer.clone());
    let compared =
        shop.work(move || resolver::compare((&then_input, &then), (&now_input, &now_answer))).await;
    Ok(QuoteComparison {
        number: quote.number,
        comparison: compared.map_err(crate::rebuild_error::RebuildError::from)?,
        cautions: now.answer.cautions.clone(),
        deferral: now.answer.deferral.clone(),
    })
}
