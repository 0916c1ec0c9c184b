//! Facts of the trade (common practice, no source), on units made for them.

use catalogue::Grade;

use crate::small_world::{job, left_over, overhaul, shop, takes};
use crate::world::{World, found, inside, lines};

/// Positions that a request renews.
fn renewed(answer: &resolver::Answer) -> Vec<String> {
    lines(answer, 0).iter().map(|line| line.split(' ').nth(1).unwrap().to_owned()).collect()
}

fn five_speed() -> World {
    let mut text = String::from(
        "part GASKET consumable gasket 4\npart SEAL consumable seal 3\npart GEAR hard gear 90\n",
    );
    for at in 1..=5 {
        text.push_str(&format!("part RING{at} wear synchro_ring 20\n"));
    }
    text.push_str("part BEARING wear bearing 15\n");
    for at in 1..=5 {
        text.push_str(&format!("at SYNCHRO-{at} RING{at} renewal=always_at_overhaul\n"));
    }
    text.push_str("at FRONT-BEARING BEARING renewal=always_at_overhaul\nat REAR-BEARING BEARING renewal=always_at_overhaul\n");
    text.push_str("at FRONT-SEAL SEAL\nat COVER-GASKET GASKET\nat GEAR-1 GEAR renewal=on_condition\n");
    shop(&text)
}

#[test]
fn an_overhaul_of_a_five_speed_box_renews_five_synchro_rings() {
    let answer = five_speed().resolve(overhaul());
    let rings = renewed(&answer).iter().filter(|position| position.starts_with("SYNCHRO")).count();
    assert_eq!(rings, 5);
}

#[test]
fn bearings_seals_and_gaskets_are_renewed_at_an_overhaul_too_and_a_good_gear_is_not() {
    let answer = five_speed().resolve(overhaul());
    assert_eq!(
        lines(&answer, 0)[5..],
        [
            "renew FRONT-BEARING M/BEARING 1 always_at_overhaul",
            "renew REAR-BEARING M/BEARING 1 always_at_overhaul",
            "renew FRONT-SEAL M/SEAL 1 single_use_disturbed",
            "renew COVER-GASKET M/GASKET 1 single_use_disturbed",
        ]
    );
}

/// A pinion with nut, flange seal and crush spacer; a solid spacer with its shims may stand there instead.
pub(crate) fn pinion() -> World {
    shop(
        "
        part SEAL consumable seal 6
        part NUT consumable nut 5 renewal=single_use
        part CRUSH consumable spacer 8 renewal=single_use
        part SOLID hard spacer 60 renewal=on_condition
        part SHIMS consumable shim 12
        part FLANGE hard flange 80
        at PINION-SPACER CRUSH SOLID:upgrade renewal=single_use
        at PINION-SHIMS SHIMS only=SOLID renewal=on_condition
        at PINION-SEAL SEAL
        at PINION-FLANGE FLANGE renewal=on_condition
        at PINION-NUT NUT
        brings SOLID SHIMS
        job PINION-SEAL:renews PINION-NUT PINION-SPACER PINION-SHIMS PINION-FLANGE
        ",
    )
}

#[test]
fn taking_the_flange_nut_off_needs_a_new_nut_and_a_new_crush_spacer() {
    let answer = pinion().resolve(job());
    assert_eq!(
        lines(&answer, 0),
        [
            "renew PINION-SPACER M/CRUSH 1 single_use_disturbed",
            "renew PINION-SEAL M/SEAL 1 single_use_disturbed",
            "renew PINION-NUT M/NUT 1 single_use_disturbed",
        ]
    );
}

#[test]
fn with_a_solid_spacer_and_shims_inside_the_same_job_needs_seal_and_nut_only() {
    let mut request = job();
    request.units[0].inside = vec![inside("PINION-SPACER", "M/SOLID")];
    let answer = pinion().resolve(request);
    assert_eq!(renewed(&answer), ["PINION-SEAL", "PINION-NUT"]);
}

#[test]
fn a_split_housing_front_axle_has_five_bearings_where_the_rear_has_four() {
    let axle = |through: bool| {
        let mut text = String::from("part TAPER wear bearing 30\npart BALL wear bearing 25\n");
        for at in ["PINION-INNER", "PINION-OUTER", "SIDE-A", "SIDE-B"] {
            text.push_str(&format!("at {at} TAPER renewal=always_at_overhaul\n"));
        }
        if through {
            text.push_str("at THROUGH-SHAFT BALL renewal=always_at_overhaul\n");
        }
        renewed(&shop(&text).resolve(overhaul())).len()
    };
    assert_eq!((axle(true), axle(false)), (5, 4));
}

/// An axle whose flange, unknown before strip-down, takes one of two sizes of nut and seal; its kit brings all four.
fn two_flanges() -> World {
    shop(
        "
        part SEAL50 consumable seal 14
        part SEAL55 consumable seal 16
        part NUT30 consumable nut 9 renewal=single_use
        part NUT33 consumable nut 11 renewal=single_use
        part BEARING wear bearing 40
        kit AXLE-KIT 70 BEARING*2 SEAL50:SEAL SEAL55:SEAL NUT30:NUT NUT33:NUT
        at BEARING BEARING qty=2 renewal=always_at_overhaul
        at SEAL SEAL50@F50 SEAL55@F55
        at NUT NUT30@F50 NUT33@F55
        [variants]
        unit,variant,option_group,name,how_to_tell
        U,F50,FLANGE,Flange of 50 mm,Measure the seal's seat: 50 mm
        U,F55,FLANGE,Flange of 55 mm,Measure the seal's seat: 55 mm
        ",
    )
}

#[test]
fn an_axle_kit_brings_two_sizes_so_that_either_flange_is_served_and_one_of_each_is_used() {
    let answer = two_flanges().resolve(overhaul());
    assert_eq!(takes(&answer), ["kit AXLE-KIT 1"]);
    let contents = &answer.sourcing.kits[0].contents;
    let used: Vec<String> = contents.iter().map(|c| format!("{} {}", c.part.number, c.used)).collect();
    // Of each pair either may be used, so that each is left over at most.
    assert_eq!(used, ["BEARING 2", "NUT30 1", "NUT33 1", "SEAL50 1", "SEAL55 1"]);
    let options = ["NUT30 1 of AXLEKIT", "NUT33 1 of AXLEKIT", "SEAL50 1 of AXLEKIT", "SEAL55 1 of AXLEKIT"];
    assert_eq!(left_over(&answer), options);
    let mut request = overhaul();
    request.units[0].variants = vec![crate::small_world::code("F55")];
    let answer = two_flanges().resolve(request);
    assert_eq!(left_over(&answer), ["NUT30 1 of AXLEKIT", "SEAL50 1 of AXLEKIT"]);
}

#[test]
fn a_shaft_whose_tip_was_sleeved_before_is_renewed_and_its_mate_is_not() {
    let world = shop(
        "
        part SHAFT hard shaft 200
        part HUB hard hub 90
        at SHAFT SHAFT renewal=on_condition
        at HUB HUB renewal=on_condition
        ",
    );
    for grade in [Grade::RepairedBefore, Grade::Worn] {
        let mut request = overhaul();
        request.units[0].findings = vec![found("SHAFT", grade)];
        assert_eq!(lines(&world.resolve(request), 0), ["renew SHAFT M/SHAFT 1 finding"]);
    }
    let mut request = overhaul();
    request.units[0].findings = vec![found("SHAFT", Grade::Good)];
    assert!(lines(&world.resolve(request), 0).is_empty());
}

#[test]
fn crown_wheel_and_pinion_are_renewed_together_or_kept_together() {
    let world = shop(
        "
        part PAIR set gear 400
        at CROWN-WHEEL PAIR renewal=on_condition
        at PINION PAIR renewal=on_condition
        set PAIR CROWN-WHEEL PINION
        ",
    );
    assert!(lines(&world.resolve(overhaul()), 0).is_empty());
    let mut request = overhaul();
    request.units[0].findings = vec![found("PINION", Grade::Damaged)];
    let answer = world.resolve(request);
    assert_eq!(
        lines(&answer, 0),
        ["renew CROWN-WHEEL M/PAIR 1 matched_set", "renew PINION M/PAIR 1 finding"]
    );
    assert_eq!(takes(&answer), ["buy PAIR 1 from S"]);
}

#[test]
fn a_kit_for_gearbox_and_drop_box_holds_the_small_parts_of_both() {
    let mut world = shop(
        "
        part SEAL consumable seal 10
        part RING wear synchro_ring 30
        part GASKET consumable gasket 8
        kit BOTH 40 SEAL RING GASKET*2
        kit ONE 30 SEAL RING GASKET
        at SEAL SEAL
        at RING RING renewal=always_at_overhaul
        at GASKET GASKET
        [units]
        code,maker,name,kind
        D,M,Drop box,drop_box
        [operations]
        unit,operation,name,overhaul,hours
        D,OVERHAUL,Overhaul,yes,0
        [positions]
        unit,position,name,subassembly,assembly_order,quantity
        D,GASKET,Gasket,MAIN,10,1
        [candidates]
        unit,position,part,role
        D,GASKET,M/GASKET,original
        ",
    );
    let both = || {
        crate::world::ask_all(vec![
            crate::world::unit_request("U", "OVERHAUL"),
            crate::world::unit_request("D", "OVERHAUL"),
        ])
    };
    assert_eq!(takes(&world.resolve(both())), ["kit ONE 1", "buy GASKET 1 from S"]);
    world.change::<catalogue::Price>(|price| {
        if price.part.as_str() == "M/BOTH" {
            price.price = catalogue::Money::parse("37.99").unwrap();
        }
    });
    assert_eq!(takes(&world.resolve(both())), ["kit BOTH 1"]);
    assert_eq!(takes(&world.resolve(overhaul())), ["kit ONE 1"]);
}
