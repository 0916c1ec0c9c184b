//! The documents as they go out, kept beside this file.

use exchange::papers::Paper;
use exchange::{paper_csv, ubl};

use crate::sample_papers::{catalogue_of_supplier, despatch_advice, order, order_response, receipt_advice};
use crate::schema_validator::validate;

fn shows<P: Paper + PartialEq + std::fmt::Debug>(paper: &P) {
    let document = ubl::write(paper).unwrap();
    insta::assert_snapshot!(format!("{}_ubl", P::KIND.record), document);
    validate(P::KIND.document, &[&document]).unwrap_or_else(|wrong| panic!("{wrong}"));
    assert_eq!(&ubl::read::<P>(document.as_bytes()).unwrap().paper, paper);

    let text = paper_csv::write(paper).unwrap();
    insta::assert_snapshot!(format!("{}_csv", P::KIND.record), text);
    assert_eq!(&paper_csv::read::<P>("p.csv", text.as_bytes()).unwrap(), paper);
}

#[test]
fn an_order() {
    shows(&order());
}

#[test]
fn an_order_response_with_a_back_order_a_rejected_line_and_substitutes() {
    shows(&order_response());
}

#[test]
fn a_despatch_advice_with_a_back_order() {
    shows(&despatch_advice());
}

#[test]
fn a_receipt_advice_with_short_and_rejected_pieces() {
    shows(&receipt_advice());
}

#[test]
fn a_catalogue_with_a_kit_quantity_breaks_and_a_supersession() {
    shows(&catalogue_of_supplier());
}

#[test]
fn papers_are_data_as_json_too() {
    let order = order();
    let json = serde_json::to_value(&order).unwrap();
    assert_eq!(json["lines"][1]["quantity"]["unit"], "H87");
    assert_eq!(json["lines"][1]["price"]["amount"]["money"], "24.50");
    assert_eq!(serde_json::from_value::<exchange::papers::Order>(json).unwrap(), order);
    let response = serde_json::to_value(order_response()).unwrap();
    assert_eq!((&response["answer"], &response["lines"][0]["answer"]), (&"CA".into(), &"7".into()));
}
