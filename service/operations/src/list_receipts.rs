//! The receipts, the oldest first.

use catalogue::{Code, PartKey};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use store::ReceiptFilter;
use utoipa::ToSchema;

use crate::listed::Listed;
use crate::receipt_error::ReceiptError;
use crate::shop::Shop;

/// Which receipts are wanted.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ReceiptsWanted {
    /// Counted against this order.
    pub order: Option<String>,
    /// Sent by this supplier.
    pub supplier: Option<String>,
    /// Counted against an order with lines for this job.
    pub job: Option<String>,
}

/// A receipt in a list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ReceiptHead {
    /// Its running number.
    #[schema(example = "RC-000001")]
    pub number: String,
    /// The order that it was counted against.
    pub order: Option<String>,
    /// The kit that it was counted against, without an order.
    pub kit: Option<PartKey>,
    /// Who sent it.
    pub supplier: Option<Code>,
    /// When it was counted.
    pub counted_at: DateTime<Utc>,
    /// Who counted it.
    pub counted_by: String,
    /// The receipt that this one takes back.
    pub reverses: Option<String>,
    /// The receipt that takes this one back.
    pub reversed_by: Option<String>,
    /// The claim that it opened.
    pub claim: Option<String>,
}

/// The receipts behind a number, at most so many.
pub async fn list_receipts(
    shop: &Shop,
    wanted: &ReceiptsWanted,
    after: Option<&str>,
    limit: u64,
) -> Result<Listed<ReceiptHead>, ReceiptError> {
    let upper = |text: &Option<String>| text.as_ref().map(|text| text.trim().to_uppercase());
    let filter = ReceiptFilter {
        order: upper(&wanted.order),
        supplier: upper(&wanted.supplier).map(Code::from_stored),
        job: upper(&wanted.job),
    };
    let found = shop.store().list_receipts(&filter, after, limit.saturating_add(1)).await?;
    let heads = found.into_iter().map(|receipt| ReceiptHead {
        number: receipt.number,
        order: receipt.order,
        kit: receipt.kit,
        supplier: receipt.supplier,
        counted_at: receipt.counted_at,
        counted_by: receipt.counted_by,
        reverses: receipt.reverses,
        reversed_by: receipt.reversed_by,
        claim: receipt.claim,
    });
    Ok(Listed::of(heads.collect(), limit, |head| head.number.clone()))
}
