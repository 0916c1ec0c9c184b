//! Any bytes, and documents damaged at random: no panic, and nothing taken that is no XML.

use exchange::papers::{Catalogue, DespatchAdvice, Order, OrderResponse, Paper, ReceiptAdvice};
use exchange::{paper_csv, ubl};
use proptest::prelude::*;

use crate::random_paper::{choices_of, paper};
use crate::sample_papers::{catalogue_of_supplier, despatch_advice, order, order_response, receipt_advice};
use crate::schema_validator::well_formed;

/// Pieces that damage markup and sheets most.
const PIECES: &[&str] = &[
    "<",
    ">",
    "/>",
    "</",
    "&",
    ";",
    "&#",
    "&#x0;",
    "\"",
    "'",
    "=",
    " ",
    "\n",
    "\r",
    "\u{feff}",
    "]]>",
    "<![CDATA[",
    "<!--",
    "-->",
    "--",
    "<?",
    "?>",
    "<?xml version=\"1.0\"?>",
    "<!DOCTYPE a>",
    "xmlns=\"\"",
    " xmlns:cbc=\"urn:x\"",
    "cac:",
    ":",
    "<cbc:Note>x</cbc:Note>",
    "<cac:Item/>",
    "\0",
    "ä",
    "99999999999999999999",
    "-",
    "1e9",
    ",",
    "\"\"",
    "line,",
    "xml:",
    " xml:lang=\"en\"",
    " a=\"1\"",
    "a",
    "\u{fffe}",
];

/// Damages a text at places and in ways that numbers choose.
fn damaged(text: &str, damage: &[u16]) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    for numbers in damage.chunks_exact(3) {
        let [way, place, what] = [0, 1, 2].map(|at| usize::from(numbers[at]));
        let place = place % (bytes.len() + 1);
        let end = (place + what % 40).min(bytes.len());
        match way % 5 {
            0 => drop(bytes.drain(place..end)),
            1 => bytes.splice(place..place, PIECES[what % PIECES.len()].bytes()).for_each(drop),
            2 => bytes.splice(place..end, PIECES[what % PIECES.len()].bytes()).for_each(drop),
            3 => {
                let again = bytes[place..end].to_vec();
                bytes.splice(place..place, again).for_each(drop);
            }
            _ => {
                if let Some(byte) = bytes.get_mut(place) {
                    *byte = what as u8;
                }
            }
        }
    }
    bytes
}

/// Reads bytes as the document of every paper; whether one was taken.
fn read_as_ubl(bytes: &[u8]) -> bool {
    fn taken<P: Paper>(bytes: &[u8]) -> bool {
        match ubl::read::<P>(bytes) {
            Ok(_) => true,
            Err(faults) => {
                assert!(faults.total() > 0 && !faults.to_string().is_empty());
                false
            }
        }
    }
    taken::<Order>(bytes)
        | taken::<OrderResponse>(bytes)
        | taken::<DespatchAdvice>(bytes)
        | taken::<ReceiptAdvice>(bytes)
        | taken::<Catalogue>(bytes)
}

/// Reads bytes as the sheet of two papers; whether one was taken.
fn read_as_csv(bytes: &[u8]) -> bool {
    let order = paper_csv::read::<Order>("p.csv", bytes);
    let catalogue = paper_csv::read::<Catalogue>("p.csv", bytes);
    for faults in [order.as_ref().err(), catalogue.as_ref().err()].into_iter().flatten() {
        assert!(faults.kept().iter().all(|fault| !fault.to_string().is_empty()));
    }
    order.is_ok() | catalogue.is_ok()
}

fn documents() -> Vec<String> {
    vec![
        ubl::write(&order()).unwrap(),
        ubl::write(&order_response()).unwrap(),
        ubl::write(&despatch_advice()).unwrap(),
        ubl::write(&receipt_advice()).unwrap(),
        ubl::write(&catalogue_of_supplier()).unwrap(),
        ubl::write(&paper::<Order>(choices_of(7))).unwrap(),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn any_bytes_are_refused_without_a_panic(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        prop_assert!(!read_as_ubl(&bytes) && !read_as_csv(&bytes));
    }

    #[test]
    fn any_soup_of_markup_is_read_or_refused(pieces in prop::collection::vec(0..PIECES.len(), 0..60)) {
        let soup: String = pieces.into_iter().map(|piece| PIECES[piece]).collect();
        read_as_ubl(soup.as_bytes());
        read_as_csv(soup.as_bytes());
        let inside = ubl::write(&order()).unwrap().replacen("<cbc:Note>", &format!("<cbc:Note>{soup}"), 1);
        read_as_ubl(inside.as_bytes());
    }

    #[test]
    fn a_damaged_sheet_is_read_or_refused(damage in prop::collection::vec(any::<u16>(), 3..18)) {
        let text = paper_csv::write(&catalogue_of_supplier()).unwrap();
        read_as_csv(&damaged(&text, &damage));
    }
}

#[test]
fn what_is_taken_of_damaged_documents_is_well_formed_by_the_referee() {
    let documents = documents();
    let mut taken = Vec::new();
    for seed in 0..2_500 {
        let numbers = choices_of(seed);
        let document = &documents[usize::from(numbers[0]) % documents.len()];
        // Mostly one wound: what is hurt more is hardly ever taken.
        let wounds = 1 + usize::from(numbers[1].is_multiple_of(5));
        let bytes = damaged(document, &numbers[2..2 + 3 * wounds]);
        if read_as_ubl(&bytes) {
            taken.push(bytes);
        }
    }
    assert!(taken.len() > 60, "only {} damaged documents were taken", taken.len());
    well_formed(&taken).unwrap_or_else(|wrong| panic!("{wrong}"));
}
