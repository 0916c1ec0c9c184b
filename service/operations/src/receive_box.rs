//! Receives a box: counts it against an order or a kit, books what is right, claims what is not.

use catalogue::Quantity;
use chrono::{DateTime, Utc};
use resolver::receipt::{ReceiptInput, Reconciliation, reconcile};
use serde::{Deserialize, Serialize};
use store::{NewReceipt, NewReceivedPaper, StoreError};
use utoipa::ToSchema;

use crate::order_error::{OrderError, named, noted};
use crate::receipt_consequences::Consequences;
use crate::receipt_count::{Count, read_counted};
use crate::receipt_error::ReceiptError;
use crate::receipt_expected::{Against, against};
use crate::shop::Shop;
use crate::show_receipt::{ReceiptSheet, show_receipt};

/// How often a count is judged again when its order changes underneath it.
const TRIES_MAX: usize = 8;

/// A box that was counted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedReceipt {
    /// The order that it is counted against.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = "PO-000001")]
    pub order: Option<String>,
    /// Only these lines of the order; left out: all of them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lines: Vec<i64>,
    /// A kit that it is counted against, without an order.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kit: Option<String>,
    /// How many boxes of that kit; left out: one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, example = "1")]
    pub boxes: Option<Quantity>,
    /// Who sent the kit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub supplier: Option<String>,
    /// What was counted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub counted: Vec<AskedCount>,
    /// What was counted, as CSV with the columns `part,quantity,damaged`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = "part,quantity,damaged\nVESSICK/S-1,1,0\n")]
    pub csv: Option<String>,
    /// The bin into which everything goes; left out: where most of each part lies.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bin: Option<String>,
    /// More boxes of the order are on their way: what lacks is not short yet.
    #[serde(default)]
    pub more_to_come: bool,
    /// Keep what is more than was ordered, at no value until it is invoiced; otherwise it is set aside.
    #[serde(default)]
    pub keep_over: bool,
    /// A note.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Who counted.
    #[schema(example = "R. Haller")]
    pub by: String,
}

/// Pieces that were counted under one number.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedCount {
    /// The number, scanned as GTIN or written as part number, alone or as MAKER/NUMBER.
    pub part: String,
    /// How many, damaged ones among them.
    #[schema(value_type = String, example = "2")]
    pub quantity: Quantity,
    /// How many of them are damaged; left out: none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, example = "0")]
    pub damaged: Option<Quantity>,
    /// The bin into which they go; left out: the bin of the receipt, or where most of the part lies.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bin: Option<String>,
    /// The mark etched on a matched set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mark: Option<String>,
    /// The maker's batch.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub batch: Option<String>,
}

/// Receives a box. A count that is judged while its order changes is judged again.
pub async fn receive_box(shop: &Shop, asked: &AskedReceipt) -> Result<ReceiptSheet, ReceiptError> {
    receive_of_paper(shop, asked, None).await
}

/// Receives a box; the paper of which the count is made is kept with it.
pub(crate) async fn receive_of_paper(
    shop: &Shop,
    asked: &AskedReceipt,
    paper: Option<&NewReceivedPaper>,
) -> Result<ReceiptSheet, ReceiptError> {
    let by = named(&asked.by)?;
    let note = noted(asked.note.as_ref())?;
    for _ in 0..TRIES_MAX {
        let now = Utc::now();
        let against = against(shop, asked).await?;
        let count = read_counted(shop, asked, &against).await?;
        let mut receipt = judged(shop, asked, (&against, &count), (now, &by, &note)).await?;
        receipt.paper = paper.cloned();
        match shop.store().insert_receipt(&receipt).await {
            Ok(number) => return show_receipt(shop, &number).await,
            Err(StoreError::OrderChanged(_)) => {}
            Err(error) => return Err(error.into()),
        }
    }
    let order = asked.order.clone().unwrap_or_default();
    Err(ReceiptError::Order(OrderError::Stale(order)))
}

/// Judges a count against what is still to come, without storing anything.
async fn judged(
    shop: &Shop,
    asked: &AskedReceipt,
    (against, count): (&Against, &Count),
    (now, by, note): (DateTime<Utc>, &str, &str),
) -> Result<NewReceipt, ReceiptError> {
    let input = ReceiptInput {
        as_of: now.date_naive(),
        expected: against.expected.clone(),
        counted: count.lines.clone(),
        boxes: against.boxes.clone(),
        snapshot: count.snapshot.clone(),
    };
    let outcome: Reconciliation = shop.work(move || reconcile(&input)).await?;
    let follows = Consequences::of(shop, asked, against, count, &outcome, now.date_naive()).await?;
    let body = follows.body(asked, outcome);
    let unwritable =
        |_| OrderError::Store(StoreError::BadRow { table: "receipts", column: "body".to_owned() });
    Ok(NewReceipt {
        order: against.order.as_ref().map(|order| {
            (order.number.clone(), order.version, follows.order_state.clone().unwrap_or_default())
        }),
        kit: against.kit.clone(),
        supplier: against.supplier.clone(),
        counted_at: now,
        counted_by: by.to_owned(),
        note: note.to_owned(),
        body: serde_json::to_string(&body).map_err(unwritable)?,
        pieces: follows.pieces,
        claim: follows.claim,
        paper: None,
    })
}
