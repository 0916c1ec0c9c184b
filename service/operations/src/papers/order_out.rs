//! The shop's order to a supplier.

use std::collections::BTreeMap;

use catalogue::{Money, Part, PartKey, Quantity, UnitOfMeasure};
use exchange::papers::{Amount, DocumentReference, Order, OrderLine, Party, Period, Price};

use super::error::PaperError;
use super::format::{PaperFormat, write};
use super::item::{item_of, item_of_key, measure};
use super::order_in::JOB;
use crate::order_error::OrderError;
use crate::shop::Shop;
use crate::show_order::{OrderLineSheet, OrderSheet, OrderState, show_order};

/// How the shop is named where nothing else is agreed on.
pub(super) const SHOP_NAME: &str = "The shop";

/// The order of a number as a paper for its supplier.
pub async fn write_order(shop: &Shop, number: &str, format: PaperFormat) -> Result<String, PaperError> {
    let order = show_order(shop, number).await.map_err(|error| match error {
        OrderError::Store(error) => PaperError::Store(error),
        error => PaperError::Order(error),
    })?;
    if matches!(order.state, OrderState::Draft | OrderState::Cancelled) {
        let detail =
            format!("order `{}` is {}; place it before it is sent to anybody", order.number, order.state);
        return Err(PaperError::NotReady(detail));
    }
    let keys: Vec<PartKey> = order.lines.iter().map(|line| line.part.clone()).collect();
    let parts = parts_of(shop, &keys).await?;
    let suppliers = shop.store().load_prices(&[], None).await?.suppliers;
    let name = suppliers.into_iter().find(|row| row.supplier == order.supplier).map(|row| row.name);
    let seller = Party { code: Some(order.supplier.as_str().to_owned()), name };
    write(&paper(&order, &parts, seller), format)
}

/// What the catalogue knows of parts.
pub(super) async fn parts_of(shop: &Shop, keys: &[PartKey]) -> Result<BTreeMap<PartKey, Part>, PaperError> {
    let family = shop.store().load_part_families(keys).await?;
    Ok(family.parts.into_iter().map(|part| (part.part.clone(), part)).collect())
}

fn paper(order: &OrderSheet, parts: &BTreeMap<PartKey, Part>, seller: Party) -> Order {
    let placed = order.steps.iter().find(|step| step.state == OrderState::Placed);
    let issued = placed.map_or(order.created_at, |step| step.at).date_naive();
    let total = match order.totals.as_slice() {
        [total] => Some(Amount { money: total.goods + total.deposits, currency: total.currency.clone() }),
        _ => None,
    };
    Order {
        number: order.number.clone(),
        issued,
        notes: Some(order.note.clone()).filter(|note| !note.is_empty()).into_iter().collect(),
        currency: total.as_ref().map(|total| total.currency.clone()),
        buyer: Party { code: None, name: Some(SHOP_NAME.to_owned()) },
        seller,
        total,
        lines: order.lines.iter().map(|line| order_line(line, parts.get(&line.part))).collect(),
        ..Order::default()
    }
}

fn order_line(line: &OrderLineSheet, part: Option<&Part>) -> OrderLine {
    let unit = part.map_or(UnitOfMeasure::Piece, |part| part.measure);
    let amount = |money| Amount { money, currency: line.currency.clone() };
    let total = line.price.times(line.quantity.raw(), Quantity::SCALE).unwrap_or(Money::ZERO);
    let of_shares = line.shares.iter().flat_map(|share| [(&share.job, JOB), (&share.quote, "quote")]);
    let behind = [(&line.job, JOB), (&line.quote, "quote")].into_iter().chain(of_shares);
    let mut documents: Vec<DocumentReference> = Vec::new();
    for (number, kind) in behind {
        let Some(number) = number.clone() else { continue };
        let document = DocumentReference { number, kind: Some(kind.to_owned()) };
        if !documents.contains(&document) {
            documents.push(document);
        }
    }
    let mut item = part.map_or_else(|| item_of_key(&line.part), item_of);
    if line.deposit > Money::ZERO {
        item.properties.push(exchange::papers::ItemProperty {
            property: "deposit".to_owned(),
            value: Some(format!("{} {}", line.deposit, line.currency)),
        });
    }
    OrderLine {
        number: line.line.to_string(),
        quantity: measure(line.quantity, unit),
        line_total: Some(amount(total)),
        requested: line.expected_on.map(|day| Period { from: None, to: Some(day) }),
        price: Some(Price { amount: amount(line.price), per: None, valid: None }),
        item,
        documents,
        ..OrderLine::default()
    }
}
