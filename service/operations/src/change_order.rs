//! Takes a step of an order: place it, note what the supplier answered, take a substitute, close or cancel it.

use catalogue::{PartKey, Quantity};
use chrono::{NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use store::{NewReceivedPaper, Order, OrderChange, OrderLine, OrderLineChange};
use utoipa::ToSchema;

use crate::draft_orders::frozen;
use crate::identify_part::identify_part;
use crate::order_error::{OrderError, named, noted};
use crate::shop::Shop;
use crate::show_order::{OrderSheet, OrderState, sheet, show_order, state_of, stored_order};

catalogue::choice! {
    /// What can be done with an order.
    pub enum OrderAction {
        /// It is sent to the supplier.
        Place = "place",
        /// The supplier has answered, line by line.
        Acknowledge = "acknowledge",
        /// A substitute that the supplier offers is taken.
        TakeSubstitute = "take_substitute",
        /// What lacks is not waited for any longer.
        Close = "close",
        /// It is called off before anything came.
        Cancel = "cancel",
    }
}

/// A step that is to be taken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedOrderStep {
    /// What is to be done.
    pub step: OrderAction,
    /// Who does it.
    #[schema(example = "M. Brandl")]
    pub by: String,
    /// A note.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// The lines that it speaks of: what the supplier acknowledged, or whose substitutes are taken.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lines: Vec<AskedLineStep>,
}

/// What is said of one line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedLineStep {
    /// Number of the line.
    pub line: i64,
    /// How many the supplier will send; left out: as ordered.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, example = "2")]
    pub quantity: Option<Quantity>,
    /// The day for which the supplier promises it; left out: as before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on: Option<NaiveDate>,
    /// The part that the supplier offers instead.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub substitute: Option<String>,
}

/// The states in which an action is possible.
fn possible(action: OrderAction) -> &'static [OrderState] {
    use OrderState::{Acknowledged, Draft, PartReceived, Placed, Received};
    match action {
        OrderAction::Place => &[Draft],
        OrderAction::Acknowledge => &[Placed, Acknowledged, PartReceived],
        OrderAction::TakeSubstitute => &[Acknowledged],
        OrderAction::Close => &[PartReceived, Received],
        OrderAction::Cancel => &[Draft, Placed, Acknowledged],
    }
}

/// The state after an action.
pub(crate) fn after(action: OrderAction, state: OrderState) -> OrderState {
    match action {
        OrderAction::Place => OrderState::Placed,
        OrderAction::Acknowledge if state == OrderState::PartReceived => state,
        OrderAction::Acknowledge | OrderAction::TakeSubstitute => OrderState::Acknowledged,
        OrderAction::Close => OrderState::Closed,
        OrderAction::Cancel => OrderState::Cancelled,
    }
}

/// Takes a step, if `still_holds` says that it was decided on the order as it is now.
pub async fn change_order<E: From<OrderError>>(
    shop: &Shop,
    number: &str,
    asked: &AskedOrderStep,
    still_holds: impl FnOnce(&OrderSheet) -> Result<(), E>,
) -> Result<OrderSheet, E> {
    let order = stored_order(shop, number).await?;
    still_holds(&sheet(order.clone())?)?;
    Ok(take(shop, order, asked, None).await?)
}

/// Takes a step; the paper that says so is kept with it.
pub(crate) async fn take(
    shop: &Shop,
    order: Order,
    asked: &AskedOrderStep,
    paper: Option<NewReceivedPaper>,
) -> Result<OrderSheet, OrderError> {
    let by = named(&asked.by)?;
    let note = noted(asked.note.as_ref())?;
    let state = state_of(&order.state)?;
    if !possible(asked.step).contains(&state) {
        return Err(OrderError::WrongState {
            number: order.number,
            state: state.to_string(),
            step: asked.step.to_string(),
            possible: possible(asked.step).iter().map(OrderState::to_string).collect(),
        });
    }
    let mut lines = Vec::new();
    let mut told: Vec<String> = if note.is_empty() { Vec::new() } else { vec![note] };
    for (at, line) in asked.lines.iter().enumerate() {
        let pointer = format!("/lines/{at}");
        let known = order.lines.iter().find(|known| known.line == line.line).ok_or_else(|| {
            let detail = format!("order `{}` has no line {}", order.number, line.line);
            OrderError::bad(format!("{pointer}/line"), detail)
        })?;
        if asked.lines[..at].iter().any(|other| other.line == line.line) {
            return Err(OrderError::bad(
                format!("{pointer}/line"),
                format!("line {} is named twice", line.line),
            ));
        }
        let (change, words) = match asked.step {
            OrderAction::Acknowledge => acknowledged(shop, known, line, &pointer).await?,
            OrderAction::TakeSubstitute => taken(shop, known, line, &pointer).await?,
            OrderAction::Place | OrderAction::Close | OrderAction::Cancel => {
                let detail = format!("{} speaks of the whole order; leave `lines` out", asked.step);
                return Err(OrderError::bad("/lines", detail));
            }
        };
        lines.push(change);
        told.push(words);
    }
    if asked.step == OrderAction::TakeSubstitute && lines.is_empty() {
        return Err(OrderError::bad("/lines", "name the lines whose substitutes are taken"));
    }
    let change = OrderChange {
        what: asked.step.word().to_owned(),
        state: after(asked.step, state).word().to_owned(),
        at: Utc::now(),
        by,
        detail: told.join("; "),
        lines,
        paper,
    };
    shop.store().change_order(&order.number, order.version, &change).await?;
    show_order(shop, &order.number).await
}

async fn acknowledged(
    shop: &Shop,
    known: &OrderLine,
    line: &AskedLineStep,
    pointer: &str,
) -> Result<(OrderLineChange, String), OrderError> {
    let quantity = line.quantity.unwrap_or(known.quantity);
    if quantity < Quantity::ZERO || quantity > known.quantity {
        let detail = format!("{} were ordered; the supplier can acknowledge 0 to {0}", known.quantity);
        return Err(OrderError::bad(format!("{pointer}/quantity"), detail));
    }
    let substitute: Option<PartKey> = match &line.substitute {
        None => None,
        Some(written) => {
            let part = identify_part(shop, written).await;
            let pointer = format!("{pointer}/substitute");
            Some(part.map_err(|error| OrderError::Lookup { pointer, error })?.part)
        }
    };
    if substitute.as_ref() == Some(&known.part) {
        let detail = format!("{} is what was ordered; a substitute is another part", known.part);
        return Err(OrderError::bad(format!("{pointer}/substitute"), detail));
    }
    let mut words = format!("line {}: {quantity} of {} {}", line.line, known.quantity, known.part);
    if let Some(day) = line.on {
        words.push_str(&format!(" for {day}"));
    }
    if let Some(part) = &substitute {
        words.push_str(&format!(", {part} offered instead"));
    }
    Ok((OrderLineChange::Acknowledged { line: line.line, quantity, on: line.on, substitute }, words))
}

async fn taken(
    shop: &Shop,
    known: &OrderLine,
    line: &AskedLineStep,
    pointer: &str,
) -> Result<(OrderLineChange, String), OrderError> {
    if line.quantity.is_some() || line.on.is_some() || line.substitute.is_some() {
        return Err(OrderError::bad(pointer, "taking a substitute needs the number of the line alone"));
    }
    let Some(part) = known.substitute.clone() else {
        let detail = format!("no substitute is offered for line {}", line.line);
        return Err(OrderError::bad(format!("{pointer}/line"), detail));
    };
    let snapshot = shop.store().load_part_families(std::slice::from_ref(&part)).await?;
    let day = Utc::now().date_naive();
    let contents = frozen(shop, &snapshot, (&part, known.unit_value), day).await?;
    let words = format!("line {}: {part} instead of {}", line.line, known.part);
    Ok((OrderLineChange::SubstituteTaken { line: line.line, part, contents }, words))
}
