//! A supplier's answer to an order.

use catalogue::{Part, PartKey, Quantity};
use chrono::NaiveDate;
use exchange::papers::{
    LineAnswer, OrderAnswer, OrderResponse, OrderResponseLine, PromisedDelivery, Substitute,
};
use store::{Order, OrderLine, dealt};

use super::error::{PaperError, PaperFault};
use super::item::{part_of, quantity_of, written};
use super::outcome::{AnsweredLine, AnsweredOrder, PaperOutcome, WaitingPaper};
use super::sent_paper::PaperSort;
use super::take_in::{Incoming, Kept, Stop, json};
use crate::change_order::{AskedLineStep, AskedOrderStep, OrderAction, after, take as take_step};
use crate::order_error::OrderError;
use crate::shop::Shop;
use crate::show_order::{state_of, stored_order};

/// What a line of the answer comes to.
struct Said {
    step: AskedLineStep,
    remarks: Vec<String>,
}

pub(super) async fn take(shop: &Shop, paper: &OrderResponse, incoming: &Incoming<'_>) -> Result<Kept, Stop> {
    let order = ordered(shop, &paper.order, "/OrderResponse/cac:OrderReference/cbc:ID").await?;
    let sender = order.supplier.as_str().to_owned();
    let mut kept = incoming.kept(shop, PaperSort::OrderResponse, &sender, &paper.number).await?;
    let mut faults = Vec::new();
    if let Some(code) = paper.seller.code.as_deref().filter(|code| !code.eq_ignore_ascii_case(&sender)) {
        let detail = format!("order `{}` went to {sender}, and `{code}` answers", order.number);
        faults.push(PaperFault::new("/OrderResponse/cac:SellerSupplierParty", detail));
    }
    let (lines, remarks) = said_of(shop, paper, &order, &mut faults).await?;
    if !faults.is_empty() {
        return Err(Stop::Error(PaperError::Wrong(faults)));
    }
    let answered = answered(&order, &lines, remarks)?;
    let note = [format!("order response {}", paper.number)].into_iter().chain(paper.notes.iter().cloned());
    let asked = AskedOrderStep {
        step: OrderAction::Acknowledge,
        by: incoming.by().to_owned(),
        note: Some(cut(&note.collect::<Vec<_>>().join("; "))),
        lines,
    };
    kept.order = Some(order.number.clone());
    kept.outcome = json(&PaperOutcome::AnsweredOrder(answered))?;
    take_step(shop, order, &asked, Some(kept)).await?;
    Ok((PaperSort::OrderResponse, sender, paper.number.clone()))
}

/// A note that an order can keep.
fn cut(note: &str) -> String {
    note.chars().take(1_900).collect()
}

/// The order of a number that a paper names.
pub(super) async fn ordered(shop: &Shop, number: &str, place: &str) -> Result<Order, PaperError> {
    match stored_order(shop, number).await {
        Err(OrderError::NotFound(number)) => {
            Err(PaperError::wrong(place, format!("there is no order `{number}`")))
        }
        other => Ok(other?),
    }
}

/// What is said of each line, and what is said that is not followed.
async fn said_of(
    shop: &Shop,
    paper: &OrderResponse,
    order: &Order,
    faults: &mut Vec<PaperFault>,
) -> Result<(Vec<AskedLineStep>, Vec<String>), PaperError> {
    let promised = paper.promised.as_ref().and_then(|period| period.to.or(period.from));
    let (mut steps, mut remarks) = (Vec::new(), Vec::new());
    for (at, line) in paper.lines.iter().enumerate() {
        let place = format!("/OrderResponse/cac:OrderLine[{}]", at + 1);
        if line.answer == Some(LineAnswer::Added) {
            remarks.push(format!("line {}: the supplier added it; nothing of it was ordered", line.number));
            continue;
        }
        match said_of_line(shop, line, order, (&place, promised)).await? {
            Ok(said) => {
                remarks.extend(said.remarks);
                steps.push(said.step);
            }
            Err(fault) => faults.push(fault),
        }
    }
    let whole = |quantity: Option<Quantity>| {
        order.lines.iter().map(move |line| AskedLineStep {
            line: line.line,
            quantity,
            on: promised,
            substitute: None,
        })
    };
    if steps.is_empty() && faults.is_empty() {
        match paper.answer {
            Some(OrderAnswer::Rejected) => steps.extend(whole(Some(Quantity::ZERO))),
            Some(OrderAnswer::Accepted) => steps.extend(whole(None)),
            Some(OrderAnswer::Other(ref code)) => {
                remarks.push(format!(
                    "the answer `{code}` to the whole order is not known here and was not followed"
                ));
            }
            Some(OrderAnswer::Acknowledged | OrderAnswer::AcceptedWithChanges) | None => {}
        }
    }
    Ok((steps, remarks))
}

async fn said_of_line(
    shop: &Shop,
    line: &OrderResponseLine,
    order: &Order,
    (place, promised): (&str, Option<NaiveDate>),
) -> Result<Result<Said, PaperFault>, PaperError> {
    let known = match known_line(line, order, place) {
        Ok(known) => known,
        Err(fault) => return Ok(Err(fault)),
    };
    let ordered = match shop.store().find_part(&known.part).await? {
        Some(part) => part,
        None => return Ok(Err(PaperFault::new(place, format!("{} is no longer catalogued", known.part)))),
    };
    let mut remarks = Vec::new();
    let mut quantity = if line.answer == Some(LineAnswer::Rejected) { Some(Quantity::ZERO) } else { None };
    let mut will_come = Quantity::ZERO;
    for (measure, field) in
        [(&line.quantity, "cbc:Quantity"), (&line.back_ordered, "cbc:MaximumBackorderQuantity")]
    {
        let Some(measure) = measure else { continue };
        match quantity_of(measure, &ordered, &format!("{place}/cac:LineItem/{field}")) {
            Ok(more) => will_come += more,
            Err(fault) => return Ok(Err(fault)),
        }
    }
    if line.quantity.is_some() && quantity.is_none() {
        if will_come > known.quantity {
            let more = will_come - known.quantity;
            remarks.push(format!("line {}: {more} more are confirmed than were ordered", known.line));
        }
        quantity = Some(will_come.min(known.quantity));
    }
    if let Some(price) = &line.price
        && (price.amount.money, &price.amount.currency) != (known.price, &known.currency)
        && price.per.as_ref().is_none_or(|per| per.quantity == Quantity::whole(1))
    {
        remarks.push(format!(
            "line {}: the supplier asks {} {} for one, where {} {} was ordered at",
            known.line, price.amount.money, price.amount.currency, known.price, known.currency
        ));
    }
    let mut on = last_day(&line.promised);
    let substitute = substitute(shop, line, (&ordered, known, place), &mut remarks).await?;
    if let Some((_, promised)) = &substitute {
        on = on.or(*promised);
    }
    let step = AskedLineStep {
        line: known.line,
        quantity,
        on: on.or(promised),
        substitute: substitute.map(|(part, _)| written(&part)),
    };
    Ok(Ok(Said { step, remarks }))
}

/// The line of the order that a line of the answer speaks of.
fn known_line<'a>(
    line: &OrderResponseLine,
    order: &'a Order,
    place: &str,
) -> Result<&'a OrderLine, PaperFault> {
    let (number, place) = match &line.order_line {
        Some(reference) => (&reference.line, format!("{place}/cac:OrderLineReference")),
        None => (&line.number, format!("{place}/cac:LineItem/cbc:ID")),
    };
    let other = line.order_line.as_ref().and_then(|reference| reference.order.as_deref());
    if let Some(other) = other.filter(|other| !other.trim().eq_ignore_ascii_case(&order.number)) {
        let detail =
            format!("this is an answer to order `{}`, and the line speaks of `{other}`", order.number);
        return Err(PaperFault::new(place, detail));
    }
    let found = number
        .trim()
        .parse()
        .ok()
        .and_then(|number: i64| order.lines.iter().find(|line| line.line == number));
    found.ok_or_else(|| {
        let lines: Vec<String> = order.lines.iter().map(|line| line.line.to_string()).collect();
        let detail = format!("order `{}` has no line `{number}`; it has {}", order.number, lines.join(", "));
        PaperFault::new(place, detail)
    })
}

/// The part that is offered or sent instead, with the day it is promised for.
async fn substitute(
    shop: &Shop,
    line: &OrderResponseLine,
    (ordered, known, place): (&Part, &OrderLine, &str),
    remarks: &mut Vec<String>,
) -> Result<Option<(Part, Option<NaiveDate>)>, PaperError> {
    let mut found = None;
    let offers = line.offered.iter().map(|item| (item, "offers"));
    let made = line.substituted.iter().map(|item| (item, "will send without asking"));
    for (item, verb) in offers.chain(made) {
        let Substitute { item, promised, .. } = item;
        match part_of(shop, item, place).await? {
            Ok(part) if part.part == ordered.part => {}
            Ok(part) if found.is_none() => {
                if verb != "offers" {
                    remarks.push(format!("line {}: the supplier {verb} {}", known.line, part.part));
                }
                found = Some((part, last_day(promised)));
            }
            Ok(part) => remarks.push(format!("line {}: the supplier also {verb} {}", known.line, part.part)),
            Err(fault) => {
                remarks
                    .push(format!("line {}: the supplier {verb} another part; {}", known.line, fault.detail));
            }
        }
    }
    Ok(found)
}

fn last_day(promised: &[PromisedDelivery]) -> Option<NaiveDate> {
    promised.iter().filter_map(|delivery| delivery.to.or(delivery.from)).max()
}

/// What the answer does to the order and to those who wait for it.
fn answered(
    order: &Order,
    steps: &[AskedLineStep],
    remarks: Vec<String>,
) -> Result<AnsweredOrder, PaperError> {
    let state = after(OrderAction::Acknowledge, state_of(&order.state)?);
    let (mut lines, mut waiting) = (Vec::new(), Vec::new());
    for step in steps {
        let Some(known) = order.lines.iter().find(|line| line.line == step.line) else { continue };
        let acknowledged = step.quantity.unwrap_or(known.quantity);
        let expected_before = known.acknowledged_on.or(known.expected_on);
        let expected_now = step.on.or(expected_before);
        let substitute = step.substitute.as_deref().and_then(|text| PartKey::parse(text).ok());
        let days_later = match (known.expected_on, expected_now) {
            (Some(planned), Some(now)) if acknowledged > Quantity::ZERO => (now - planned).num_days(),
            _ => 0,
        };
        let lacking = known.quantity - acknowledged;
        if lacking > Quantity::ZERO || days_later != 0 || substitute.is_some() {
            for (quote, job, lacking) in waiting_for(known, acknowledged) {
                if lacking > Quantity::ZERO || days_later != 0 || substitute.is_some() {
                    let (part, substitute) = (known.part.clone(), substitute.clone());
                    waiting.push(WaitingPaper {
                        quote,
                        job,
                        line: known.line,
                        part,
                        lacking,
                        days_later,
                        substitute,
                    });
                }
            }
        }
        lines.push(AnsweredLine {
            line: known.line,
            part: known.part.clone(),
            ordered: known.quantity,
            acknowledged,
            expected_before,
            expected_now,
            substitute,
        });
    }
    waiting.retain(|paper| paper.quote.is_some() || paper.job.is_some());
    Ok(AnsweredOrder { order: order.number.clone(), state, lines, waiting, remarks })
}

/// Who waits for a line of which so many are acknowledged, each with how many lack to them: of a line that serves several
/// the shelf goes without first, then those that stand last. Of a kit the boxes lack to whoever lacks a piece of one.
fn waiting_for(line: &OrderLine, acknowledged: Quantity) -> Vec<(Option<String>, Option<String>, Quantity)> {
    let lacking = line.quantity - acknowledged;
    if line.quote.is_some() || line.job.is_some() {
        return vec![(line.quote.clone(), line.job.clone(), lacking)];
    }
    let mut waiting: Vec<(Option<String>, Option<String>, Quantity)> = Vec::new();
    for content in &line.contents {
        let all = content.quantity.times(acknowledged).unwrap_or_default();
        for (share, given) in line.shares.iter().zip(dealt(&line.shares, content.content, all)) {
            if share.content != content.content || share.job.is_none() {
                continue;
            }
            let lacks = match line.contents.as_slice() {
                [_] => share.quantity - given,
                _ if given < share.quantity => lacking,
                _ => Quantity::ZERO,
            };
            match waiting.iter_mut().find(|(_, job, _)| *job == share.job) {
                Some((.., known)) => *known = (*known).max(lacks),
                None => waiting.push((share.quote.clone(), share.job.clone(), lacks)),
            }
        }
    }
    waiting
}
