//! Documents that other programs and people wrote.

use std::path::{Path, PathBuf};

use exchange::papers::{
    Catalogue, CatalogueAction, DespatchAdvice, LineAnswer, Order, OrderResponse, Paper, ReceiptAdvice,
};
use exchange::ubl::{Received, read};

use crate::schema_validator::validate;

/// The folder with the documents.
pub(crate) fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/ubl_documents")
}

/// A document of the folder, which must be valid, read.
fn received<P: Paper>(file: &str) -> Received<P> {
    let bytes = std::fs::read(folder().join(file)).unwrap();
    validate(P::KIND.document, &[&bytes]).unwrap_or_else(|wrong| panic!("{wrong}"));
    read(&*bytes).unwrap_or_else(|faults| panic!("{file}: {faults}"))
}

fn told<P>(received: &Received<P>) -> String {
    let remainder = &received.not_understood;
    assert!(remainder.more.is_empty());
    remainder.kept.iter().map(|one| format!("{}: {}\n", one.path, one.content)).collect()
}

#[test]
fn the_minimal_documents_are_understood_whole() {
    let order = received::<Order>("minimal/order.xml");
    assert_eq!((order.paper.lines.len(), told(&order)), (2, String::new()));
    assert_eq!(order.paper.total.unwrap().money.to_string(), "198.90");
    assert_eq!(order.paper.lines[1].item.buyers_number.as_deref(), Some("BRG-IN-01"));

    let response = received::<OrderResponse>("minimal/order-response.xml");
    assert_eq!((response.paper.order.as_str(), told(&response)), ("PO-000017", String::new()));
    let line = &response.paper.lines[0];
    assert_eq!(line.answer, Some(LineAnswer::Changed));
    assert_eq!(line.offered[0].item.sellers_number.as_deref(), Some("IGS-7702"));

    let despatch = received::<DespatchAdvice>("minimal/despatch-advice.xml");
    assert_eq!(told(&despatch), "");
    assert_eq!(despatch.paper.lines[1].outstanding_reasons, ["Back order"]);

    let receipt = received::<ReceiptAdvice>("minimal/receipt-advice.xml");
    assert_eq!(told(&receipt), "");
    assert_eq!(receipt.paper.lines[1].reject_code.as_deref(), Some("DAMAGED"));

    let catalogue = received::<Catalogue>("minimal/catalogue.xml");
    assert_eq!(told(&catalogue), "");
    let line = &catalogue.paper.lines[0];
    assert_eq!(line.components[0].quantity.as_ref().unwrap().quantity.to_string(), "2");
    assert_eq!(
        (&*line.replaced_by[0].number.number, &*line.replaces[0].number.number),
        ("IGS-4420", "IGS-4400")
    );
}

#[test]
fn an_order_of_another_program_is_read() {
    let order = received::<Order>("scripted/Order.xml");
    let line = &order.paper.lines[0];
    assert_eq!(line.quantity.unit.measure(), Some(catalogue::UnitOfMeasure::Piece));
    assert_eq!(line.line_total.as_ref().unwrap().money.to_string(), "98.00");
    assert_eq!(line.partial_delivery, Some(true));
    assert_eq!(line.requested.as_ref().unwrap().to.unwrap().to_string(), "2026-12-01");
    assert_eq!(line.item.gtin.as_ref().unwrap().as_str(), "06291041500213");
    assert_eq!(line.item.descriptions, ["Spigot bearing\nas drawn <& checked>"]);
    insta::assert_snapshot!(told(&order));
}

#[test]
fn the_answer_and_what_follows_are_read() {
    let response = received::<OrderResponse>("scripted/OrderResponse.xml");
    let [changed, rejected] = &response.paper.lines[..] else { panic!("{:?}", response.paper) };
    let promised: Vec<String> = changed.promised.iter().map(|one| one.to.unwrap().to_string()).collect();
    assert_eq!(promised, ["2026-12-05", "2027-01-11"]);
    assert_eq!(
        (&rejected.answer, &*rejected.order_line.as_ref().unwrap().line),
        (&Some(LineAnswer::Rejected), "20")
    );
    assert_eq!(changed.offered[0].price.as_ref().unwrap().amount.money.to_string(), "26.10");

    let despatch = received::<DespatchAdvice>("scripted/DespatchAdvice.xml");
    assert_eq!(despatch.paper.shipment.as_ref().unwrap().tracking.as_deref(), Some("RR77"));
    assert_eq!(despatch.paper.lines[0].back_order_reasons, ["maker's delay"]);

    let receipt = received::<ReceiptAdvice>("scripted/ReceiptAdvice.xml");
    assert_eq!(receipt.paper.lines[0].short.as_ref().unwrap().quantity.to_string(), "1");
    assert_eq!(receipt.paper.despatches[0].number, "LS-501");
    insta::assert_snapshot!([told(&response), told(&despatch), told(&receipt)].join("\n"));
}

#[test]
fn a_catalogue_of_another_program_is_read() {
    let catalogue = received::<Catalogue>("scripted/Catalogue.xml");
    assert_eq!(catalogue.paper.action, Some(CatalogueAction::Other("Replace".into())));
    let line = &catalogue.paper.lines[0];
    let prices: Vec<String> =
        line.prices.iter().map(|price| price.price.as_ref().unwrap().amount.money.to_string()).collect();
    assert_eq!((line.components.len(), prices), (2, vec!["80.00".to_owned(), "72.50".to_owned()]));
    assert_eq!(line.prices[0].lead_time.as_ref().unwrap().unit.as_str(), "WEE");
    insta::assert_snapshot!(told(&catalogue));
}
