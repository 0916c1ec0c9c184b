//! An order round: what all approved jobs still lack and what the shelf lacks, bought in one go.
//!
//! `needs.rs` says what each job still needs to be bought for, `shelf.rs` what the shelf does; `resolver::order_round`
//! covers all of it by one purchase, `drafts.rs` makes orders of it, whose lines remember for whom their pieces are.

mod drafts;
mod needs;
mod on_its_way;
mod shelf;
mod told;

use std::sync::atomic::AtomicBool;

use catalogue::{Code, PartKey};
use chrono::{NaiveDate, Utc};
use resolver::order_round::{RoundInput, RoundPlan, order_round};
use resolver::request::Aim;
use serde::{Deserialize, Serialize};
use store::{RoundState, StoreError};
use utoipa::ToSchema;

use crate::asked_aim::one_aim;
use crate::order_error::{OrderError, named, noted};
use crate::quote_error::QuoteError;
use crate::rebuild_error::RebuildError;
use crate::shop::Shop;
use crate::time_budget::TimeBudget;
use needs::{JobNeeds, jobs_needs};
use shelf::{ShelfNeed, shelf_needs};

pub use told::{
    LeftOutJob, NotToBeHad, OrderRound, RoundJob, RoundJobLine, RoundLine, RoundOrder, RoundSurplus,
    ShelfLine,
};

/// How often a round is worked out again when somebody drafts orders or takes a step of a job meanwhile.
const TRIES_MAX: usize = 8;

/// How a round is to be made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedOrderRound {
    /// Who makes it.
    #[schema(min_length = 1, max_length = 100, example = "M. Brandl")]
    pub by: String,
    /// Only say what would be ordered; nothing is stored.
    #[serde(default)]
    pub dry_run: bool,
    /// What the purchase should be best at, the other aims following in a fixed order; left out: least money. Days are
    /// those until everything is here, what is for the shelf too.
    #[serde(default = "least_money", deserialize_with = "one_aim")]
    #[schema(default = "least_money")]
    pub aim: Aim,
    /// A note to the suppliers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false, max_length = 2000)]
    pub note: Option<String>,
    /// Most steps of the search for a plan; left out: 40,000. A plan that is not proven by then says so with its bound.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub search_steps: Option<u64>,
    /// Most milliseconds of the search; left out: none. A plan that is not proven by then says so with its bound.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub time_budget_ms: Option<u64>,
}

fn least_money() -> Aim {
    Aim::LeastMoney
}

/// What a round is worked out from.
struct Gathered {
    today: NaiveDate,
    jobs: Vec<JobNeeds>,
    left_out: Vec<LeftOutJob>,
    shelf: Vec<ShelfNeed>,
    state: RoundState,
    input: RoundInput,
}

/// Makes a round: drafts all its orders, one a supplier, or none where nothing is to be bought or it is only asked for.
/// However many are made at once, nothing is ordered twice: what was drafted meanwhile counts as on order.
pub async fn make_round(shop: &Shop, asked: &AskedOrderRound) -> Result<OrderRound, OrderError> {
    let (by, note) = (named(&asked.by)?, noted(asked.note.as_ref())?);
    for _ in 0..TRIES_MAX {
        let Some(gathered) = gather(shop, asked).await? else { continue };
        let plan = solved(shop, gathered.input.clone(), asked.time_budget_ms).await?;
        let drafts = drafts::drafts(shop, &gathered, &plan, (&by, &note)).await?;
        if asked.dry_run || drafts.orders.is_empty() {
            return Ok(told::told(asked, &gathered, &plan, drafts, &[]));
        }
        match shop.store().insert_round(&gathered.state, &drafts.orders).await {
            Ok(numbers) => return Ok(told::told(asked, &gathered, &plan, drafts, &numbers)),
            Err(StoreError::OrderChanged(_) | StoreError::JobChanged(_)) => {}
            Err(error) => return Err(error.into()),
        }
    }
    Err(OrderError::Stale("next".to_owned()))
}

/// Reads all that a round follows from; `None` where structure, prices or stock changed meanwhile.
async fn gather(shop: &Shop, asked: &AskedOrderRound) -> Result<Option<Gathered>, OrderError> {
    let before = shop.store().revisions().await?;
    let today = Utc::now().date_naive();
    let last_order = shop.store().last_order().await?;
    let (jobs, left_out) = jobs_needs(shop).await?;
    let shelf = shelf_needs(shop, &jobs).await?;
    let of_jobs = jobs.iter().flat_map(|job| &job.lines).map(|line| &line.need);
    let needs: Vec<_> = of_jobs.chain(shelf.iter().map(|line| &line.need)).cloned().collect();
    let accepted: Vec<PartKey> = needs.iter().flat_map(|need| need.accepts.iter().cloned()).collect();
    let snapshot = shop.store().load_part_sources(&accepted).await?;
    let parts: Vec<PartKey> = snapshot.parts.iter().map(|part| part.part.clone()).collect();
    let prices = shop.store().load_prices(&parts, None).await?;
    let stock = shop.store().load_stock(&accepted).await?;
    if shop.store().revisions().await? != before {
        return Ok(None);
    }
    let state = RoundState {
        last_order,
        jobs: jobs.iter().map(|job| (job.number.clone(), job.revision)).collect(),
        quotes: jobs.iter().map(|job| job.quote.clone()).collect(),
    };
    let ruled_out = |of: fn(&JobNeeds) -> &[Code]| {
        let mut all: Vec<Code> = jobs.iter().flat_map(|job| of(job).iter().cloned()).collect();
        all.sort();
        all.dedup();
        all
    };
    let mut without_parts: Vec<PartKey> =
        jobs.iter().flat_map(|job| job.without_kits.iter().cloned()).collect();
    without_parts.sort();
    without_parts.dedup();
    let input = RoundInput {
        as_of: today,
        aim: asked.aim,
        search_steps: asked.search_steps,
        needs,
        without_suppliers: ruled_out(|job| &job.without_suppliers),
        without_parts,
        snapshot,
        prices,
        stock,
    };
    Ok(Some(Gathered { today, jobs, left_out, shelf, state, input }))
}

async fn solved(shop: &Shop, input: RoundInput, time: Option<u64>) -> Result<RoundPlan, OrderError> {
    let solve = move |left: &AtomicBool| {
        let budget = TimeBudget::start(left, time);
        order_round(input, &|| budget.is_over())
    };
    let plan = shop.work_while_awaited(solve).await;
    Ok(plan.map_err(|lost| QuoteError::Rebuild(RebuildError::Lost(lost)))??)
}
