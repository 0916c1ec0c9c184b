//! How much may be unknown: only what changes the answer counts.

use std::fmt::Write;

use resolver::RequestFaultKind;

use crate::small_world::{overhaul, shop};

/// A unit with so many options of two each: those below `told_apart` decide which seal is renewed, the others only which
/// cover is kept.
fn options(many: usize, told_apart: usize) -> crate::world::World {
    let (mut words, mut variants) = (String::new(), String::new());
    for option in 0..many {
        let renewal = if option < told_apart { "always_at_overhaul" } else { "on_condition" };
        writeln!(words, "part A{option} wear seal 10\npart B{option} wear seal 12").unwrap();
        writeln!(words, "at P{option} A{option}@X{option} B{option}@Y{option} renewal={renewal}").unwrap();
        for side in ["X", "Y"] {
            writeln!(variants, "U,{side}{option},O{option},{side}{option},look").unwrap();
        }
    }
    shop(&format!("{words}\n[variants]\nunit,variant,option_group,name,how_to_tell\n{variants}"))
}

#[test]
fn what_changes_nothing_does_not_count_against_the_limit() {
    let answer = options(8, 1).resolve(overhaul());
    let outcomes: Vec<String> =
        answer.sourcing.outcomes.iter().map(|outcome| outcome.variants[0].to_string()).collect();
    assert_eq!(outcomes, ["X0", "Y0"]);
    let matters: Vec<bool> = answer.units[0].unknown.iter().map(|unknown| unknown.matters).collect();
    assert_eq!(matters, [true, false, false, false, false, false, false, false]);
}

#[test]
fn too_many_outcomes_are_refused_with_the_unknowns_that_matter() {
    assert_eq!(options(7, 6).resolve(overhaul()).sourcing.outcomes.len(), 64);
    let fault = options(8, 7).try_resolve(overhaul()).unwrap_err();
    assert_eq!(fault.kind, RequestFaultKind::TooManyUnknowns);
    assert_eq!(fault.suggestions, ["O0", "O1", "O2", "O3", "O4", "O5", "O6"]);
    assert!(fault.detail.contains("more than 64 outcomes"), "{}", fault.detail);
}

#[test]
fn a_number_of_combinations_that_cannot_be_looked_at_is_refused() {
    let fault = options(10, 0).try_resolve(overhaul()).unwrap_err();
    assert_eq!(fault.kind, RequestFaultKind::TooManyUnknowns);
    assert!(fault.detail.contains("more than 512 combinations"), "{}", fault.detail);
}
