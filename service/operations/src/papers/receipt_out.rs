//! The shop's advice of what it found in a box.

use std::collections::BTreeMap;

use catalogue::{Part, PartKey, Quantity};
use exchange::papers::{Item, OrderLineReference, OrderReference, Party, ReceiptAdvice, ReceiptLine};
use resolver::receipt::{CountVerdict, CountedOutcome, ExpectedOutcome};

use super::error::PaperError;
use super::format::{PaperFormat, write};
use super::item::{item_of, item_of_key, measure};
use super::order_out::{SHOP_NAME, parts_of};
use crate::shop::Shop;
use crate::show_receipt::{ReceiptSheet, show_receipt};

/// The receipt of a number as a paper for its supplier.
pub async fn write_receipt(shop: &Shop, number: &str, format: PaperFormat) -> Result<String, PaperError> {
    let receipt = show_receipt(shop, number).await?;
    if let Some(other) = receipt.reversed_by.as_ref().or(receipt.reverses.as_ref()) {
        let detail =
            format!("receipt `{}` was taken back, or takes back another (`{other}`)", receipt.number);
        return Err(PaperError::NotReady(detail));
    }
    let Some(result) = &receipt.result else {
        return Err(PaperError::NotReady(format!("receipt `{}` holds no count", receipt.number)));
    };
    let expected = result.outcome.expected.iter().map(|line| line.part.clone());
    let counted = result.outcome.counted.iter().filter_map(|line| line.part.clone());
    let parts = parts_of(shop, &expected.chain(counted).collect::<Vec<_>>()).await?;
    let mut lines: Vec<ReceiptLine> =
        result.outcome.expected.iter().map(|line| expected_line(line, &receipt, &parts)).collect();
    lines.extend(result.outcome.counted.iter().filter_map(|line| set_aside_line(line, &parts)));
    for (at, line) in lines.iter_mut().enumerate() {
        line.number = (at + 1).to_string();
        line.received_on = Some(receipt.counted_at.date_naive());
    }
    let order =
        receipt.order.iter().map(|number| OrderReference { number: number.clone(), sales_order: None });
    let paper = ReceiptAdvice {
        number: receipt.number.clone(),
        issued: receipt.counted_at.date_naive(),
        notes: Some(receipt.note.clone()).filter(|note| !note.is_empty()).into_iter().collect(),
        orders: order.collect(),
        customer: Party { code: None, name: Some(SHOP_NAME.to_owned()) },
        supplier: Party {
            code: receipt.supplier.as_ref().map(|code| code.as_str().to_owned()),
            name: receipt.supplier.is_none().then(|| "not known".to_owned()),
        },
        lines,
        ..ReceiptAdvice::default()
    };
    write(&paper, format)
}

fn item(part: &PartKey, parts: &BTreeMap<PartKey, Part>) -> Item {
    parts.get(part).map_or_else(|| item_of_key(part), item_of)
}

/// What arrived of a line that was to come.
fn expected_line(
    line: &ExpectedOutcome,
    receipt: &ReceiptSheet,
    parts: &BTreeMap<PartKey, Part>,
) -> ReceiptLine {
    let some = |quantity: Quantity| (quantity > Quantity::ZERO).then(|| measure(quantity, line.measure));
    let sentences = line.reasons.iter().map(|reason| reason.sentence.clone());
    let in_kit = line.kit.iter().map(|kit| format!("in the box of {kit}"));
    ReceiptLine {
        notes: sentences.chain(in_kit).collect(),
        received: Some(measure(line.right + line.by_successor + line.by_interchange, line.measure)),
        short: some(line.short),
        rejected: some(line.damaged),
        reject_reasons: if line.damaged > Quantity::ZERO { vec!["damaged".to_owned()] } else { Vec::new() },
        order_line: receipt.order.as_ref().map(|order| OrderLineReference {
            line: line.order_line.to_string(),
            order: Some(order.clone()),
        }),
        item: item(&line.part, parts),
        ..ReceiptLine::default()
    }
}

/// What was counted and does not stand for anything that was to come.
fn set_aside_line(line: &CountedOutcome, parts: &BTreeMap<PartKey, Part>) -> Option<ReceiptLine> {
    let mut set_aside = Quantity::ZERO;
    let (mut over, mut reasons) = (Quantity::ZERO, Vec::new());
    for pieces in &line.pieces {
        match pieces.verdict {
            CountVerdict::Right | CountVerdict::ProperSuccessor | CountVerdict::Interchangeable => {}
            CountVerdict::Over | CountVerdict::TodaysList => over += pieces.quantity,
            CountVerdict::OldNumberRefused | CountVerdict::WrongPart => {
                set_aside += pieces.quantity;
                reasons.extend(pieces.reasons.iter().map(|reason| reason.sentence.clone()));
            }
        }
    }
    let all = set_aside + over;
    if all == Quantity::ZERO {
        return None;
    }
    let part = line.part.as_ref().and_then(|part| parts.get(part));
    let unit = part.map_or(catalogue::UnitOfMeasure::Piece, |part| part.measure);
    let some = |quantity: Quantity| (quantity > Quantity::ZERO).then(|| measure(quantity, unit));
    let unknown = || Item {
        name: Some(line.written.clone()),
        sellers_number: Some(line.written.clone()),
        ..Item::default()
    };
    reasons.dedup();
    Some(ReceiptLine {
        received: Some(measure(all, unit)),
        rejected: some(set_aside),
        reject_reasons: reasons,
        oversupply: some(over),
        item: part.map_or_else(unknown, item_of),
        ..ReceiptLine::default()
    })
}
