//! Claims on suppliers: shown, listed, and changed step by step.

use catalogue::{Code, Currency, Money, PartKey, Quantity};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use store::{ClaimEntry, ClaimFilter, ClaimStep, StoreError, SupplierClaim};
use utoipa::ToSchema;

use crate::listed::Listed;
use crate::order_error::{OrderError, named, noted};
use crate::receipt_error::ReceiptError;
use crate::shop::Shop;

catalogue::choice! {
    /// How far a claim has come.
    pub enum ClaimState {
        /// Opened; the supplier does not know of it.
        Open = "open",
        /// Sent to the supplier.
        Sent = "sent",
        /// The supplier accepts it.
        Accepted = "accepted",
        /// The supplier refuses it.
        Refused = "refused",
        /// It is paid, replaced or given up.
        Settled = "settled",
        /// Its receipt was taken back.
        Withdrawn = "withdrawn",
    }
}

catalogue::choice! {
    /// What is wrong.
    pub enum ClaimKind {
        /// Pieces lack.
        Short = "short",
        /// Pieces are damaged.
        Damaged = "damaged",
        /// Pieces are another part.
        Wrong = "wrong",
        /// Pieces are more than was ordered.
        Over = "over",
    }
}

catalogue::choice! {
    /// What can be done with a claim.
    pub enum ClaimAction {
        /// It is sent to the supplier.
        Send = "send",
        /// The supplier accepts it.
        Accept = "accept",
        /// The supplier refuses it.
        Refuse = "refuse",
        /// It is paid, replaced or given up.
        Settle = "settle",
    }
}

/// A claim.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ClaimSheet {
    /// Its running number.
    #[schema(example = "CL-000001")]
    pub number: String,
    /// On whom.
    pub supplier: Code,
    /// How far it has come.
    pub state: ClaimState,
    /// The receipt that opened it.
    pub receipt: String,
    /// The order.
    pub order: Option<String>,
    /// When it was opened.
    pub created_at: DateTime<Utc>,
    /// Who opened it.
    pub created_by: String,
    /// The currency of its amounts.
    pub currency: Currency,
    /// What is claimed in all.
    #[schema(value_type = String)]
    pub amount: Money,
    /// Its lines.
    pub lines: Vec<ClaimLineSheet>,
    /// What was done with it, the first step first.
    pub steps: Vec<ClaimStepSheet>,
}

/// A line of a claim.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ClaimLineSheet {
    /// What is wrong.
    pub kind: ClaimKind,
    /// The part; empty: the catalogue does not know the number.
    pub part: Option<PartKey>,
    /// The number as it was counted or ordered.
    pub written: String,
    /// The order line.
    pub order_line: Option<i64>,
    /// The content of that order line.
    pub content: Option<i64>,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// What one is worth in the currency of the claim; of a kit, its share by the
    /// prices of what lies in it.
    #[schema(value_type = String)]
    pub unit_value: Money,
    /// What is claimed.
    #[schema(value_type = String)]
    pub amount: Money,
    /// Why.
    pub reason: String,
}

/// One step of a claim.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ClaimStepSheet {
    /// What was done.
    pub what: String,
    /// The state after it.
    pub state: ClaimState,
    /// When.
    pub at: DateTime<Utc>,
    /// Who did it.
    pub by: String,
    /// Its particulars.
    pub detail: String,
}

/// A claim in a list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ClaimHead {
    /// Its running number.
    #[schema(example = "CL-000001")]
    pub number: String,
    /// On whom.
    pub supplier: Code,
    /// How far it has come.
    pub state: ClaimState,
    /// The receipt that opened it.
    pub receipt: String,
    /// The order.
    pub order: Option<String>,
    /// When it was opened.
    pub created_at: DateTime<Utc>,
    /// The currency of its amount.
    pub currency: Currency,
    /// What is claimed in all.
    #[schema(value_type = String)]
    pub amount: Money,
}

/// A step that is to be taken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedClaimStep {
    /// What is to be done.
    pub step: ClaimAction,
    /// Who does it.
    #[schema(example = "M. Brandl")]
    pub by: String,
    /// A note: what the supplier answered, or how it was settled.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// Which claims are wanted.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ClaimsWanted {
    /// On this supplier.
    pub supplier: Option<String>,
    /// In this state.
    pub state: Option<ClaimState>,
    /// For this order.
    pub order: Option<String>,
}

/// The states in which an action is possible.
fn possible(action: ClaimAction) -> &'static [ClaimState] {
    match action {
        ClaimAction::Send => &[ClaimState::Open],
        ClaimAction::Accept | ClaimAction::Refuse => &[ClaimState::Sent],
        ClaimAction::Settle => &[ClaimState::Accepted, ClaimState::Refused],
    }
}

fn after(action: ClaimAction) -> ClaimState {
    match action {
        ClaimAction::Send => ClaimState::Sent,
        ClaimAction::Accept => ClaimState::Accepted,
        ClaimAction::Refuse => ClaimState::Refused,
        ClaimAction::Settle => ClaimState::Settled,
    }
}

/// The claim of a number; case and blanks at the ends do not matter.
pub async fn show_claim(shop: &Shop, number: &str) -> Result<ClaimSheet, ReceiptError> {
    sheet(stored_claim(shop, number).await?)
}

/// The claims behind a number, at most so many.
pub async fn list_claims(
    shop: &Shop,
    wanted: &ClaimsWanted,
    after: Option<&str>,
    limit: u64,
) -> Result<Listed<ClaimHead>, ReceiptError> {
    let upper = |text: &Option<String>| text.as_ref().map(|text| text.trim().to_uppercase());
    let filter = ClaimFilter {
        supplier: upper(&wanted.supplier).map(Code::from_stored),
        state: wanted.state.map(|state| state.word().to_owned()),
        order: upper(&wanted.order),
    };
    let found = shop.store().list_claims(&filter, after, limit.saturating_add(1)).await?;
    let heads = found.into_iter().map(head).collect::<Result<Vec<_>, _>>()?;
    Ok(Listed::of(heads, limit, |head| head.number.clone()))
}

/// Takes a step, if `still_holds` says that it was decided on the claim as it is now.
pub async fn change_claim<E: From<ReceiptError>>(
    shop: &Shop,
    number: &str,
    asked: &AskedClaimStep,
    still_holds: impl FnOnce(&ClaimSheet) -> Result<(), E>,
) -> Result<ClaimSheet, E> {
    let claim = stored_claim(shop, number).await?;
    let version = claim.entry.version;
    let shown = sheet(claim)?;
    still_holds(&shown)?;
    Ok(take(shop, shown, version, asked).await?)
}

async fn take(
    shop: &Shop,
    claim: ClaimSheet,
    version: i64,
    asked: &AskedClaimStep,
) -> Result<ClaimSheet, ReceiptError> {
    let by = named(&asked.by)?;
    let detail = noted(asked.note.as_ref())?;
    if !possible(asked.step).contains(&claim.state) {
        return Err(ReceiptError::WrongClaimState {
            number: claim.number,
            state: claim.state.to_string(),
            step: asked.step.to_string(),
            possible: possible(asked.step).iter().map(ClaimState::to_string).collect(),
        });
    }
    let step = ClaimStep {
        what: asked.step.word().to_owned(),
        state: after(asked.step).word().to_owned(),
        at: Utc::now(),
        by,
        detail,
    };
    shop.store().change_claim(&claim.number, version, &step).await?;
    show_claim(shop, &claim.number).await
}

async fn stored_claim(shop: &Shop, number: &str) -> Result<SupplierClaim, ReceiptError> {
    let number = number.trim().to_uppercase();
    shop.store().claim_of(&number).await?.ok_or(ReceiptError::ClaimNotFound(number))
}

fn bad(column: &str) -> ReceiptError {
    ReceiptError::Order(OrderError::Store(StoreError::BadRow { table: "claims", column: column.to_owned() }))
}

fn state_of(word: &str) -> Result<ClaimState, ReceiptError> {
    ClaimState::from_word(word).ok_or_else(|| bad("state"))
}

fn head(entry: ClaimEntry) -> Result<ClaimHead, ReceiptError> {
    Ok(ClaimHead {
        state: state_of(&entry.state)?,
        number: entry.number,
        supplier: entry.supplier,
        receipt: entry.receipt,
        order: entry.order,
        created_at: entry.created_at,
        currency: entry.currency,
        amount: entry.amount,
    })
}

fn sheet(claim: SupplierClaim) -> Result<ClaimSheet, ReceiptError> {
    let mut lines = Vec::with_capacity(claim.lines.len());
    for line in claim.lines {
        lines.push(ClaimLineSheet {
            kind: ClaimKind::from_word(&line.kind).ok_or_else(|| bad("kind"))?,
            part: line.part,
            written: line.written,
            order_line: line.place.map(|(line, _)| line),
            content: line.place.map(|(_, content)| content),
            quantity: line.quantity,
            unit_value: line.unit_value,
            amount: line.amount,
            reason: line.reason,
        });
    }
    let mut steps = Vec::with_capacity(claim.steps.len());
    for step in claim.steps {
        steps.push(ClaimStepSheet {
            what: step.what,
            state: state_of(&step.state)?,
            at: step.at,
            by: step.by,
            detail: step.detail,
        });
    }
    let entry = claim.entry;
    Ok(ClaimSheet {
        state: state_of(&entry.state)?,
        number: entry.number,
        supplier: entry.supplier,
        receipt: entry.receipt,
        order: entry.order,
        created_at: entry.created_at,
        created_by: entry.created_by,
        currency: entry.currency,
        amount: entry.amount,
        lines,
        steps,
    })
}
