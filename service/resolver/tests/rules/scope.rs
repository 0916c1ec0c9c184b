//! What an operation and the findings ask for, what comes along, and what was asked for.

use catalogue::Grade;
use resolver::RequestFaultKind;
use resolver::request::{Chosen, Finding};

use crate::small_world::{code, job, left_over, overhaul, shop, takes};
use crate::world::{World, chosen, found, inside, lines};

fn further_changes(answer: &resolver::Answer) -> Vec<String> {
    let lines = answer.units[0].lines.iter().filter(|line| line.further_change);
    lines.map(|line| line.position.as_ref().unwrap().to_string()).collect()
}

#[test]
fn the_rule_of_the_part_that_is_inside_goes_before_that_of_its_position() {
    let world = shop(
        "part ONCE hard nut 4 renewal=single_use
         part KEPT hard nut 9 renewal=on_condition
         part PLAIN hard nut 5
         at NUT-A ONCE renewal=on_condition
         at NUT-B KEPT renewal=single_use
         at NUT-C PLAIN renewal=single_use",
    );
    let answer = world.resolve(overhaul());
    assert_eq!(
        lines(&answer, 0),
        ["renew NUT-A M/ONCE 1 single_use_disturbed", "renew NUT-C M/PLAIN 1 single_use_disturbed"]
    );
    let sentence = &answer.units[0].lines[0].reasons[0].sentence;
    assert_eq!(sentence, "M/ONCE is used once, and OVERHAUL disturbs it");
}

#[test]
fn custom_takes_seals_gaskets_o_rings_and_lock_plates_as_used_once_unless_the_data_say_otherwise() {
    let world = shop(
        "part S consumable seal 1
         part G consumable gasket 1
         part O consumable o_ring 1
         part L consumable lock_plate 1
         part N hard nut 1
         at SEAL S
         at GASKET G
         at RING O
         at PLATE L
         at NUT N
         at METAL-GASKET G renewal=on_condition",
    );
    let renewed: Vec<String> =
        lines(&world.resolve(overhaul()), 0).iter().map(|l| l.split(' ').nth(1).unwrap().into()).collect();
    assert_eq!(renewed, ["SEAL", "GASKET", "RING", "PLATE"]);
}

#[test]
fn a_partial_operation_renews_what_it_names_and_what_is_used_once_where_it_works() {
    let world = shop(
        "part S consumable seal 1
         part B wear bearing 9
         part G hard gear 9
         at SEAL S
         at OTHER-SEAL S
         at BEARING B renewal=always_at_overhaul
         at GEAR G renewal=on_condition
         at LAY-GEAR G renewal=on_condition
         job SEAL BEARING GEAR LAY-GEAR:renews",
    );
    assert_eq!(
        lines(&world.resolve(job()), 0),
        ["renew SEAL M/S 1 single_use_disturbed", "renew LAY-GEAR M/G 1 operation_renews"]
    );
}

/// A bearing with a float from 0.05 to 0.15 and a limit of 0.20, and a pad of 8 mm with a limit of 7.2.
fn measured(position: &str, value: &str, figure: f64) -> resolver::Request {
    let mut request = job();
    request.units[0].findings = vec![Finding {
        position: code(position),
        grade: None,
        bench_value: Some(code(value)),
        measured: Some(figure),
    }];
    request
}

fn bench() -> World {
    shop(
        "part B wear bearing 9
         part P wear fork 5
         part W hard gear 40
         part V hard gear 50
         at BEARING B renewal=on_condition
         at PAD P renewal=on_condition
         at WHEEL W renewal=on_condition
         at PINION V renewal=on_condition
         at OTHER V renewal=on_condition
         [bench_values]
         unit,position,bench_value,kind,name,measure,minimum,maximum,wear_limit
         U,BEARING,FLOAT,end_float,Float,MMT,0.05,0.15,0.2
         U,PAD,THICKNESS,wear_limit,Thickness,MMT,7.9,8,7.2
         U,WHEEL,BACKLASH,backlash,Backlash,MMT,0.1,0.2,0.3
         [joints]
         joint,kind,unit_a,position_a,feature_a,unit_b,position_b,feature_b,centre_distance_mm
         J,mesh,U,WHEEL,TEETH,U,PINION,TEETH,90",
    )
}

#[test]
fn a_value_on_its_limit_is_still_good_and_one_past_it_is_not() {
    for (position, value, good, bad) in [("BEARING", "FLOAT", 0.2, 0.2001), ("PAD", "THICKNESS", 7.2, 7.1999)]
    {
        assert!(lines(&bench().resolve(measured(position, value, good)), 0).is_empty());
        let answer = bench().resolve(measured(position, value, bad));
        assert_eq!(lines(&answer, 0).len(), 1);
        assert!(lines(&answer, 0)[0].ends_with(" 1 past_limit"));
    }
}

#[test]
fn backlash_past_its_limit_renews_both_mates_unless_the_data_name_what() {
    let answer = bench().resolve(measured("WHEEL", "BACKLASH", 0.31));
    assert_eq!(lines(&answer, 0), ["renew WHEEL M/W 1 past_limit", "renew PINION M/V 1 past_limit"]);
    assert_eq!(
        answer.units[0].lines.iter().find(|l| l.name == "PINION").unwrap().reasons[0].sentence,
        "BACKLASH at WHEEL measures 0.31, past its limit of 0.3"
    );
}

#[test]
fn a_finding_without_grade_and_value_or_at_an_unknown_place_is_a_fault_with_its_pointer() {
    let mut request = measured("BEARING", "FLOAT", 0.3);
    request.units[0].findings[0].measured = None;
    let fault = bench().try_resolve(request).unwrap_err();
    assert_eq!((fault.kind, fault.pointer.as_str()), (RequestFaultKind::BadValue, "/units/0/findings/0"));
    let fault = bench().try_resolve(measured("BAERING", "FLOAT", 0.3)).unwrap_err();
    assert_eq!(fault.detail, "there is no position of U `BAERING`; did you mean `BEARING`?");
    let fault = bench().try_resolve(measured("BEARING", "FLAOT", 0.3)).unwrap_err();
    assert_eq!(fault.pointer, "/units/0/findings/0/bench_value");
    let fault = bench().try_resolve(measured("BEARING", "FLOAT", f64::NAN)).unwrap_err();
    assert_eq!(fault.kind, RequestFaultKind::BadValue);
}

#[test]
fn what_is_said_to_be_inside_goes_before_the_factory_list() {
    let world = shop(
        "part OLD wear bearing 9
         part NEW wear bearing 12 renewal=on_condition
         at BEARING OLD NEW:upgrade renewal=always_at_overhaul",
    );
    assert_eq!(lines(&world.resolve(overhaul()), 0), ["renew BEARING M/OLD 1 always_at_overhaul"]);
    let mut request = overhaul();
    request.units[0].inside = vec![inside("BEARING", "M/NEW")];
    let answer = world.resolve(request);
    assert!(lines(&answer, 0).is_empty());
    assert_eq!(answer.units[0].lines[0].part.number, "NEW");
}

/// A crush spacer; a solid one with its shims at a place that exists only with it.
fn spacers() -> World {
    shop(
        "part CRUSH consumable spacer 8 renewal=single_use
         part SOLID hard spacer 60 renewal=on_condition
         part SHIMS consumable shim 12
         part SHIMS2 consumable shim 10
         at SPACER CRUSH SOLID:upgrade
         at SHIMS SHIMS only=SOLID renewal=on_condition
         brings SOLID SHIMS
         job SPACER",
    )
}

#[test]
fn a_place_that_exists_only_with_a_part_is_filled_when_that_part_is_fitted_and_never_else() {
    let answer = spacers().resolve(overhaul());
    assert_eq!(lines(&answer, 0), ["renew SPACER M/CRUSH 1 single_use_disturbed"]);
    assert!(!answer.units[0].lines.iter().any(|line| line.name == "SHIMS"));
    let mut request = overhaul();
    request.units[0].chosen = vec![chosen("M/SOLID")];
    let answer = spacers().resolve(request);
    assert_eq!(lines(&answer, 0), ["upgrade SPACER M/SOLID 1 asked", "renew SHIMS M/SHIMS 1 companion"]);
    assert!(further_changes(&answer).is_empty());
}

#[test]
fn a_companion_does_not_come_with_a_part_that_is_kept() {
    let mut request = overhaul();
    request.units[0].inside = vec![inside("SPACER", "M/SOLID"), inside("SHIMS", "M/SHIMS")];
    assert!(lines(&spacers().resolve(request), 0).is_empty());
}

#[test]
fn a_successor_is_accepted_as_a_companion_and_does_not_bring_its_forerunners() {
    let text = "part A hard gear 50
         part A2 hard gear 55
         part C consumable shim
         part C2 consumable shim 3
         at GEAR A A2:alternative renewal=on_condition
         brings A C 2
         notice N1 C>C2 new_for_old";
    let wish = |part: &str| {
        let mut request = overhaul();
        request.units[0].chosen = vec![chosen(part)];
        lines(&shop(text).resolve(request), 0)
    };
    assert_eq!(wish("M/A"), ["upgrade GEAR M/A 1 asked", "supply - M/C2 2 companion"]);
    assert_eq!(wish("M/A2"), ["upgrade GEAR M/A2 1 asked"]);
}

#[test]
fn a_hard_companion_at_its_place_is_no_further_change_and_the_nearest_place_of_it_is_meant() {
    let world = shop(
        "part SHAFT hard shaft 90
         part LONG hard shaft 120
         part PLATE hard other 15
         at SHAFT-A SHAFT LONG:upgrade sub=A renewal=on_condition
         at SHAFT-B SHAFT LONG:upgrade sub=B renewal=on_condition
         at PLATE-A PLATE sub=A renewal=on_condition
         at PLATE-B PLATE sub=B renewal=on_condition
         brings LONG PLATE",
    );
    let mut request = overhaul();
    request.units[0].chosen =
        vec![Chosen { any_of: chosen("M/LONG").any_of, position: Some(code("SHAFT-B")) }];
    let answer = world.resolve(request);
    assert_eq!(lines(&answer, 0), ["upgrade SHAFT-B M/LONG 1 asked", "renew PLATE-B M/PLATE 1 companion"]);
    assert!(further_changes(&answer).is_empty());
}

/// A pair sold as one number, another maker's pair, and loose wheel.
fn pair() -> World {
    shop(
        "part P set gear 300
         part Q set gear 280
         at WHEEL P Q:alternative renewal=on_condition
         at PINION P Q:alternative renewal=on_condition
         set P WHEEL PINION
         set Q WHEEL PINION",
    )
}

#[test]
fn halves_of_different_sets_never_go_together_and_one_piece_is_bought() {
    let mut request = overhaul();
    request.units[0].findings = vec![found("WHEEL", Grade::Worn)];
    let answer = pair().resolve(request);
    assert_eq!(lines(&answer, 0), ["renew WHEEL M/Q 1 finding", "renew PINION M/Q 1 matched_set"]);
    assert_eq!(takes(&answer), ["buy Q 1 from S"]);
    assert_eq!(further_changes(&answer), ["PINION"]);
}

#[test]
fn a_set_whose_other_place_is_of_another_part_is_kept_where_it_is() {
    let mut request = overhaul();
    request.units[0].inside = vec![inside("PINION", "M/Q")];
    let answer = pair().resolve(request);
    let told: Vec<&str> = answer.units[0].lines.iter().map(|line| line.part.number.as_str()).collect();
    assert_eq!(told, ["Q", "Q"]);
}

#[test]
fn a_wish_for_any_of_several_is_met_by_the_cheapest() {
    let mut request = overhaul();
    let mut wish = chosen("M/P");
    wish.any_of.extend(chosen("M/Q").any_of);
    request.units[0].chosen = vec![wish];
    assert_eq!(takes(&pair().resolve(request)), ["buy Q 1 from S"]);
}

#[test]
fn a_wish_for_a_set_is_met_at_all_its_places_whichever_is_named() {
    let mut request = overhaul();
    request.units[0].chosen = vec![Chosen { any_of: chosen("M/P").any_of, position: Some(code("PINION")) }];
    let answer = pair().resolve(request);
    assert_eq!(lines(&answer, 0), ["upgrade WHEEL M/P 1 asked", "upgrade PINION M/P 1 asked"]);
    assert!(further_changes(&answer).is_empty());
}

#[test]
fn a_wish_for_a_kit_fits_what_lies_in_it() {
    let world = shop(
        "part G hard gear 90
         part U1 hard gear 100
         part U2 hard gear 100
         kit OVERDRIVE 150 U1 U2
         at GEAR-5 G U1:upgrade renewal=on_condition
         at LAY-5 G U2:upgrade renewal=on_condition",
    );
    let mut request = overhaul();
    request.units[0].chosen = vec![chosen("M/OVERDRIVE")];
    let answer = world.resolve(request);
    assert_eq!(lines(&answer, 0), ["upgrade GEAR-5 M/U1 1 asked", "upgrade LAY-5 M/U2 1 asked"]);
    assert_eq!(takes(&answer), ["kit OVERDRIVE 1"]);
    assert!(left_over(&answer).is_empty());
}

#[test]
fn a_part_that_has_no_place_in_the_unit_is_a_fault_with_what_may_be_meant() {
    let mut request = overhaul();
    request.units[0].chosen = vec![chosen("M/SOLDI")];
    let fault = spacers().try_resolve(request).unwrap_err();
    assert_eq!(fault.pointer, "/units/0/chosen/0/any_of/0");
    assert_eq!(fault.suggestions, ["M/SOLID"]);
    let mut request = overhaul();
    request.units[0].chosen = vec![Chosen { any_of: Vec::new(), position: None }];
    assert_eq!(spacers().try_resolve(request).unwrap_err().pointer, "/units/0/chosen/0/any_of");
}

#[test]
fn an_upgrade_that_was_asked_for_is_not_met_by_the_original() {
    let world = shop(
        "part A hard gear 10
         part B hard gear 90
         at GEAR A B:upgrade renewal=always_at_overhaul",
    );
    assert_eq!(takes(&world.resolve(overhaul())), ["buy A 1 from S"]);
    let mut request = overhaul();
    request.units[0].chosen = vec![chosen("M/B")];
    assert_eq!(takes(&world.resolve(request)), ["buy B 1 from S"]);
}

#[test]
fn a_cheaper_upgrade_is_never_fitted_unasked() {
    let world = shop(
        "part A hard gear 90
         part B hard gear 10
         at GEAR A B:upgrade renewal=always_at_overhaul",
    );
    assert_eq!(takes(&world.resolve(overhaul())), ["buy A 1 from S"]);
}

/// A bolt of two sizes and nuts of two sizes, and a washer place with an upgrade that has nothing to do with them.
fn threads(more: &str) -> World {
    shop(&format!(
        "part B30 hard bolt 10
         part B33 hard bolt 12
         part N30 hard nut 5
         part N33 hard nut 6
         part W hard other 20
         part W2 hard other 2
         bolt B30 30x1.5
         bolt B33 33x1.5
         nut N30 30x1.5
         nut N33 33x1.5
         at BOLT B30 B33:upgrade renewal=on_condition
         at NUT N30 N33:upgrade renewal=on_condition
         at WASHER W W2:upgrade renewal=always_at_overhaul
         thread J BOLT NUT
         {more}"
    ))
}

#[test]
fn where_nothing_else_fits_an_unasked_upgrade_is_fitted_and_only_there() {
    let mut request = overhaul();
    request.units[0].chosen = vec![chosen("M/B33")];
    let answer = threads("").resolve(request);
    assert_eq!(
        lines(&answer, 0),
        [
            "upgrade BOLT M/B33 1 asked",
            "upgrade NUT M/N33 1 no_mate_fits",
            "renew WASHER M/W 1 always_at_overhaul",
        ]
    );
    assert_eq!(further_changes(&answer), ["NUT"]);
    let told: Vec<&str> = answer.units[0].lines[1].reasons.iter().map(|r| r.sentence.as_str()).collect();
    assert_eq!(
        told,
        ["what is inside does not go with M/B33 at BOLT (joint J)", "nothing else goes with what was chosen"]
    );
}

#[test]
fn a_wish_that_cannot_be_met_names_the_smallest_group_of_facts() {
    let mut request = overhaul();
    request.units[0].chosen = vec![chosen("M/B33"), chosen("M/N30")];
    let fault = threads("").try_resolve(request).unwrap_err();
    assert_eq!(
        (fault.kind, fault.pointer.as_str()),
        (RequestFaultKind::ImpossibleChoice, "/units/0/chosen/1")
    );
    assert!(
        fault.detail.starts_with("these cannot hold together: ")
            && fault.detail.contains("M/B33 does not go with M/N30 at J")
            && fault.detail.contains("M/B33 was asked for")
            && fault.detail.contains("M/N30 was asked for"),
        "{}",
        fault.detail
    );
}

#[test]
fn a_joint_without_figures_and_statements_is_unverified_and_printed() {
    let text = "part B hard bolt 10
         part X hard bolt 9
         part N hard nut 5
         at BOLT B X:upgrade renewal=on_condition
         at NUT N renewal=on_condition
         thread J BOLT NUT";
    let mut request = overhaul();
    request.units[0].chosen = vec![chosen("M/X")];
    let answer = shop(text).resolve(request.clone());
    let [note] = &answer.units[0].unverified_joints[..] else { panic!("one joint is unverified") };
    assert_eq!(
        (note.joint.as_str(), note.part_a.number.as_str(), note.note.as_str()),
        ("J", "X", "no figures of the faces that meet")
    );
    let stated = shop(&format!("{text}\nsays X N fits")).resolve(request);
    assert!(stated.units[0].unverified_joints.is_empty());
}

#[test]
fn an_unverified_joint_is_avoided_where_that_costs_no_further_change() {
    let world = shop(
        "part B hard bolt 10
         part X hard bolt 3
         part N hard nut 5
         at BOLT B X:alternative renewal=always_at_overhaul
         at NUT N renewal=on_condition
         thread J BOLT NUT",
    );
    assert_eq!(takes(&world.resolve(overhaul())), ["buy B 1 from S"]);
}

#[test]
fn a_statement_against_the_figures_is_shown_and_the_cautious_one_decides() {
    let mut request = overhaul();
    request.units[0].chosen = vec![chosen("M/B33"), chosen("M/N33")];
    let answer = threads("says B33 N33 does_not_fit").try_resolve(request.clone());
    assert_eq!(answer.unwrap_err().kind, RequestFaultKind::ImpossibleChoice);
    let answer = threads("says B33 N30 fits").resolve(request);
    assert!(answer.units[0].contradictions.is_empty(), "the pair is not fitted");
}

#[test]
fn originals_that_the_figures_refuse_stay_and_the_contradiction_is_printed() {
    let world = shop(
        "part B hard bolt 10
         part N hard nut 5
         bolt B 30x1.5
         nut N 33x1.5
         at BOLT B renewal=always_at_overhaul
         at NUT N renewal=on_condition
         thread J BOLT NUT",
    );
    let answer = world.resolve(overhaul());
    assert_eq!(lines(&answer, 0), ["renew BOLT M/B 1 always_at_overhaul"]);
    assert_eq!(answer.units[0].contradictions.len(), 1);
    assert!(answer.units[0].contradictions[0].note.ends_with("the unit's maker fitted both"));
}

#[test]
fn a_successor_whose_figures_refuse_its_mate_does_not_pass_as_original_equipment() {
    let world = shop(
        "part B hard bolt
         part B2 hard bolt 10
         part N hard nut 5
         part N33 hard nut 6
         bolt B2 33x1.5
         nut N 30x1.5
         nut N33 33x1.5
         at BOLT B renewal=always_at_overhaul
         at NUT N N33:alternative renewal=on_condition
         thread J BOLT NUT
         notice N1 B>B2 new_for_old",
    );
    let answer = world.resolve(overhaul());
    assert_eq!(lines(&answer, 0), ["renew BOLT M/B2 1 always_at_overhaul", "renew NUT M/N33 1 no_mate_fits"]);
}

#[test]
fn a_successor_without_figures_fits_by_its_makers_notice() {
    let world = shop(
        "part B hard bolt
         part B2 hard bolt 10
         part N hard nut 5
         at BOLT B renewal=always_at_overhaul
         at NUT N renewal=on_condition
         thread J BOLT NUT
         notice N1 B>B2 new_for_old",
    );
    assert!(world.resolve(overhaul()).units[0].unverified_joints.is_empty());
}
