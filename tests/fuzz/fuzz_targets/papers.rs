//! Any bytes as any paper, in UBL and CSV: no panic; and what is read can be written and comes back as it was.

#![no_main]

use exchange::papers::{Catalogue, DespatchAdvice, Order, OrderResponse, Paper, ReceiptAdvice};
use exchange::{paper_csv, ubl};
use libfuzzer_sys::fuzz_target;

fn try_as<P: Paper + PartialEq + std::fmt::Debug>(bytes: &[u8]) {
    if let Ok(received) = ubl::read::<P>(bytes) {
        let document = ubl::write(&received.paper).expect("what was read can be written");
        let again = ubl::read::<P>(document.as_bytes()).expect("what was written can be read");
        assert_eq!(again.paper, received.paper);
    }
    if let Ok(paper) = paper_csv::read::<P>("paper.csv", bytes) {
        let text = paper_csv::write(&paper).expect("what was read can be written");
        assert_eq!(paper_csv::read::<P>("paper.csv", text.as_bytes()).as_ref(), Ok(&paper));
    }
}

fuzz_target!(|bytes: &[u8]| {
    try_as::<Order>(bytes);
    try_as::<OrderResponse>(bytes);
    try_as::<DespatchAdvice>(bytes);
    try_as::<ReceiptAdvice>(bytes);
    try_as::<Catalogue>(bytes);
});
