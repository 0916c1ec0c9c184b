//! What is written is read back, as UBL and as CSV, and the official schemas have nothing against it.

use exchange::papers::{Catalogue, DespatchAdvice, Order, OrderResponse, Paper, ReceiptAdvice};
use exchange::{paper_csv, ubl};
use proptest::prelude::*;

use crate::random_paper::{choices_of, paper};
use crate::schema_validator::validate;

fn comes_back<P: Paper + PartialEq + std::fmt::Debug>(choices: Vec<u16>) {
    let paper: P = paper(choices);
    let document = ubl::write(&paper).unwrap();
    let received =
        ubl::read::<P>(document.as_bytes()).unwrap_or_else(|faults| panic!("{faults}\n{document}"));
    assert_eq!(received.paper, paper, "{document}");
    assert!(received.not_understood.is_empty(), "{:?}", received.not_understood);

    let text = paper_csv::write(&paper).unwrap();
    let read: P =
        paper_csv::read("p.csv", text.as_bytes()).unwrap_or_else(|faults| panic!("{faults:?}\n{text}"));
    assert_eq!(read, paper, "{text}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn every_paper_comes_back_as_it_was(choices in prop::collection::vec(any::<u16>(), 0..400)) {
        comes_back::<Order>(choices.clone());
        comes_back::<OrderResponse>(choices.clone());
        comes_back::<DespatchAdvice>(choices.clone());
        comes_back::<ReceiptAdvice>(choices.clone());
        comes_back::<Catalogue>(choices);
    }
}

fn valid<P: Paper>() {
    let write = |seed| ubl::write(&paper::<P>(choices_of(seed))).unwrap();
    let documents: Vec<String> = (0..60).map(write).collect();
    assert!(
        documents.iter().map(String::len).max() > Some(4_000),
        "the random papers are too small to show much"
    );
    validate(P::KIND.document, &documents).unwrap_or_else(|wrong| panic!("{wrong}"));
}

#[test]
fn whatever_is_written_is_valid_by_the_official_schemas() {
    valid::<Order>();
    valid::<OrderResponse>();
    valid::<DespatchAdvice>();
    valid::<ReceiptAdvice>();
    valid::<Catalogue>();
}

#[test]
fn the_least_paper_is_valid() {
    let least = vec![ubl::write(&paper::<Catalogue>(Vec::new())).unwrap()];
    validate("Catalogue", &least).unwrap();
    let least = vec![ubl::write(&paper::<ReceiptAdvice>(Vec::new())).unwrap()];
    validate("ReceiptAdvice", &least).unwrap();
}

#[test]
fn what_could_not_be_read_is_not_written() {
    let mut order: Order = paper(Vec::new());
    order.number = " ".into();
    order.notes = vec!["fine".into(), "bell\u{7}".into(), "x".repeat(2_001)];
    order.lines[0].quantity.quantity = catalogue::Quantity::whole(-1);
    insta::assert_snapshot!(ubl::write(&order).unwrap_err(), @r"
    /Order/cbc:ID: `` is empty; write text of at most 2000 characters
    /Order/cbc:Note[2]: `bell\u{7}` holds a control character; write text of at most 2000 characters
    /Order/cbc:Note[3]: `xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…` is too long; write text of at most 2000 characters
    /Order/cac:OrderLine[1]/cac:LineItem/cbc:Quantity: `-1` is below zero; write a number with up to three places, zero or more
    ");
    let faults = paper_csv::write(&order).unwrap_err();
    let told: Vec<String> = faults.kept().iter().map(ToString::to_string).collect();
    insta::assert_snapshot!(told.join("\n"), @r"
    order.csv column number: `` is empty; write text of at most 2000 characters
    order.csv column text: `bell\u{7}` holds a control character; write text of at most 2000 characters
    order.csv column text: `xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…` is too long; write text of at most 2000 characters
    order.csv column quantity: `-1` is below zero; write a number with up to three places, zero or more
    ");
    order = paper(Vec::new());
    order.lines = vec![order.lines[0].clone(); ubl::limits::LINES_MAX + 1];
    insta::assert_snapshot!(ubl::write(&order).unwrap_err(), @r"/Order/cac:OrderLine: stands 20001 times, more than 20000; write several smaller documents");
}
