//! Papers that were taken in, as they are shown.

use chrono::{DateTime, Utc};
use exchange::ubl::Remainder;
use serde::{Deserialize, Serialize};
use store::{ReceivedPaper, ReceivedPaperFilter, StoreError};
use utoipa::ToSchema;

use super::error::PaperError;
use super::format::{PaperFormat, write};
use super::outcome::PaperOutcome;
use super::sent_paper::{PaperSort, ReadPaper, SentPaper};
use super::take_in::outcome_of;
use crate::listed::Listed;
use crate::shop::Shop;

/// Which received papers are wanted.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PapersWanted {
    /// Of this sort.
    pub sort: Option<PaperSort>,
    /// That speak of this order.
    pub order: Option<String>,
    /// From this supplier.
    pub supplier: Option<String>,
}

/// A received paper in a list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ReceivedPaperHead {
    /// Its running number here.
    #[schema(example = "IN-000001")]
    pub number: String,
    /// Which sort of paper it is.
    pub sort: PaperSort,
    /// The supplier that sent it; empty: the shop's own ordering system.
    pub supplier: Option<String>,
    /// The sender's number.
    pub sent_number: String,
    /// The order that it speaks of.
    pub order: Option<String>,
    /// When it came.
    pub received_at: DateTime<Utc>,
    /// Who sent it in.
    pub by: String,
}

/// A received paper and what came of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ReceivedPaperSheet {
    /// What the list says of it, too.
    #[serde(flatten)]
    pub head: ReceivedPaperHead,
    /// Its media type as it was sent.
    pub media_type: String,
    /// SHA-256 of what was sent, in hexadecimal.
    pub digest: String,
    /// What came of it.
    pub outcome: PaperOutcome,
    /// What it says that no field speaks of: kept, and not followed.
    pub not_understood: Remainder,
}

/// The received paper of a running number.
pub async fn show_received_paper(shop: &Shop, number: &str) -> Result<ReceivedPaperSheet, PaperError> {
    sheet(stored(shop, number).await?)
}

/// The received paper of a running number as it reads in a format: as it was sent, where that is the format.
pub async fn write_received_paper(
    shop: &Shop,
    number: &str,
    format: PaperFormat,
) -> Result<String, PaperError> {
    let kept = stored(shop, number).await?.paper;
    let bad = || StoreError::BadRow { table: "received_papers", column: "media_type".to_owned() };
    let sent_as = PaperFormat::of(&kept.media_type).ok_or_else(bad)?;
    if sent_as == format {
        return Ok(kept.body);
    }
    match (SentPaper { format: sent_as, text: kept.body, by: kept.who, bin: None }).read()?.0 {
        ReadPaper::Order(paper) => write(&paper, format),
        ReadPaper::OrderResponse(paper) => write(&paper, format),
        ReadPaper::DespatchAdvice(paper) => write(&paper, format),
        ReadPaper::ReceiptAdvice(paper) => write(&paper, format),
        ReadPaper::Catalogue(paper) => write(&paper, format),
    }
}

/// The received papers behind a running number, at most so many, the oldest first.
pub async fn list_received_papers(
    shop: &Shop,
    wanted: &PapersWanted,
    after: Option<&str>,
    limit: u64,
) -> Result<Listed<ReceivedPaperHead>, PaperError> {
    let upper = |text: &Option<String>| text.as_ref().map(|text| text.trim().to_uppercase());
    let filter = ReceivedPaperFilter {
        kind: wanted.sort.map(|sort| sort.word().to_owned()),
        order: upper(&wanted.order),
        sender: upper(&wanted.supplier),
    };
    let found = shop.store().list_received_papers(&filter, after, limit.saturating_add(1)).await?;
    let heads = found.iter().map(head).collect::<Result<Vec<_>, _>>()?;
    Ok(Listed::of(heads, limit, |head| head.number.clone()))
}

async fn stored(shop: &Shop, number: &str) -> Result<ReceivedPaper, PaperError> {
    let number = number.trim().to_uppercase();
    shop.store().received_paper(&number).await?.ok_or(PaperError::NotFound(number))
}

fn head(kept: &ReceivedPaper) -> Result<ReceivedPaperHead, PaperError> {
    let bad = || StoreError::BadRow { table: "received_papers", column: "kind".to_owned() };
    Ok(ReceivedPaperHead {
        number: kept.number.clone(),
        sort: PaperSort::from_word(&kept.paper.kind).ok_or_else(bad)?,
        supplier: Some(kept.paper.sender.clone()).filter(|sender| !sender.is_empty()),
        sent_number: kept.paper.sent_number.clone(),
        order: kept.paper.order.clone(),
        received_at: kept.paper.received_at,
        by: kept.paper.who.clone(),
    })
}

/// A kept paper as it is shown.
pub(super) fn sheet(kept: ReceivedPaper) -> Result<ReceivedPaperSheet, PaperError> {
    let bad = |_| StoreError::BadRow { table: "received_papers", column: "not_understood".to_owned() };
    Ok(ReceivedPaperSheet {
        head: head(&kept)?,
        outcome: outcome_of(&kept)?,
        not_understood: serde_json::from_str(&kept.paper.not_understood).map_err(bad)?,
        media_type: kept.paper.media_type,
        digest: kept.paper.digest,
    })
}
