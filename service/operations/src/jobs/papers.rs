//! The papers of a job: what was ordered for it, what has come, what is reserved.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::error::JobError;
use super::sheet::show_job;
use crate::list_orders::{OrderHead, OrdersWanted, list_orders};
use crate::list_receipts::{ReceiptHead, ReceiptsWanted, list_receipts};
use crate::order_error::OrderError;
use crate::receipt_error::ReceiptError;
use crate::reservations::{ReservationSheet, ReservationsAsked, list_reservations};
use crate::shop::Shop;

/// Most papers of one kind.
const PAPERS_MAX: u64 = 500;

/// The papers of a job, of each kind the oldest first and at most 500.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct JobPapers {
    /// The job.
    #[schema(example = "J-000001")]
    pub number: String,
    /// The quote of its estimate.
    #[schema(example = "Q-000001")]
    pub estimate: Option<String>,
    /// The quote of its decision.
    pub decision: Option<String>,
    /// Orders with lines for it.
    pub orders: Vec<OrderHead>,
    /// Boxes that were counted against those orders, with the claims they opened.
    pub receipts: Vec<ReceiptHead>,
    /// What lies on the shelf for it, and what it had reserved before.
    pub reservations: Vec<ReservationSheet>,
}

/// The papers of a job.
pub async fn job_papers(shop: &Shop, number: &str) -> Result<JobPapers, JobError> {
    let job = show_job(shop, number).await?;
    let of_job = Some(job.number.clone());
    let wanted = OrdersWanted { job: of_job.clone(), ..OrdersWanted::default() };
    let orders = list_orders(shop, &wanted, None, PAPERS_MAX).await.map_err(of_order)?;
    let wanted = ReceiptsWanted { job: of_job.clone(), ..ReceiptsWanted::default() };
    let receipts = list_receipts(shop, &wanted, None, PAPERS_MAX).await.map_err(of_receipt)?;
    let asked = ReservationsAsked { job: of_job, part: None, ended: true };
    let reservations = list_reservations(shop, &asked, None, PAPERS_MAX).await?;
    Ok(JobPapers {
        number: job.number,
        estimate: job.estimate,
        decision: job.decision,
        orders: orders.items,
        receipts: receipts.items,
        reservations: reservations.items,
    })
}

/// A list of orders fails with the store alone.
fn of_order(error: OrderError) -> JobError {
    match error {
        OrderError::Store(error) => JobError::Store(error),
        error => JobError::NotReady(error.to_string()),
    }
}

fn of_receipt(error: ReceiptError) -> JobError {
    match error {
        ReceiptError::Order(error) => of_order(error),
        error => JobError::NotReady(error.to_string()),
    }
}
