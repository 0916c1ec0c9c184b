//! An order of the shop's ordering system, as drafts.

use exchange::papers::{Order, OrderLine};

use super::error::{PaperError, PaperFault};
use super::item::{part_of, quantity_of, written};
use super::outcome::{DraftedFromPaper, PaperOutcome};
use super::sent_paper::PaperSort;
use super::take_in::{Incoming, Kept, Stop, json};
use crate::draft_orders::{AskedOrderLine, AskedOrders, draft_of_paper};
use crate::shop::Shop;

/// The document type of a reference to a job.
pub(super) const JOB: &str = "job";

pub(super) async fn take(shop: &Shop, paper: &Order, incoming: &Incoming<'_>) -> Result<Kept, Stop> {
    let mut kept = incoming.kept(shop, PaperSort::Order, "", &paper.number).await?;
    let (mut lines, mut remarks, mut faults) = (Vec::new(), Vec::new(), Vec::new());
    for (at, line) in paper.lines.iter().enumerate() {
        let place = format!("/Order/cac:OrderLine[{}]/cac:LineItem", at + 1);
        match asked_line(shop, line, &place).await? {
            Ok(line) => lines.push(line),
            Err(fault) => faults.push(fault),
        }
        if line.price.is_some() || line.line_total.is_some() {
            remarks.push(format!(
                "line {}: ordered at the supplier's price here, not at the paper's",
                line.number
            ));
        }
    }
    if paper.lines.is_empty() {
        faults.push(PaperFault::new("/Order", "the order has no line"));
    }
    if !faults.is_empty() {
        return Err(Stop::Error(PaperError::Wrong(faults)));
    }
    let note = [format!("order {} of the ordering system", paper.number)];
    let note: Vec<String> = note.into_iter().chain(paper.notes.iter().cloned()).collect();
    let asked = AskedOrders {
        quote: None,
        job: None,
        again: false,
        lines,
        supplier: paper.seller.code.clone(),
        note: Some(note.join("; ").chars().take(1_900).collect()),
        by: incoming.by().to_owned(),
    };
    let orders = Vec::new();
    kept.outcome = json(&PaperOutcome::DraftedOrders(DraftedFromPaper { orders, remarks }))?;
    draft_of_paper(shop, &asked, Some(kept)).await?;
    Ok((PaperSort::Order, String::new(), paper.number.clone()))
}

async fn asked_line(
    shop: &Shop,
    line: &OrderLine,
    place: &str,
) -> Result<Result<AskedOrderLine, PaperFault>, PaperError> {
    let part = match part_of(shop, &line.item, &format!("{place}/cac:Item")).await? {
        Ok(part) => part,
        Err(fault) => return Ok(Err(fault)),
    };
    let is_job = |kind: &Option<String>| kind.as_deref().is_some_and(|kind| kind.eq_ignore_ascii_case(JOB));
    let job = line.documents.iter().find(|document| is_job(&document.kind));
    Ok(quantity_of(&line.quantity, &part, &format!("{place}/cbc:Quantity")).map(|quantity| AskedOrderLine {
        part: written(&part),
        quantity,
        job: job.map(|document| document.number.clone()),
    }))
}
