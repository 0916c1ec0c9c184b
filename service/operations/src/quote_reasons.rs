//! Why each line of a stored quote is there, as chains and as a picture.

use resolver::answer::CautionNote;
use resolver::{Answer, LineChain, ReasonGraph};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::quote_error::QuoteError;
use crate::rebuild_error::RebuildError;
use crate::shop::Shop;
use crate::show_quote::stored;

/// Why each line of a quote that is not kept is there.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ReasonSheet {
    /// The quote.
    pub number: String,
    /// The lines in the quote's order, each with the shortest chain of causes that leads to it.
    pub lines: Vec<LineChain>,
    /// What can hurt someone.
    pub cautions: Vec<CautionNote>,
    /// Sentence that always goes with an answer for bench or road.
    pub deferral: String,
}

/// How the reasons are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Drawing {
    /// In the DOT language of Graphviz.
    Dot,
    /// As a picture.
    Svg,
}

/// The chains of causes of a quote.
pub async fn quote_reasons(shop: &Shop, number: &str) -> Result<ReasonSheet, QuoteError> {
    let (number, answer) = answer_of(shop, number).await?;
    let work = move || {
        let lines = ReasonGraph::of(&answer).all_chains();
        ReasonSheet { number, lines, cautions: answer.cautions, deferral: answer.deferral }
    };
    Ok(shop.work(work).await.map_err(RebuildError::from)?)
}

/// The reasons of a quote as a drawing.
pub async fn draw_quote_reasons(shop: &Shop, number: &str, drawing: Drawing) -> Result<String, QuoteError> {
    let (_, answer) = answer_of(shop, number).await?;
    let work = move || match drawing {
        Drawing::Dot => ReasonGraph::of(&answer).dot(),
        Drawing::Svg => ReasonGraph::of(&answer).svg(),
    };
    Ok(shop.work(work).await.map_err(RebuildError::from)?)
}

async fn answer_of(shop: &Shop, number: &str) -> Result<(String, Answer), QuoteError> {
    let quote = stored(shop, number).await?;
    let answer = serde_json::from_str(&quote.answer)
        .map_err(|source| QuoteError::Unreadable { number: quote.number.clone(), source })?;
    Ok((quote.number, answer))
}
