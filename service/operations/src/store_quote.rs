//! Answers a rebuild and keeps the answer with all that it follows from.

use std::collections::BTreeSet;

use catalogue::PartKey;
use chrono::Utc;
use resolver::Answer;
use store::{NewQuote, Revisions};

use crate::asked::Asked;
use crate::quote_error::QuoteError;
use crate::quote_rebuild::{Rebuild, quote_rebuild};
use crate::rebuild_error::RebuildError;
use crate::shop::Shop;
use crate::show_quote::{QuoteSheet, show_quote};

/// Answers a rebuild and stores it under the next running number.
pub async fn store_quote(shop: &Shop, asked: &Asked) -> Result<QuoteSheet, QuoteError> {
    if asked.time_budget_ms.is_some() {
        let detail = "a stored quote has to come out the same whenever it is worked out again, which a time does not \
                      ensure; limit search_steps instead";
        return Err(RebuildError::bad("/time_budget_ms", detail).into());
    }
    let rebuild = quote_rebuild(shop, asked).await?;
    let number = keep(shop, asked, &rebuild).await?;
    show_quote(shop, &number).await
}

/// Keeps an answer as a quote under the next running number.
#[tracing::instrument(name = "store", skip_all, fields(parts, frozen_bytes, number))]
pub(crate) async fn keep(shop: &Shop, asked: &Asked, rebuild: &Rebuild) -> Result<String, QuoteError> {
    let input = &rebuild.input;
    // The day is part of what was asked, so that the request says the same when it is read later.
    let asked = Asked { as_of: Some(input.request.as_of), ..asked.clone() };
    let quote = NewQuote {
        created_at: Utc::now(),
        valid_until: rebuild.answer.price.valid_until,
        revisions: Revisions {
            structure: input.snapshot.structure_revision,
            price: input.prices.price_revision,
            ledger: input.stock.ledger_sequence,
        },
        engine: rebuild.answer.engine.clone(),
        request: serde_json::to_string(&asked).map_err(RebuildError::Unwritable)?,
        frozen: serde_json::to_string(input.as_ref()).map_err(RebuildError::Unwritable)?,
        answer: rebuild.body.to_string(),
        parts: parts_of(&rebuild.answer),
    };
    let span = tracing::Span::current();
    span.record("parts", quote.parts.len());
    span.record("frozen_bytes", quote.frozen.len());
    let number = shop.store().insert_quote(quote).await?;
    span.record("number", &number);
    Ok(number)
}

/// The parts that an answer speaks of.
fn parts_of(answer: &Answer) -> BTreeSet<PartKey> {
    let sourcing = &answer.sourcing;
    let lines = answer.units.iter().flat_map(|unit| unit.lines.iter().map(|line| &line.part));
    let picks = sourcing.from_stock.iter().map(|pick| &pick.part);
    let outcomes = sourcing.outcomes.iter();
    let kits = sourcing.kits.iter().chain(outcomes.clone().flat_map(|outcome| &outcome.kits));
    let loose = sourcing.loose.iter().chain(outcomes.flat_map(|outcome| &outcome.loose));
    let boxes = kits
        .flat_map(|kit| std::iter::once(&kit.kit).chain(kit.contents.iter().map(|content| &content.part)));
    let missing = sourcing.not_to_be_had.iter().map(|line| &line.part);
    let names = lines.chain(picks).chain(boxes).chain(loose.map(|part| &part.part)).chain(missing);
    names.map(|name| name.part.clone()).collect()
}
