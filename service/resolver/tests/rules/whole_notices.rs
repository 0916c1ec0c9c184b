//! Notices hold as a whole: all of a split, a set once for all its positions, factors for what has no position.

use catalogue::Grade;
use resolver::request::StockUse;
use resolver::{Answer, Request};

use crate::small_world::{overhaul, shop, takes};
use crate::world::{found, inside as inside_at};

fn plan(text: &str) -> Vec<String> {
    takes(&shop(text).resolve(overhaul()))
}

const SPLIT: &str = "part A consumable seal 9
     part B consumable seal 1
     part C consumable seal 1
     at SEAL A";

#[test]
fn a_split_of_which_one_part_does_not_fit_stops_as_a_whole() {
    let half = format!("{SPLIT}\nnotice N A>B two_way shape=all_of\nnotice N A>C none shape=all_of");
    assert_eq!(plan(&half), ["buy A 1 from S"]);
    let whole = half.replace("none", "new_for_old");
    assert_eq!(plan(&whole), ["buy B 1 from S", "buy C 1 from S"]);
}

#[test]
fn a_split_holds_from_the_day_of_its_last_part() {
    let split = |from: &str| {
        format!(
            "{SPLIT}\nnotice N A>B new_for_old shape=all_of\nnotice N A>C new_for_old shape=all_of from={from}"
        )
    };
    assert_eq!(plan(&split("2021-01-01")), ["buy B 1 from S", "buy C 1 from S"]);
    assert_eq!(plan(&split("2200-01-01")), ["buy A 1 from S"]);
}

#[test]
fn a_set_that_changes_with_another_part_is_bought_once() {
    let text = "part S1 set other
         part S2 set other 100
         part X consumable seal 1
         part X2 consumable seal 2
         at WHEEL S1 renewal=always_at_overhaul
         at PINION S1 renewal=always_at_overhaul
         at SEAL X X2:alternative
         set S1 WHEEL PINION
         set S2 WHEEL PINION
         notice N S1>S2 none
         needs N 1 SEAL X2";
    let answer = shop(text).resolve(overhaul());
    assert_eq!(takes(&answer), ["buy S2 1 from S", "buy X2 1 from S"]);
    assert_eq!(answer.sourcing.cash.to_string(), "102.00");
}

#[test]
fn a_number_that_leads_to_a_kit_is_not_to_be_had() {
    let text = "part A consumable seal 3
         part B consumable seal 1
         kit K 10 B
         at SEAL A
         notice N A>K new_for_old";
    assert_eq!(plan(text), ["missing K 1"]);
}

const SHAFT: &str = "part H hard shaft 50
     part C consumable seal 2
     part C2 consumable seal 1
     part C3 consumable seal 1
     at SHAFT H renewal=always_at_overhaul
     brings H C 3";

fn companion_lines(answer: &Answer) -> Vec<String> {
    let lines = answer.units[0].lines.iter().filter(|line| line.position.is_none());
    lines.map(|line| format!("{} {}: {}", line.part.number, line.quantity, line.reasons.len())).collect()
}

#[test]
fn a_companion_without_a_position_keeps_the_factor_of_its_notice() {
    let answer = shop(&format!("{SHAFT}\nnotice N C>C2 new_for_old x=4")).resolve(overhaul());
    // What it comes with, and the notice.
    assert_eq!(companion_lines(&answer), ["C2 12: 2"]);
    assert!(
        answer.units[0]
            .lines
            .iter()
            .any(|line| line.reasons[1..].iter().any(|r| r.sentence.contains("notice N")))
    );
}

#[test]
fn a_companion_without_a_position_comes_as_all_parts_of_a_split() {
    let split = "notice N C>C2 new_for_old shape=all_of\nnotice N C>C3 new_for_old shape=all_of x=2";
    let answer = shop(&format!("{SHAFT}\n{split}")).resolve(overhaul());
    assert_eq!(takes(&answer), ["buy C2 3 from S", "buy C3 6 from S", "buy H 1 from S"]);
}

#[test]
fn old_stock_of_a_companion_goes_first_where_there_is_enough_of_it() {
    let text = |stock: u32| format!("{SHAFT}\nnotice N C>C2 new_for_old x=4 use_old\nstock C {stock}");
    assert_eq!(plan(&text(3)), ["stock C 3", "buy H 1 from S"]);
    assert_eq!(plan(&text(2)), ["buy C2 12 from S", "buy H 1 from S"]);
    let request = Request { stock: StockUse::None, ..overhaul() };
    assert_eq!(takes(&shop(&text(3)).resolve(request)), ["buy C2 12 from S", "buy H 1 from S"]);
}

#[test]
fn scarce_old_stock_goes_where_it_saves_most() {
    let text = "part A consumable seal
         part B consumable seal 100
         part X consumable seal 1
         at FIRST A X:alternative
         at SECOND A
         notice N A>B new_for_old use_old
         stock A 1";
    let answer = shop(text).resolve(overhaul());
    assert_eq!(takes(&answer), ["stock A 1", "buy X 1 from S"]);
    assert_eq!(answer.sourcing.cash.to_string(), "1.00");
    let mut request = overhaul();
    request.without_parts = vec![catalogue::PartKey::parse("M/B").unwrap()];
    assert_eq!(takes(&shop(text).resolve(request)), ["stock A 1", "buy X 1 from S"]);
    // Enough for both: nothing new is bought, however cheap.
    assert_eq!(takes(&shop(&text.replace("stock A 1", "stock A 2")).resolve(overhaul())), ["stock A 2"]);
}

#[test]
fn scarce_old_stock_fills_the_position_that_takes_most_of_it() {
    let text = "part A consumable seal
         part B consumable seal 10
         at FIRST A qty=2
         at SECOND A qty=3
         notice N A>B new_for_old use_old
         stock A 3";
    let answer = shop(text).resolve(overhaul());
    assert_eq!(takes(&answer), ["stock A 3", "buy B 2 from S"]);
}

/// B without interchange went in with T at the other position.
fn new_pair(findings: &[&str], inside: &[(&str, &str)]) -> Answer {
    let text = "part A hard shaft 10
         part B hard shaft 12
         part S hard fork 1
         part T hard fork 2
         at SHAFT A renewal=on_condition
         at FORK S T:alternative renewal=on_condition
         notice N A>B none
         needs N 1 FORK T";
    let mut request = overhaul();
    request.units[0].findings = findings.iter().map(|at| found(at, Grade::Worn)).collect();
    request.units[0].inside = inside.iter().map(|(position, part)| inside_at(position, part)).collect();
    shop(text).resolve(request)
}

#[test]
fn what_a_number_without_interchange_needs_holds_once_it_is_inside() {
    let both = [("SHAFT", "M/B"), ("FORK", "M/T")];
    assert_eq!(takes(&new_pair(&["FORK"], &both)), ["buy T 1 from S"]);
    assert_eq!(takes(&new_pair(&["SHAFT"], &both)), ["buy B 1 from S"]);
    // What is inside together is left together, whatever the notice says.
    assert_eq!(takes(&new_pair(&[], &[("SHAFT", "M/B")])), [] as [&str; 0]);
    assert_eq!(takes(&new_pair(&["FORK"], &[])), ["buy S 1 from S"]);
}

#[test]
fn old_stock_serves_both_ways_whatever_the_factor_or_the_units() {
    let text = "part A consumable seal
         part B consumable seal 5
         at SEAL A qty=2
         notice N A>B two_way x=2
         stock A 2";
    assert_eq!(plan(text), ["stock A 2"]);
    assert_eq!(plan(&text.replace("stock A 2", "stock A 1")), ["buy B 4 from S"]);
    assert_eq!(plan(&text.replace("two_way", "new_for_old")), ["buy B 4 from S"]);
    let by_serial = text.replace("x=2", "shape=one_of unit serial=1-99");
    let mut request = overhaul();
    request.units[0].serial = Some("50".to_owned());
    assert_eq!(takes(&shop(&by_serial).resolve(request)), ["stock A 2"]);
}
