//! What a request says and cannot mean is refused with its place.

use catalogue::Grade;
use resolver::request::Unknowns;
use resolver::{Request, RequestFaultKind};

use crate::small_world::{code, overhaul, shop, takes};
use crate::world::{World, found};

fn two_sides() -> World {
    shop(
        "part A hard shaft 5
         part B hard shaft 7
         at LEFT A variant=V1 renewal=always_at_overhaul
         at RIGHT B variant=V2 renewal=always_at_overhaul
         [variants]
         unit,variant,option_group,name
         U,V1,SIDE,One
         U,V2,SIDE,Other",
    )
}

#[test]
fn a_supplier_that_does_not_exist_is_not_ruled_out_in_silence() {
    let fault = two_sides()
        .try_resolve(Request { without_suppliers: vec![code("S"), code("SS")], ..overhaul() })
        .unwrap_err();
    assert_eq!(
        (fault.kind, fault.pointer.as_str()),
        (RequestFaultKind::UnknownReference, "/without_suppliers/1")
    );
    assert_eq!(fault.suggestions, ["S"]);
}

#[test]
fn nothing_is_found_at_a_position_that_the_unit_does_not_have() {
    let mut request = overhaul();
    request.units[0].findings = vec![found("LEFT", Grade::Good), found("RIGHT", Grade::Worn)];
    assert!(two_sides().try_resolve(request.clone()).is_ok(), "either may be inside");
    request.units[0].variants = vec![code("V1")];
    let fault = two_sides().try_resolve(request).unwrap_err();
    let place = "/units/0/findings/1/position";
    assert_eq!((fault.kind, fault.pointer.as_str()), (RequestFaultKind::Contradiction, place));
}

#[test]
fn measured_first_the_answer_says_which_outcome_it_tells() {
    let answer = two_sides().resolve(Request { unknowns: Unknowns::MeasureFirst, ..overhaul() });
    assert_eq!((takes(&answer), answer.told_for), (vec!["buy B 1 from S".to_owned()], vec![code("V2")]));
    assert!(two_sides().resolve(overhaul()).told_for.is_empty());
}
