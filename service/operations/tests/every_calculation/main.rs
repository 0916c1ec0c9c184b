//! No calculation panics, none gives a figure that is no number, and what is refused is pointed at, whatever it is asked.

#![expect(clippy::expect_used, reason = "a test fails by panicking")]

mod table;

use std::collections::BTreeSet;

use proptest::prelude::*;

use crate::table::{Bytes, EVERY, Outcome};

#[test]
fn the_table_names_every_calculation() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/calculations");
    let mut found = BTreeSet::new();
    for entry in std::fs::read_dir(folder).expect("the folder is there") {
        let text = std::fs::read_to_string(entry.expect("an entry").path()).expect("a text");
        let names = text.split("pub fn calculate_").skip(1).filter_map(|rest| rest.split('(').next());
        found.extend(names.map(str::to_owned));
    }
    assert_eq!(EVERY.iter().map(|one| one.name.to_owned()).collect::<BTreeSet<_>>(), found);
}

#[test]
fn every_example_is_answered_with_figures() {
    for calculation in EVERY {
        let outcome = calculation.ask_soundly(&calculation.request().to_string());
        assert!(
            matches!(outcome, Outcome::Answered { figures, .. } if figures > 0),
            "{}: {outcome:?}",
            calculation.name
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4000))]

    #[test]
    fn no_request_breaks_a_calculation(at in 0..EVERY.len(), bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let calculation = &EVERY[at];
        let request = Bytes(&bytes).changed(&calculation.request());
        calculation.ask_soundly(&request.to_string());
    }
}
