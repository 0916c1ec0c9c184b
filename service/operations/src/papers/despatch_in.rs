//! A despatch advice: what a box should hold, before it is here.

use std::collections::BTreeMap;

use catalogue::{Part, Quantity};
use exchange::papers::{DespatchAdvice, DespatchLine};
use store::{Order, OrderLine};

use super::error::{PaperError, PaperFault};
use super::item::{part_of, quantity_of, written};
use super::outcome::{AnnouncedBox, Outstanding, PaperOutcome};
use super::response_in::ordered;
use super::sent_paper::PaperSort;
use super::take_in::{Incoming, Kept, Stop, json};
use crate::receive_box::{AskedCount, AskedReceipt};
use crate::shop::Shop;

/// What one line of the advice comes to.
struct Announced {
    line: i64,
    counts: Vec<AskedCount>,
    outstanding: Option<Outstanding>,
    remarks: Vec<String>,
}

pub(super) async fn take(shop: &Shop, paper: &DespatchAdvice, incoming: &Incoming<'_>) -> Result<Kept, Stop> {
    let orders = orders_of(shop, paper).await?;
    let sender = sender_of(paper, &orders)?;
    let mut kept = incoming.kept(shop, PaperSort::DespatchAdvice, &sender, &paper.number).await?;
    let mut announced = AnnouncedBox {
        receipts: Vec::new(),
        expected_on: paper
            .shipment
            .as_ref()
            .and_then(|shipment| shipment.expected_to.or(shipment.expected_from)),
        tracking: paper.shipment.as_ref().and_then(|shipment| shipment.tracking.clone()),
        outstanding: Vec::new(),
        remarks: Vec::new(),
    };
    let mut faults = Vec::new();
    let mut receipts: BTreeMap<String, AskedReceipt> = BTreeMap::new();
    for (at, line) in paper.lines.iter().enumerate() {
        let place = format!("/DespatchAdvice/cac:DespatchLine[{}]", at + 1);
        let order = match order_of(line, &orders, &place) {
            Ok(order) => order,
            Err(fault) => {
                faults.push(fault);
                continue;
            }
        };
        match announced_line(shop, line, order, &place).await? {
            Err(fault) => faults.push(fault),
            Ok(found) => {
                let receipt = receipts
                    .entry(order.number.clone())
                    .or_insert_with(|| begun(&order.number, &sender, paper));
                receipt.more_to_come |= found.outstanding.is_some();
                if !found.counts.is_empty() {
                    receipt.lines.push(found.line);
                }
                receipt.counted.extend(found.counts);
                announced.outstanding.extend(found.outstanding);
                announced.remarks.extend(found.remarks);
            }
        }
    }
    if !faults.is_empty() {
        return Err(Stop::Error(PaperError::Wrong(faults)));
    }
    announced.receipts = receipts.into_values().filter(|receipt| !receipt.counted.is_empty()).collect();
    kept.order = if orders.len() == 1 { orders.keys().next().cloned() } else { None };
    kept.outcome = json(&PaperOutcome::AnnouncedBox(announced))?;
    shop.store().keep_received_paper(&kept).await?;
    Ok((PaperSort::DespatchAdvice, sender, paper.number.clone()))
}

fn begun(order: &str, sender: &str, paper: &DespatchAdvice) -> AskedReceipt {
    AskedReceipt {
        order: Some(order.to_owned()),
        lines: Vec::new(),
        kit: None,
        boxes: None,
        supplier: None,
        counted: Vec::new(),
        csv: None,
        bin: None,
        more_to_come: false,
        keep_over: false,
        note: Some(format!("despatch advice {} of {sender}", paper.number)),
        by: String::new(),
    }
}

/// The orders that the advice speaks of, by number.
async fn orders_of(shop: &Shop, paper: &DespatchAdvice) -> Result<BTreeMap<String, Order>, PaperError> {
    let named =
        paper.orders.iter().map(|reference| (&reference.number, "/DespatchAdvice/cac:OrderReference"));
    let of_lines = paper.lines.iter().filter_map(|line| line.order_line.order.as_ref());
    let of_lines = of_lines.map(|number| (number, "/DespatchAdvice/cac:DespatchLine/cac:OrderLineReference"));
    let mut orders = BTreeMap::new();
    for (number, place) in named.chain(of_lines) {
        let order = ordered(shop, number, place).await?;
        orders.insert(order.number.clone(), order);
    }
    if orders.is_empty() {
        return Err(PaperError::wrong(
            "/DespatchAdvice/cac:OrderReference",
            "the advice names no order; give the number of the order that is served",
        ));
    }
    Ok(orders)
}

/// The one supplier of all orders.
fn sender_of(paper: &DespatchAdvice, orders: &BTreeMap<String, Order>) -> Result<String, PaperError> {
    let place = "/DespatchAdvice/cac:DespatchSupplierParty";
    let mut suppliers: Vec<&str> = orders.values().map(|order| order.supplier.as_str()).collect();
    suppliers.dedup();
    let [supplier] = suppliers.as_slice() else {
        let detail = format!("one box serves orders to {}; send an advice of each", suppliers.join(" and "));
        return Err(PaperError::wrong(place, detail));
    };
    match paper.supplier.code.as_deref() {
        Some(code) if !code.eq_ignore_ascii_case(supplier) => {
            Err(PaperError::wrong(place, format!("the orders went to {supplier}, and `{code}` sends")))
        }
        _ => Ok((*supplier).to_owned()),
    }
}

fn order_of<'a>(
    line: &DespatchLine,
    orders: &'a BTreeMap<String, Order>,
    place: &str,
) -> Result<&'a Order, PaperFault> {
    let named = line.order_line.order.as_ref().map(|number| number.trim().to_uppercase());
    let found = match named {
        Some(number) => orders.get(&number),
        None if orders.len() == 1 => orders.values().next(),
        None => None,
    };
    found.ok_or_else(|| {
        let detail = "the advice serves several orders; say at each line which one it is for";
        PaperFault::new(format!("{place}/cac:OrderLineReference"), detail)
    })
}

async fn announced_line(
    shop: &Shop,
    line: &DespatchLine,
    order: &Order,
    place: &str,
) -> Result<Result<Announced, PaperFault>, PaperError> {
    let number = line.order_line.line.trim();
    let known =
        number.parse().ok().and_then(|number: i64| order.lines.iter().find(|line| line.line == number));
    let Some(known) = known else {
        let detail = format!("order `{}` has no line `{number}`", order.number);
        return Ok(Err(PaperFault::new(format!("{place}/cac:OrderLineReference/cbc:LineID"), detail)));
    };
    let part = match part_of(shop, &line.item, &format!("{place}/cac:Item")).await? {
        Ok(part) => part,
        Err(fault) => return Ok(Err(fault)),
    };
    let mut quantities = [Quantity::ZERO; 3];
    let fields = [
        (&line.delivered, "cbc:DeliveredQuantity"),
        (&line.outstanding, "cbc:OutstandingQuantity"),
        (&line.back_ordered, "cbc:BackorderQuantity"),
    ];
    for ((measure, field), quantity) in fields.into_iter().zip(&mut quantities) {
        let Some(measure) = measure else { continue };
        match quantity_of(measure, &part, &format!("{place}/{field}")) {
            Ok(found) => *quantity = found,
            Err(fault) => return Ok(Err(fault)),
        }
    }
    let [delivered, outstanding, back_ordered] = quantities;
    // What the supplier has on order itself follows too, whether or not it is said again as outstanding.
    let later = outstanding.max(back_ordered);
    let reasons = line.outstanding_reasons.iter().chain(&line.back_order_reasons);
    let reason: Vec<&str> = reasons.map(String::as_str).collect();
    let outstanding = (later > Quantity::ZERO).then(|| Outstanding {
        order: order.number.clone(),
        line: known.line,
        part: known.part.clone(),
        quantity: later,
        reason: reason.join("; "),
    });
    let mut remarks = Vec::new();
    if part.part != known.part {
        remarks.push(format!(
            "line {}: {} was ordered and {} is on its way; the count says whether it is accepted",
            known.line, known.part, part.part
        ));
    }
    Ok(Ok(Announced { line: known.line, counts: counts_of(known, &part, delivered), outstanding, remarks }))
}

/// What lies in the box for a line: the lines of the kit's list as the order froze them, or the part.
fn counts_of(known: &OrderLine, part: &Part, delivered: Quantity) -> Vec<AskedCount> {
    if delivered <= Quantity::ZERO {
        return Vec::new();
    }
    let count = |part: String, quantity| AskedCount {
        part,
        quantity,
        damaged: None,
        bin: None,
        mark: None,
        batch: None,
    };
    let is_kit = known.contents.iter().any(|content| content.part != known.part);
    if part.part == known.part && is_kit {
        let of_all = |each: Quantity| {
            let raw = i128::from(each.raw()) * i128::from(delivered.raw()) / i128::from(Quantity::SCALE);
            Quantity::from_raw(i64::try_from(raw).unwrap_or(i64::MAX))
        };
        let contents = known.contents.iter();
        return contents.map(|content| count(content.part.to_string(), of_all(content.quantity))).collect();
    }
    vec![count(written(part), delivered)]
}
