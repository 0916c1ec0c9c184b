//! Answers what a rebuild needs, what brings it, and what it costs.

use std::collections::BTreeSet;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use catalogue::{PartKey, Snapshot, UnitKey};
use chrono::Utc;
use resolver::{Answer, Input, Request};

use crate::asked::Asked;
use crate::jobs::as_built::recorded;
use crate::rebuild_error::RebuildError;
use crate::shop::Shop;
use crate::snapshot_cache::rows;
use crate::time_budget::TimeBudget;
use crate::translate_request::{Translated, translate};

/// How often a reading is tried again when the catalogue changes underneath it.
const READINGS_MAX: usize = 5;

/// An answer with the input it follows from.
#[derive(Debug, Clone)]
pub struct Rebuild {
    /// The frozen input.
    pub input: Arc<Input>,
    /// The answer.
    pub answer: Arc<Answer>,
    /// The answer as compact JSON: the bytes that a stored quote keeps.
    pub body: Arc<str>,
}

/// Answers a rebuild. Nothing is stored.
pub async fn quote_rebuild(shop: &Shop, asked: &Asked) -> Result<Rebuild, RebuildError> {
    let (input, translated) = gather(shop, asked).await?;
    let solved = solve_within(shop, input, asked.time_budget_ms).await;
    solved.map_err(|error| in_asked_words(&translated, error))
}

/// Points a fault of the request at its place in what was asked.
pub(crate) fn in_asked_words(translated: &Translated, error: RebuildError) -> RebuildError {
    match error {
        RebuildError::Fault(mut fault) => {
            fault.pointer = translated.asked_pointer(&fault.pointer);
            RebuildError::Fault(fault)
        }
        error => error,
    }
}

/// Reads all that the answer to a request can depend on.
pub(crate) async fn gather(shop: &Shop, asked: &Asked) -> Result<(Input, Translated), RebuildError> {
    let translated = translate(shop, asked, Utc::now().date_naive()).await?;
    let input = load(shop, translated.request.clone()).await?;
    Ok((input, translated))
}

/// Reads structure, prices, stock and the record of the serial numbers of one moment: the structure from memory where it is there at the current
/// revision, prices and stock always from the database.
#[tracing::instrument(
    skip_all,
    fields(rows, prices, lots, structure_revision, price_revision, ledger_sequence)
)]
pub(crate) async fn load(shop: &Shop, mut request: Request) -> Result<Input, RebuildError> {
    let units: Vec<UnitKey> = request.units.iter().map(|unit| unit.unit.clone()).collect();
    for _ in 0..READINGS_MAX {
        let before = shop.store().revisions().await?;
        let snapshot = shop.snapshots().get(shop.store(), &units, before.structure).await?;
        let parts = parts_of(&snapshot);
        let prices = shop.store().load_prices(&parts, request.customer.as_ref()).await?;
        let stock = shop.store().load_stock(&parts).await?;
        let after = shop.store().revisions().await?;
        // Prices and stock are each of one moment; that they are of the same moment as the structure is seen by the
        // numbers having stood still.
        let settled = snapshot.structure_revision == after.structure
            && prices.price_revision == after.price
            && stock.ledger_sequence == after.ledger;
        if settled {
            let span = tracing::Span::current();
            span.record("rows", rows(&snapshot));
            span.record("prices", prices.prices.len());
            span.record("lots", stock.lots.len());
            span.record("structure_revision", after.structure);
            span.record("price_revision", after.price);
            span.record("ledger_sequence", after.ledger);
            let snapshot = (*snapshot).clone();
            for unit in &mut request.units {
                let record = recorded(shop, unit).await?;
                resolver::as_built::start_from_record(unit, &record, &snapshot);
            }
            return Ok(Input { request, snapshot, prices, stock });
        }
    }
    Err(RebuildError::Unsettled)
}

/// Resolves an input off the threads that answer requests.
pub(crate) async fn solve(shop: &Shop, input: Input) -> Result<Rebuild, RebuildError> {
    solve_within(shop, input, None).await
}

/// Resolves an input off the threads that answer requests, as far as it comes within some milliseconds from when its turn
/// comes.
#[tracing::instrument(name = "resolve", skip_all, fields(lines, kits, loose, bytes))]
async fn solve_within(shop: &Shop, input: Input, time: Option<u64>) -> Result<Rebuild, RebuildError> {
    let input = Arc::new(input);
    let kept = input.clone();
    let resolve = move |left: &AtomicBool| {
        let budget = TimeBudget::start(left, time);
        resolver::resolve_until(&kept, &|| budget.is_over())
    };
    let answer = shop.work_while_awaited(resolve).await??;
    let body = serde_json::to_string(&answer)?;
    let span = tracing::Span::current();
    span.record("lines", answer.units.iter().map(|unit| unit.lines.len()).sum::<usize>());
    span.record("kits", answer.sourcing.kits.len());
    span.record("loose", answer.sourcing.loose.len());
    span.record("bytes", body.len());
    Ok(Rebuild { input, answer: Arc::new(answer), body: body.into() })
}

fn parts_of(snapshot: &Snapshot) -> Vec<PartKey> {
    let parts: BTreeSet<&PartKey> = snapshot.parts.iter().map(|part| &part.part).collect();
    parts.into_iter().cloned().collect()
}
