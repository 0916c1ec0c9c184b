//! The movements of the stock ledger.

use catalogue::{Code, Mark, Money, PartKey, Quantity};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use store::{Movement, MovementFilter, MovementKind};
use utoipa::ToSchema;

use crate::listed::Listed;
use crate::shop::Shop;
use crate::stock_error::StockError;
use crate::stock_words::{code, part};

/// Why pieces moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum MovementWord {
    /// They came from a supplier.
    Receive,
    /// They went into a job.
    Issue,
    /// They came back from a job.
    Return,
    /// A count found more or fewer, or another value.
    Adjust,
    /// They went to or came from another bin.
    Transfer,
    /// They were thrown away.
    Scrap,
}

/// A movement of the ledger.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct MovementSheet {
    /// Its running number: the ledger sequence.
    #[schema(example = 118)]
    pub sequence: i64,
    /// When it was booked.
    pub at: DateTime<Utc>,
    /// Who booked it.
    #[schema(example = "Ruth")]
    pub by: String,
    /// Why pieces moved.
    pub kind: MovementWord,
    /// The part.
    pub part: PartKey,
    /// The bin.
    pub bin: Code,
    /// The mark etched on a matched set; empty: none.
    pub mark: Mark,
    /// How many came; below zero: went.
    pub quantity: Quantity,
    /// What each piece of the lot was carried at after it, in the base currency.
    pub carrying_value: Money,
    /// The maker's batch; empty: not known.
    pub batch: String,
    /// Why, in words.
    pub reason: String,
    /// The paper it was booked for.
    pub paper: Option<String>,
}

/// Which movements are wanted.
#[derive(Debug, Clone, Default)]
pub struct MovementsAsked {
    /// Of this part, as a person writes it.
    pub part: Option<String>,
    /// In this bin.
    pub bin: Option<String>,
    /// Booked for this paper.
    pub paper: Option<String>,
    /// Of this batch.
    pub batch: Option<String>,
}

/// The movements behind a sequence number, the oldest first, at most so many.
pub async fn list_movements(
    shop: &Shop,
    asked: &MovementsAsked,
    after: Option<&str>,
    limit: u64,
) -> Result<Listed<MovementSheet>, StockError> {
    let filter = MovementFilter {
        part: match &asked.part {
            Some(written) => Some(part(shop, written, "/part").await?),
            None => None,
        },
        bin: asked.bin.as_deref().map(|written| code(written, "bin", "/bin")).transpose()?,
        paper: asked.paper.as_ref().map(|text| text.trim().to_uppercase()),
        batch: asked.batch.clone(),
    };
    let after = after.map(str::parse::<i64>).transpose();
    let after = after.map_err(|_| StockError::bad("/after", "`after` is no sequence number"))?.unwrap_or(0);
    let found = shop.store().find_movements(&filter, after, limit.saturating_add(1)).await?;
    let sheets = found.into_iter().map(movement_sheet).collect();
    Ok(Listed::of(sheets, limit, |movement: &MovementSheet| movement.sequence.to_string()))
}

pub(crate) fn movement_sheet(movement: Movement) -> MovementSheet {
    MovementSheet {
        sequence: movement.sequence,
        at: movement.at,
        by: movement.who,
        kind: match movement.kind {
            MovementKind::Receive => MovementWord::Receive,
            MovementKind::Issue => MovementWord::Issue,
            MovementKind::Return => MovementWord::Return,
            MovementKind::Adjust => MovementWord::Adjust,
            MovementKind::Transfer => MovementWord::Transfer,
            MovementKind::Scrap => MovementWord::Scrap,
        },
        part: movement.part,
        bin: movement.bin,
        mark: movement.mark,
        quantity: movement.quantity,
        carrying_value: movement.carrying_value,
        batch: movement.batch,
        reason: movement.reason,
        paper: movement.paper,
    }
}
