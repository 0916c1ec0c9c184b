//! A receipt advice of the shop's ordering system, as a count.

use catalogue::Quantity;
use exchange::papers::{ReceiptAdvice, ReceiptLine};

use super::error::{PaperError, PaperFault};
use super::item::{part_of, quantity_of, written};
use super::outcome::{CountedBox, PaperOutcome};
use super::response_in::ordered;
use super::sent_paper::PaperSort;
use super::take_in::{Incoming, Kept, Stop, json};
use crate::receive_box::{AskedCount, AskedReceipt, receive_of_paper};
use crate::shop::Shop;

pub(super) async fn take(shop: &Shop, paper: &ReceiptAdvice, incoming: &Incoming<'_>) -> Result<Kept, Stop> {
    let mut kept = incoming.kept(shop, PaperSort::ReceiptAdvice, "", &paper.number).await?;
    let place = "/ReceiptAdvice/cac:OrderReference";
    let [reference] = paper.orders.as_slice() else {
        let detail =
            "a receipt advice is counted against one order; give its number, and send one advice an order";
        return Err(Stop::Error(PaperError::wrong(place, detail)));
    };
    let order = ordered(shop, &reference.number, place).await?;
    let (mut counted, mut faults) = (Vec::new(), Vec::new());
    for (at, line) in paper.lines.iter().enumerate() {
        let place = format!("/ReceiptAdvice/cac:ReceiptLine[{}]", at + 1);
        match counted_line(shop, line, &place).await? {
            Ok(line) => counted.push(line),
            Err(fault) => faults.push(fault),
        }
    }
    if !faults.is_empty() {
        return Err(Stop::Error(PaperError::Wrong(faults)));
    }
    let asked = AskedReceipt {
        order: Some(order.number.clone()),
        lines: Vec::new(),
        kit: None,
        boxes: None,
        supplier: None,
        counted,
        csv: None,
        bin: incoming.bin(),
        more_to_come: false,
        keep_over: false,
        note: Some(format!("receipt advice {}", paper.number)),
        by: incoming.by().to_owned(),
    };
    kept.order = Some(order.number);
    let outcome = CountedBox { receipt: String::new(), remarks: Vec::new() };
    kept.outcome = json(&PaperOutcome::CountedBox(outcome))?;
    receive_of_paper(shop, &asked, Some(&kept)).await?;
    Ok((PaperSort::ReceiptAdvice, String::new(), paper.number.clone()))
}

async fn counted_line(
    shop: &Shop,
    line: &ReceiptLine,
    place: &str,
) -> Result<Result<AskedCount, PaperFault>, PaperError> {
    let part = match part_of(shop, &line.item, &format!("{place}/cac:Item")).await? {
        Ok(part) => part,
        Err(fault) => return Ok(Err(fault)),
    };
    let mut quantities = [Quantity::ZERO; 2];
    let fields = [(&line.received, "cbc:ReceivedQuantity"), (&line.rejected, "cbc:RejectedQuantity")];
    for ((measure, field), quantity) in fields.into_iter().zip(&mut quantities) {
        let Some(measure) = measure else { continue };
        match quantity_of(measure, &part, &format!("{place}/{field}")) {
            Ok(found) => *quantity = found,
            Err(fault) => return Ok(Err(fault)),
        }
    }
    let [received, rejected] = quantities;
    Ok(Ok(AskedCount {
        part: written(&part),
        quantity: received,
        damaged: Some(rejected),
        bin: None,
        mark: None,
        batch: None,
    }))
}
