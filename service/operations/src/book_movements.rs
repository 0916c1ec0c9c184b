//! Books movements that have no paper of their own: a delivery without an order, a count, a transfer, scrap.

use catalogue::{Money, Quantity};
use chrono::Utc;
use serde::{Deserialize, Serialize};
use store::{Booking, Lot, Posting, PostingKind};
use utoipa::ToSchema;

use crate::list_movements::{MovementSheet, movement_sheet};
use crate::shop::Shop;
use crate::stock_error::StockError;
use crate::stock_words::{code, mark, part, said, text};

/// Most postings that are booked together.
const POSTINGS_MAX: usize = 500;

/// What is to be booked: all of it or nothing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MovementsToBook {
    /// Who books.
    #[schema(min_length = 1, max_length = 400, example = "Ruth")]
    pub by: String,
    /// The lines, booked in this order.
    #[schema(min_items = 1, max_items = 500)]
    pub postings: Vec<PostingToBook>,
}

/// One line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PostingToBook {
    /// The part: MAKER/NUMBER, or the number alone.
    #[schema(max_length = 160)]
    pub part: String,
    /// The bin.
    #[schema(max_length = 80)]
    pub bin: String,
    /// The mark etched on a matched set; left out: none.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    #[schema(required = false, max_length = 80)]
    pub mark: String,
    /// What is done.
    pub kind: PostingWord,
    /// How many; of an adjustment the difference, with a minus where fewer were counted.
    pub quantity: Quantity,
    /// What each piece is carried at, in the base currency: of those that come in, or after an adjustment.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub carrying_value: Option<Money>,
    /// The other bin of a transfer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false, max_length = 80)]
    pub to_bin: Option<String>,
    /// The maker's batch; left out: not known.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    #[schema(required = false, max_length = 400)]
    pub batch: String,
    /// Why, in words. An adjustment and scrap must say it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    #[schema(required = false, max_length = 400)]
    pub reason: String,
}

/// What a line does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum PostingWord {
    /// Pieces come in, at a value.
    Receive,
    /// A count found more or fewer, or the pieces are carried at another value.
    Adjust,
    /// Pieces go to another bin.
    Transfer,
    /// Pieces are thrown away.
    Scrap,
}

/// Books movements.
pub async fn book_movements(shop: &Shop, asked: &MovementsToBook) -> Result<Vec<MovementSheet>, StockError> {
    if asked.postings.is_empty() || asked.postings.len() > POSTINGS_MAX {
        return Err(StockError::bad("/postings", format!("give 1 to {POSTINGS_MAX} postings")));
    }
    let mut postings = Vec::new();
    for (at, line) in asked.postings.iter().enumerate() {
        let pointer = |field: &str| format!("/postings/{at}/{field}");
        let needs_reason = matches!(line.kind, PostingWord::Adjust | PostingWord::Scrap);
        let reason = if needs_reason { said } else { text };
        postings.push(Posting {
            lot: Lot {
                part: part(shop, &line.part, &pointer("part")).await?,
                bin: code(&line.bin, "bin", &pointer("bin"))?,
                mark: mark(&text(&line.mark, "the mark", &pointer("mark"))?),
            },
            kind: kind_of(line, at)?,
            batch: text(&line.batch, "the batch", &pointer("batch"))?,
            reason: reason(&line.reason, "the reason", &pointer("reason"))?,
        });
    }
    let booking = Booking { by: said(&asked.by, "who books", "/by")?, at: Utc::now(), paper: None, postings };
    let booked = shop.store().book(&booking).await?;
    Ok(booked.into_iter().map(movement_sheet).collect())
}

fn kind_of(line: &PostingToBook, at: usize) -> Result<PostingKind, StockError> {
    let pointer = |field: &str| format!("/postings/{at}/{field}");
    let quantity = line.quantity;
    if line.to_bin.is_some() && line.kind != PostingWord::Transfer {
        return Err(StockError::bad(pointer("to_bin"), "only a transfer goes to another bin"));
    }
    if line.carrying_value.is_some() && matches!(line.kind, PostingWord::Transfer | PostingWord::Scrap) {
        let detail = "pieces that are moved or thrown away keep the value of their lot; leave it out";
        return Err(StockError::bad(pointer("carrying_value"), detail));
    }
    match (line.kind, &line.carrying_value, &line.to_bin) {
        (PostingWord::Receive, Some(value), _) => Ok(PostingKind::Receive { quantity, value: *value }),
        (PostingWord::Receive, None, _) => {
            Err(StockError::bad(pointer("carrying_value"), "say what each piece that comes in is carried at"))
        }
        (PostingWord::Adjust, value, _) => Ok(PostingKind::Adjust { difference: quantity, value: *value }),
        (PostingWord::Transfer, _, Some(to)) => {
            Ok(PostingKind::Transfer { quantity, to: code(to, "bin", &pointer("to_bin"))? })
        }
        (PostingWord::Transfer, _, None) => {
            Err(StockError::bad(pointer("to_bin"), "say to which bin the pieces go"))
        }
        (PostingWord::Scrap, _, _) => Ok(PostingKind::Scrap { quantity }),
    }
}
