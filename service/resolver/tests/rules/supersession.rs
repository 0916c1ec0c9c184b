//! What stands today where a number stood: chains, splits, conditions, old stock.

use catalogue::Grade;
use resolver::RequestFaultKind;
use resolver::request::StockUse;

use crate::small_world::{job, overhaul, shop, takes};
use crate::world::{World, chosen, found, lines};

/// A seal A at one position, with further parts and notices.
fn seal(more: &str) -> World {
    shop(&format!("part A consumable seal\nat SEAL A\n{more}"))
}

fn fitted(world: &World) -> Vec<String> {
    lines(&world.resolve(overhaul()), 0)
        .iter()
        .map(|line| line.split(' ').skip(2).take(2).collect::<Vec<_>>().join(" "))
        .collect()
}

#[test]
fn a_two_way_chain_accepts_all_its_numbers_and_the_cheapest_is_bought() {
    let world = seal(
        "part B consumable seal 5
         part C consumable seal 7
         notice N1 A>B two_way
         notice N2 B>C two_way",
    );
    assert_eq!(fitted(&world), ["M/B 1"]);
}

#[test]
fn a_new_for_old_chain_ends_at_the_newest_however_cheap_the_older() {
    let world = seal(
        "part B consumable seal 5
         part C consumable seal 7
         notice N1 A>B new_for_old
         notice N2 B>C new_for_old",
    );
    assert_eq!(fitted(&world), ["M/C 1"]);
}

#[test]
fn a_chain_is_as_strong_as_its_weakest_link() {
    // C serves for A through both links; old stock of A would have to pass the one-way link backwards.
    let world = seal(
        "part B consumable seal
         part C consumable seal 7
         stock A 1
         stock B 1
         notice N1 A>B new_for_old
         notice N2 B>C two_way",
    );
    let answer = world.resolve(overhaul());
    assert_eq!(takes(&answer), ["stock B 1"]);
    let one_way = seal(
        "part B consumable seal
         part C consumable seal 7
         stock A 1
         stock B 1
         notice N1 A>B two_way
         notice N2 B>C new_for_old",
    );
    assert_eq!(takes(&one_way.resolve(overhaul())), ["buy C 1 from S"]);
}

#[test]
fn interchange_none_stops_the_chain() {
    let world = shop(
        "part A consumable seal 4
         part B consumable seal 5
         at SEAL A
         notice N1 A>B none",
    );
    assert_eq!(fitted(&world), ["M/A 1"]);
}

/// A shaft A whose new number B goes in only with the new finger F2.
fn shaft_and_finger(price_of_a: &str) -> World {
    shop(&format!(
        "part A hard shaft {price_of_a}
         part B hard shaft 50
         part F1 hard fork 20
         part F2 hard fork 30
         at SHAFT A renewal=on_condition
         at FINGER F1 F2:alternative renewal=on_condition
         notice N1 A>B none
         needs N1 1 FINGER F2"
    ))
}

fn worn_shaft() -> resolver::Request {
    let mut request = overhaul();
    request.units[0].findings = vec![found("SHAFT", Grade::Worn)];
    request
}

#[test]
fn none_with_needs_is_left_alone_while_the_old_number_can_be_had() {
    let answer = shaft_and_finger("90").resolve(worn_shaft());
    assert_eq!(lines(&answer, 0), ["renew SHAFT M/A 1 finding"]);
}

#[test]
fn none_with_needs_changes_the_other_part_too_once_the_old_number_cannot_be_had() {
    let answer = shaft_and_finger("").resolve(worn_shaft());
    assert_eq!(lines(&answer, 0), ["renew SHAFT M/B 1 finding", "renew FINGER M/F2 1 notice_needs"]);
    let finger = answer.units[0].lines.iter().find(|l| l.name == "FINGER").unwrap();
    assert!(finger.further_change);
}

#[test]
fn none_with_needs_is_taken_when_the_new_number_is_asked_for() {
    let mut request = overhaul();
    request.units[0].chosen = vec![chosen("M/B")];
    let answer = shaft_and_finger("90").resolve(request);
    assert_eq!(lines(&answer, 0), ["upgrade SHAFT M/B 1 asked", "renew FINGER M/F2 1 notice_needs"]);
}

#[test]
fn what_a_notice_needs_in_another_unit_lets_nothing_in_here() {
    let mut world = shaft_and_finger("");
    world.change::<catalogue::SupersessionNeed>(|need| need.unit = catalogue::UnitKey::parse("X").unwrap());
    let answer = world.resolve(worn_shaft());
    assert_eq!(takes(&answer), ["missing A 1"]);
}

#[test]
fn a_chain_passes_on_behind_a_link_whose_needs_are_met() {
    let world = shop(
        "part A hard shaft
         part B hard shaft
         part C hard shaft
         part D hard shaft 50
         part F hard fork 30
         at SHAFT A renewal=on_condition
         at FINGER F renewal=on_condition
         notice N1 A>B new_for_old
         notice N2 B>C none
         notice N3 C>D new_for_old
         needs N2 1 FINGER",
    );
    let answer = world.resolve(worn_shaft());
    assert_eq!(lines(&answer, 0), ["renew SHAFT M/D 1 finding", "renew FINGER M/F 1 notice_needs"]);
}

#[test]
fn a_split_into_all_of_several_fits_them_all_with_their_factors() {
    let world = seal(
        "part B consumable seal 5
         part C consumable seal 7
         notice N1 A>B new_for_old shape=all_of
         notice N1 A>C new_for_old shape=all_of x=2",
    );
    assert_eq!(fitted(&world), ["M/B 1", "M/C 2"]);
}

#[test]
fn parts_of_a_split_that_come_together_again_add_up() {
    let world = seal(
        "part B consumable seal
         part C consumable seal
         part D consumable seal 7
         notice N1 A>B new_for_old shape=all_of
         notice N1 A>C new_for_old shape=all_of x=2
         notice N2 B>D new_for_old
         notice N3 C>D new_for_old x=3",
    );
    assert_eq!(fitted(&world), ["M/D 7"]);
}

const VARIANTS: &str = "
[variants]
unit,variant,option_group,name
U,EARLY,BUILD,Early
U,LATE,BUILD,Late";

#[test]
fn one_of_by_variant_follows_the_variant_or_both_while_it_is_not_known() {
    let world = seal(&format!(
        "part B consumable seal 5
         part C consumable seal 7
         notice N1 A>B new_for_old shape=one_of variant=EARLY
         notice N1 A>C new_for_old shape=one_of variant=LATE{VARIANTS}"
    ));
    let open = world.resolve(overhaul());
    assert_eq!(
        lines(&open, 0),
        ["renew SEAL M/B 1 single_use_disturbed [EARLY]", "renew SEAL M/C 1 single_use_disturbed [LATE]"]
    );
    assert!(open.units[0].unknown[0].matters);
    let mut request = overhaul();
    request.units[0].variants = vec![crate::small_world::code("LATE")];
    assert_eq!(lines(&world.resolve(request), 0), ["renew SEAL M/C 1 single_use_disturbed"]);
}

fn by_serial() -> World {
    seal(
        "part B consumable seal 5
         part C consumable seal 7
         notice N1 A>B new_for_old shape=one_of unit serial=-4999
         notice N1 A>C new_for_old shape=one_of unit serial=5000-",
    )
}

#[test]
fn one_of_by_serial_branches_while_the_serial_is_not_known() {
    assert_eq!(
        lines(&by_serial().resolve(overhaul()), 0),
        [
            "renew SEAL M/B 1 single_use_disturbed [SERIAL-TO-4999]",
            "renew SEAL M/C 1 single_use_disturbed [SERIAL-FROM-5000]"
        ]
    );
}

#[test]
fn a_known_serial_settles_it_with_both_ends_included() {
    for (serial, part) in [("4999", "M/B"), ("U-5000", "M/C"), ("0", "M/B")] {
        let mut request = overhaul();
        request.units[0].serial = Some(serial.to_owned());
        assert_eq!(
            lines(&by_serial().resolve(request), 0),
            [format!("renew SEAL {part} 1 single_use_disturbed")]
        );
    }
}

#[test]
fn serials_between_the_ranges_keep_the_old_number() {
    let world = shop(
        "part A consumable seal 3
         part B consumable seal 5
         at SEAL A
         notice N1 A>B new_for_old unit serial=100-200",
    );
    let open = world.resolve(overhaul());
    assert_eq!(
        lines(&open, 0),
        [
            "renew SEAL M/B 1 single_use_disturbed [SERIAL-100-TO-200]",
            "renew SEAL M/A 1 single_use_disturbed [NOT-SERIAL-100-TO-200]"
        ]
    );
}

#[test]
fn rows_of_a_split_under_one_condition_hold_together() {
    let world = shop(
        "part A consumable seal 3
         part B consumable seal 5
         part C consumable seal 7
         at SEAL A
         notice N1 A>B new_for_old shape=all_of unit serial=100-
         notice N1 A>C new_for_old shape=all_of unit serial=100-",
    );
    assert_eq!(
        lines(&world.resolve(overhaul()), 0),
        [
            "renew SEAL M/B 1 single_use_disturbed [SERIAL-FROM-100]",
            "renew SEAL M/C 1 single_use_disturbed [SERIAL-FROM-100]",
            "renew SEAL M/A 1 single_use_disturbed [NOT-SERIAL-FROM-100]",
        ]
    );
}

#[test]
fn conditions_that_no_one_serial_meets_together_do_not_branch() {
    let world = shop(
        "part A consumable seal 3
         part B consumable seal 5
         part P consumable gasket 3
         part Q consumable gasket 5
         at SEAL A
         at GASKET P
         notice N1 A>B new_for_old unit serial=100-
         notice N2 P>Q new_for_old unit serial=200-",
    );
    let answer = world.resolve(overhaul());
    let outcomes: Vec<Vec<&str>> = answer
        .sourcing
        .outcomes
        .iter()
        .map(|outcome| outcome.variants.iter().map(catalogue::Code::as_str).collect())
        .collect();
    assert_eq!(
        outcomes,
        [
            ["SERIAL-FROM-100", "SERIAL-FROM-200"],
            ["SERIAL-FROM-100", "NOT-SERIAL-FROM-200"],
            ["NOT-SERIAL-FROM-100", "NOT-SERIAL-FROM-200"],
        ]
    );
}

#[test]
fn a_serial_that_contradicts_the_build_date_is_a_fault_and_never_a_choice() {
    let world = seal(
        "part B consumable seal 5
         [variants]
         unit,variant,option_group,name,serial_to,built_to,serial_from,built_from
         U,EARLY,BUILD,Early,4999,2001-08-31,,
         U,LATE,BUILD,Late,,,5000,2001-09-01",
    );
    let mut request = overhaul();
    request.units[0].serial = Some("4999".into());
    request.units[0].built = Some("2001-09-01".parse().unwrap());
    let fault = world.try_resolve(request).unwrap_err();
    assert_eq!(fault.kind, RequestFaultKind::Contradiction);
    assert_eq!(fault.detail, "serial number and build date contradict each other on BUILD (EARLY, LATE)");
}

#[test]
fn build_dates_include_both_ends() {
    let world = shop(
        "part A consumable seal 3
         part B consumable seal 5
         at SEAL A
         notice N1 A>B new_for_old unit built=2001-01-01..2001-12-31",
    );
    for (built, part) in
        [("2000-12-31", "M/A"), ("2001-01-01", "M/B"), ("2001-12-31", "M/B"), ("2002-01-01", "M/A")]
    {
        let mut request = overhaul();
        request.units[0].built = Some(built.parse().unwrap());
        let told = lines(&world.resolve(request), 0);
        assert_eq!(told, [format!("renew SEAL {part} 1 single_use_disturbed")], "{built}");
    }
}

#[test]
fn a_notice_of_a_coming_day_does_not_hold_yet_and_holds_on_its_day() {
    let world = shop(
        "part A consumable seal 3
         part B consumable seal 5
         at SEAL A
         notice N1 A>B new_for_old from=2026-11-25",
    );
    for (as_of, part) in [("2026-11-24", "M/A"), ("2026-11-25", "M/B")] {
        let mut request = overhaul();
        request.as_of = as_of.parse().unwrap();
        assert_eq!(lines(&world.resolve(request), 0), [format!("renew SEAL {part} 1 single_use_disturbed")]);
    }
}

#[test]
fn of_several_notices_on_one_number_the_latest_holds() {
    let world = seal(
        "part B consumable seal 3
         part C consumable seal 5
         notice N1 A>B new_for_old from=2020-01-01
         notice N2 A>C new_for_old from=2022-01-01",
    );
    assert_eq!(fitted(&world), ["M/C 1"]);
}

#[test]
fn one_old_gives_way_to_two_new_for_each_piece() {
    let world = shop(
        "part A consumable seal
         part B consumable seal 5
         at SEAL A qty=3
         notice N1 A>B new_for_old x=2",
    );
    assert_eq!(fitted(&world), ["M/B 6"]);
}

#[test]
fn old_stock_is_used_until_it_is_gone_where_the_notice_says_so() {
    let notice = "part B consumable seal 5\nnotice N1 A>B new_for_old use_old";
    assert_eq!(takes(&seal(&format!("{notice}\nstock A 1")).resolve(overhaul())), ["stock A 1"]);
    assert_eq!(takes(&seal(notice).resolve(overhaul())), ["buy B 1 from S"]);
    let unsaid = "part B consumable seal 5\nnotice N1 A>B new_for_old\nstock A 1";
    assert_eq!(takes(&seal(unsaid).resolve(overhaul())), ["buy B 1 from S"]);
}

#[test]
fn old_stock_says_by_which_notice_it_is_used() {
    let answer =
        seal("part B consumable seal 5\nnotice N1 A>B new_for_old use_old\nstock A 1").resolve(overhaul());
    let sentences: Vec<&str> =
        answer.units[0].lines[0].reasons.iter().map(|reason| reason.sentence.as_str()).collect();
    assert_eq!(
        sentences,
        ["used once by custom, and OVERHAUL disturbs it", "notice N1: M/A is used until it is gone"]
    );
}

#[test]
fn old_stock_that_is_not_enough_for_a_position_is_not_mixed_with_new() {
    let world = shop(
        "part A consumable seal
         part B consumable seal 5
         at SEAL A qty=2
         stock A 1
         notice N1 A>B new_for_old use_old",
    );
    assert_eq!(takes(&world.resolve(overhaul())), ["buy B 2 from S"]);
}

#[test]
fn two_way_numbers_may_be_mixed_at_a_position_without_joints_and_not_where_one_meets() {
    let text = "part A hard bolt
         part B hard bolt 5
         part N hard nut 9
         at BOLT A qty=2 renewal=single_use
         at NUT N renewal=on_condition
         stock A 1
         notice N1 A>B two_way use_old";
    assert_eq!(takes(&shop(text).resolve(overhaul())), ["stock A 1", "buy B 1 from S"]);
    let jointed = format!("{text}\nthread J BOLT NUT\nbolt A 30x1.5\nbolt B 30x1.5\nnut N 30x1.5");
    assert_eq!(takes(&shop(&jointed).resolve(overhaul())), ["buy B 2 from S"]);
}

#[test]
fn old_stock_goes_first_to_what_must_be_renewed() {
    let world = shop(
        "part A wear bearing
         part B wear bearing 5
         at KEPT A renewal=on_condition
         at RENEWED A renewal=always_at_overhaul
         stock A 1
         notice N1 A>B new_for_old use_old",
    );
    assert_eq!(takes(&world.resolve(overhaul())), ["stock A 1"]);
}

#[test]
fn in_a_chain_the_stock_of_the_number_that_is_to_be_used_up_is_used() {
    let world = seal(
        "part B consumable seal
         part C consumable seal 5
         stock A 1
         stock B 1
         notice N1 A>B new_for_old
         notice N2 B>C new_for_old use_old",
    );
    assert_eq!(takes(&world.resolve(overhaul())), ["stock B 1"]);
}

#[test]
fn old_stock_serves_for_a_new_number_only_over_two_way_links() {
    for (interchange, expected) in [("two_way", "stock OLD 1"), ("new_for_old", "buy A 1 from S")] {
        let world = shop(&format!(
            "part OLD consumable seal
             part A consumable seal 5
             at SEAL A
             stock OLD 1
             notice N1 OLD>A {interchange}"
        ));
        assert_eq!(takes(&world.resolve(overhaul())), [expected]);
    }
}

#[test]
fn stock_policy_none_leaves_old_stock_alone_too() {
    let world = seal("part B consumable seal 5\nstock A 1\nnotice N1 A>B two_way use_old");
    let mut request = overhaul();
    request.stock = StockUse::None;
    assert_eq!(takes(&world.resolve(request)), ["buy B 1 from S"]);
}

/// Two rings at one end, merged into one set P; the same two at the other end.
fn merged(more: &str) -> String {
    format!(
        "part A consumable snap_ring
         part B consumable snap_ring
         part P consumable snap_ring 9
         at IN-INNER A sub=IN
         at IN-OUTER B sub=IN
         at OUT-INNER A sub=OUT
         at OUT-OUTER B sub=OUT
         notice N1 A>P new_for_old shape=merge
         notice N1 B>P new_for_old shape=merge
         {more}"
    )
}

#[test]
fn a_merge_drags_in_the_positions_of_its_sub_assembly_and_one_piece_is_bought() {
    let answer = shop(&merged("job IN-INNER:renews")).resolve(job());
    assert_eq!(lines(&answer, 0), ["renew IN-INNER M/P 1 operation_renews", "renew IN-OUTER M/P 1 merge"]);
    assert_eq!(takes(&answer), ["buy P 1 from S"]);
}

#[test]
fn a_merge_at_two_sub_assemblies_takes_a_piece_for_each() {
    let answer = shop(&merged("job IN-INNER:renews OUT-OUTER:renews")).resolve(job());
    assert_eq!(
        lines(&answer, 0),
        [
            "renew IN-INNER M/P 1 operation_renews",
            "renew IN-OUTER M/P 1 merge",
            "renew OUT-INNER M/P 1 merge",
            "renew OUT-OUTER M/P 1 operation_renews",
        ]
    );
    assert_eq!(takes(&answer), ["buy P 2 from S"]);
}

#[test]
fn a_merge_drags_in_the_positions_that_its_notice_names_and_no_others() {
    let named = "job IN-INNER:renews\nneeds N1 1 IN-INNER\nneeds N1 2 IN-OUTER\nneeds N1 3 SPACER";
    let text = format!("part SP hard spacer 4\nat SPACER SP renewal=on_condition\n{}", merged(named));
    let answer = shop(&text).resolve(job());
    assert_eq!(
        lines(&answer, 0),
        ["renew SPACER M/SP 1 merge", "renew IN-INNER M/P 1 operation_renews", "renew IN-OUTER M/P 1 merge"]
    );
}

#[test]
fn where_a_merge_would_change_a_hard_part_further_old_stock_serves() {
    let text = "part A consumable snap_ring
         part B hard spacer 20
         part P hard spacer 30
         at RING A
         at SPACER B renewal=on_condition
         notice N1 A>P new_for_old shape=merge
         notice N1 B>P new_for_old shape=merge
         job RING:renews";
    assert_eq!(takes(&shop(&format!("{text}\nstock A 1")).resolve(job())), ["stock A 1"]);
    let answer = shop(text).resolve(job());
    assert_eq!(lines(&answer, 0), ["renew RING M/P 1 operation_renews", "renew SPACER M/P 1 merge"]);
    assert!(answer.units[0].lines[1].further_change);
}

#[test]
fn a_merge_that_is_not_wanted_leaves_old_stock_or_nothing() {
    let without = |text: &str| {
        let mut request = job();
        request.without_parts = vec![catalogue::PartKey::parse("M/P").unwrap()];
        shop(text).try_resolve(request)
    };
    let text = merged("job IN-INNER:renews");
    assert_eq!(takes(&without(&format!("{text}\nstock A 1")).unwrap()), ["stock A 1"]);
    let fault = without(&text).unwrap_err();
    assert_eq!(fault.detail, "these cannot hold together: no part that can be had is listed for IN-INNER");
}

#[test]
fn notices_after_a_merge_are_followed_too() {
    let more = "part Q consumable snap_ring 11\nnotice N2 P>Q new_for_old x=2\njob IN-INNER:renews";
    let answer = shop(&merged(more)).resolve(job());
    assert_eq!(lines(&answer, 0), ["renew IN-INNER M/Q 2 operation_renews", "renew IN-OUTER M/Q 2 merge"]);
    assert_eq!(takes(&answer), ["buy Q 2 from S"]);
}

#[test]
fn notices_in_a_circle_are_a_fault_that_names_them() {
    let world = seal(
        "part B consumable seal 5
         part C consumable seal 7
         notice N1 A>B new_for_old
         notice N2 B>C new_for_old
         notice N3 C>B new_for_old",
    );
    let fault = world.try_resolve(overhaul()).unwrap_err();
    assert_eq!(fault.kind, RequestFaultKind::CatalogueFault);
    assert_eq!(fault.detail, "notices lead in a circle: M/B → M/C → M/B; correct them in supersessions.csv");
}

#[test]
fn a_chain_of_thousands_is_followed() {
    let mut text = String::from("part A0 consumable seal\nat SEAL A0\n");
    for at in 1..=3000 {
        let price = if at == 3000 { "5" } else { "" };
        text.push_str(&format!("part A{at} consumable seal {price}\n"));
        text.push_str(&format!("notice N{at} A{}>A{at} new_for_old\n", at - 1));
    }
    let answer = shop(&text).resolve(overhaul());
    assert_eq!(takes(&answer), ["buy A3000 1 from S"]);
    // The renewal's cause, and each notice on the way.
    assert_eq!(answer.units[0].lines[0].reasons.len(), 3001);
}

#[test]
fn choices_that_meet_again_do_not_multiply() {
    let mut text = String::from("part A0 consumable seal\nat SEAL A0\n");
    for at in 0..40 {
        for side in ["L", "R"] {
            text.push_str(&format!("part {side}{at} consumable seal\n"));
            text.push_str(&format!("notice N{at} A{at}>{side}{at} new_for_old shape=one_of\n"));
            text.push_str(&format!("notice M{at} {side}{at}>A{} new_for_old\n", at + 1));
        }
        text.push_str(&format!("part A{} consumable seal {}\n", at + 1, if at == 39 { "5" } else { "" }));
    }
    assert_eq!(takes(&shop(&text).resolve(overhaul())), ["buy A40 1 from S"]);
}
