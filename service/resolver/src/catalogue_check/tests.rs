//! Each kind of finding, on a small catalogue that is sound but for it.

use super::check;
use super::small_catalogue::{found, rows, sound, today};

const NOTICES: &str = "notice,old,new,quantity,shape,interchange,effective_from,use_old_until_gone";

#[test]
fn a_sound_catalogue_has_no_findings() {
    assert_eq!(found(|_| {}), "");
}

#[test]
fn circles_are_named_step_by_step() {
    insta::assert_snapshot!(found(|c| c.supersessions = rows(&format!("{NOTICES}\n\
        N1,VESSICK/SEAL1,NORRWALD/SEAL2,1,one_to_one,two_way,2030-01-01,no\n\
        N2,NORRWALD/SEAL2,VESSICK/SHAFT1,1,one_to_one,two_way,2030-01-01,no\n\
        N3,VESSICK/SHAFT1,VESSICK/SEAL1,1,one_to_one,two_way,2030-01-01,no\n\
        N4,VESSICK/SHAFT1,NORRWALD/KIT1,1,one_to_one,two_way,2030-02-01,no\n\
        N5,NORRWALD/KIT1,NORRWALD/KIT1,1,one_to_one,two_way,2030-01-01,no\n\
        N6,NORRWALD/KIT1,VESSICK/SHAFT1,1,one_to_one,two_way,2030-02-01,no\n"))), @"
    error supersession_cycle [supersessions N6 NORRWALD/KIT1 VESSICK/SHAFT1] numbers give way to each other in a circle: NORRWALD/KIT1 → VESSICK/SHAFT1 → NORRWALD/KIT1 (by notices N6, N4); 2 more hang in circles with these
    error superseded_by_itself [supersessions N5 NORRWALD/KIT1 NORRWALD/KIT1] notice N5 lets NORRWALD/KIT1 give way to itself
    ");
    insta::assert_snapshot!(found(|c| c.kit_lines.extend(rows("kit,line,part,quantity\n\
        NORRWALD/KIT1,2,NORRWALD/KIT1,1\n"))), @"error kit_holds_itself [kit_lines NORRWALD/KIT1 2] kit NORRWALD/KIT1 names itself on line 2");
    insta::assert_snapshot!(found(|c| {
        c.parts.extend(rows("maker,number,name,kind,class,price_group,measure,retired\n\
            NORRWALD,KIT-2,Inner,kit,other,KITS,KT,no\n"));
        c.kit_lines.extend(rows("kit,line,part,quantity\n\
            NORRWALD/KIT1,2,NORRWALD/KIT2,1\nNORRWALD/KIT2,1,NORRWALD/KIT1,1\n"));
        c.stock = rows("bin,part,mark,quantity,carrying_value\nA1,NORRWALD/KIT2,,1,1\n");
    }), @"
    error kit_cycle [kit_lines NORRWALD/KIT1] kits lie in each other in a circle: NORRWALD/KIT1 → NORRWALD/KIT2 → NORRWALD/KIT1
    note price_missing [parts NORRWALD/KIT2] NORRWALD/KIT2 is needed, and nobody sells it; a kit or the shelf brings it
    ");
    insta::assert_snapshot!(found(|c| c.companions = rows("part,companion,quantity\n\
        VESSICK/SEAL1,VESSICK/SEAL1,1\nVESSICK/SEAL1,VESSICK/SHAFT1,1\nVESSICK/SHAFT1,VESSICK/SEAL1,1\n")), @"
    error companion_cycle [companions VESSICK/SEAL1 VESSICK/SHAFT1] parts bring each other along in a circle: VESSICK/SEAL1 → VESSICK/SHAFT1 → VESSICK/SEAL1
    error companion_of_itself [companions VESSICK/SEAL1 VESSICK/SEAL1] VESSICK/SEAL1 is its own companion
    ");
    insta::assert_snapshot!(found(|c| c.weak_points = rows("unit,weak_point,position,finding,likelihood,given,symptom,vehicle_check\n\
        BN228,A,SEAL,worn,0.5,B,s,c\nBN228,B,SEAL,worn,0.5,C,s,c\nBN228,C,SEAL,worn,0.5,A,s,c\nBN228,D,SEAL,worn,0.5,D,s,c\nBN228,E,SEAL,worn,0.5,A,s,c\n")), @"
    error likelihood_cycle [weak_points BN228 A] likelihoods of unit BN228 rest on each other in a circle: A → B → C → A
    error likelihood_given_itself [weak_points BN228 D] the likelihood of weak point D of unit BN228 rests on itself
    ");
    insta::assert_snapshot!(found(|c| c.joints.extend(rows("joint,kind,unit_a,position_a,feature_a,unit_b,position_b,feature_b\n\
        J2,stack,BN228,SEAL,LIP,BN228,SEAL,LIP\n"))), @"
    error joint_with_itself [joints J2] joint J2 joins a face with itself
    warning joint_feature_unsuited [joints J2] joint J2 is a stack, and its faces are seal and seal
    ");
}

#[test]
fn notices_and_statements_that_contradict() {
    insta::assert_snapshot!(found(|c| {
        c.supersessions = rows(&format!("{NOTICES}\n\
            N1,VESSICK/SHAFT1,VESSICK/SEAL1,1,one_to_one,two_way,2030-01-01,no\n\
            N1,VESSICK/SHAFT1,NORRWALD/SEAL2,1,one_to_one,two_way,2030-01-01,no\n\
            N2,VESSICK/SHAFT1,NORRWALD/SEAL2,1,all_of,two_way,2030-01-01,no\n\
            N2,VESSICK/SHAFT1,NORRWALD/KIT1,1,one_of,two_way,2030-01-01,no\n\
            N3,VESSICK/SEAL1,NORRWALD/SEAL2,1,merge,two_way,2030-02-01,no\n\
            N3,NORRWALD/SEAL2,NORRWALD/KIT1,1,merge,two_way,2030-02-01,no\n"));
        c.supersession_needs = rows("notice,line,unit,position\nN9,1,BN228,SEAL\n");
    }), @"
    error mixed_notice [supersessions N2 VESSICK/SHAFT1] notice N2 gives rows of different shapes for VESSICK/SHAFT1: all_of, one_of
    error one_to_one_with_several [supersessions N1 VESSICK/SHAFT1] notice N1 is one to one, and gives NORRWALD/SEAL2, VESSICK/SEAL1 for VESSICK/SHAFT1; say all_of or one_of
    error merge_into_several [supersessions N3] notice N3 merges into NORRWALD/KIT1, NORRWALD/SEAL2; a merge has one new number
    warning competing_notices [supersessions VESSICK/SHAFT1] notices N1, N2 all speak of VESSICK/SHAFT1 from 2030-01-01 on; the last by code holds
    warning need_of_unknown_notice [supersession_needs N9 1] there is no notice N9 that would need anything
    ");
    insta::assert_snapshot!(found(|c| c.fit_statements = rows("maker,part_a,part_b,verdict,document,stated_on\n\
        VESSICK,VESSICK/SHAFT1,VESSICK/SEAL1,fits,Sheet 1,2026-01-01\n\
        NORRWALD,VESSICK/SEAL1,VESSICK/SHAFT1,does_not_fit,Sheet 2,2026-01-01\n\
        NORRWALD,NORRWALD/SEAL2,VESSICK/SHAFT1,does_not_fit,Sheet 2,2026-01-01\n")), @"warning contradicting_statements [fit_statements VESSICK/SEAL1 VESSICK/SHAFT1] VESSICK/SEAL1 and VESSICK/SHAFT1 go together by VESSICK, and do not by NORRWALD");
}

#[test]
fn conditions_that_cannot_hold_together_do_not_compete() {
    let told = found(|c| {
        c.supersessions = rows(&format!(
            "{NOTICES},unit,serial_from,serial_to\n\
            N1,VESSICK/SEAL1,NORRWALD/SEAL2,1,one_to_one,two_way,2030-01-01,no,BN228,,99\n\
            N2,VESSICK/SEAL1,NORRWALD/KIT1,1,one_to_one,two_way,2030-01-01,no,BN228,100,\n"
        ));
    });
    assert_eq!(told, "");
}

#[test]
fn variants_that_overlap_or_leave_gaps() {
    const VARIANTS: &str = "unit,variant,option_group,name,serial_from,serial_to,built_from,built_to";
    insta::assert_snapshot!(found(|c| c.variants = rows(&format!("{VARIANTS}\n\
        BN228,A,FLANGE,a,,100,,\nBN228,B,FLANGE,b,100,200,,\nBN228,C,FLANGE,c,211,,,\n\
        BN228,D,NUT,d,,,,2010-01-01\nBN228,E,NUT,e,,,2010-01-12,\n\
        BN228,F,CASE,f,,,,2010-01-01\nBN228,G,CASE,g,,,,\n"))), @"
    warning overlapping_effectivity [variants BN228 A] of option group FLANGE of unit BN228, A, B hold for the same units
    warning serial_gap [variants BN228 FLANGE] no variant of option group FLANGE of unit BN228 holds for serial numbers 201 to 210
    warning build_date_gap [variants BN228 NUT] no variant of option group NUT of unit BN228 holds for units built from 2010-01-02 to 2010-01-11
    ");
}

#[test]
fn numbers_that_gave_way_and_are_still_named() {
    insta::assert_snapshot!(found(|c| c.supersessions = rows(&format!("{NOTICES},unit\n\
        N1,VESSICK/SEAL1,NORRWALD/SEAL2,1,one_to_one,two_way,2026-06-01,no,\n\
        N2,NORRWALD/SEAL2,VESSICK/SEAL1,1,one_to_one,two_way,2026-06-02,no,\n\
        N3,VESSICK/SHAFT1,NORRWALD/KIT1,1,one_to_one,two_way,2020-01-01,no,BN229\n"))), @"
    error supersession_cycle [supersessions N2 NORRWALD/SEAL2 VESSICK/SEAL1] numbers give way to each other in a circle: NORRWALD/SEAL2 → VESSICK/SEAL1 → NORRWALD/SEAL2 (by notices N2, N1)
    note original_superseded [candidates BN228 SEAL VESSICK/SEAL1] position SEAL of unit BN228 names VESSICK/SEAL1, which gave way to NORRWALD/SEAL2 (by notice N1)
    ");
    insta::assert_snapshot!(found(|c| c.supersessions = rows(&format!("{NOTICES}\n\
        N2,NORRWALD/SEAL2,VESSICK/SEAL1,1,one_to_one,two_way,2026-06-01,no\n"))), @"note kit_line_superseded [kit_lines NORRWALD/KIT1 1] line 1 of kit NORRWALD/KIT1 names NORRWALD/SEAL2, which gave way to VESSICK/SEAL1 (by notice N2)");
}

#[test]
fn positions_that_nothing_can_fill() {
    insta::assert_snapshot!(found(|c| c.candidates.retain(|row| row.position.as_str() != "SHAFT")), @"error position_without_candidate [positions BN228 SHAFT] no part may stand at position SHAFT of unit BN228");
    insta::assert_snapshot!(found(|c| c.candidates[0].role = catalogue::CandidateRole::Upgrade), @"error position_without_candidate [positions BN228 SHAFT] no part but 1 to be chosen as upgrade may stand at position SHAFT of unit BN228");
    insta::assert_snapshot!(found(|c| c.prices.retain(|row| row.part.as_str() != "VESSICK/SHAFT1")), @"
    warning position_without_supply [positions BN228 SHAFT] for position SHAFT of unit BN228 neither VESSICK/SHAFT1 nor a successor has a price, a piece on the shelf or a kit that brings it
    warning price_missing [parts VESSICK/SHAFT1] VESSICK/SHAFT1 is needed, and nobody sells it
    ");
    insta::assert_snapshot!(found(|c| c.positions[0].only_with = Some(catalogue::PartKey::from_stored("NORRWALD/KIT1"))), @"warning only_with_never_fitted [positions BN228 SHAFT] position SHAFT of unit BN228 exists only with NORRWALD/KIT1, which may stand nowhere in that unit");
    insta::assert_snapshot!(found(|c| {
        c.variants = rows("unit,variant,option_group,name\nBN228,A,FLANGE,a\nBN228,B,FLANGE,b\n");
        for candidate in &mut c.candidates {
            candidate.variant = Some(catalogue::Code::from_stored("A"));
        }
        c.positions[1].variant = Some(catalogue::Code::from_stored("A"));
    }), @"warning variant_without_candidate [positions BN228 SHAFT] no part may stand at position SHAFT of unit BN228 in variant B");
}

#[test]
fn a_part_is_available_by_its_successor_its_kit_or_the_shelf() {
    let without_price = |also: fn(&mut super::CatalogueRows)| {
        found(|c| {
            c.prices.retain(|row| row.part.as_str() != "VESSICK/SHAFT1");
            also(c);
        })
        .contains("position_without_supply")
    };
    assert!(without_price(|_| {}));
    assert!(!without_price(
        |c| c.stock = rows("bin,part,mark,quantity,carrying_value\nA1,VESSICK/SHAFT1,,1,1\n")
    ));
    assert!(without_price(
        |c| c.stock = rows("bin,part,mark,quantity,carrying_value\nA1,VESSICK/SHAFT1,,0,1\n")
    ));
    assert!(!without_price(|c| {
        c.kit_lines.extend(rows("kit,line,part,quantity\nNORRWALD/KIT1,2,VESSICK/SHAFT1,1\n"));
    }));
    let successor = |row: &str| {
        let row = row.to_owned();
        found(move |c| {
            c.prices.retain(|price| price.part.as_str() != "VESSICK/SHAFT1");
            c.supersessions = rows(&format!("{NOTICES}\n{row}\n"));
        })
        .contains("position_without_supply")
    };
    assert!(!successor("N1,VESSICK/SHAFT1,VESSICK/SEAL1,1,one_to_one,new_for_old,2026-01-01,no"));
    assert!(successor("N1,VESSICK/SHAFT1,VESSICK/SEAL1,1,one_to_one,none,2026-01-01,no"));
    assert!(successor("N1,VESSICK/SHAFT1,VESSICK/SEAL1,1,one_to_one,two_way,2027-01-01,no"));
    assert!(successor("N1,VESSICK/SHAFT1,NORRWALD/KIT1,1,one_to_one,new_for_old,2026-01-01,no"), "a kit");
    let split = "N1,VESSICK/SHAFT1,VESSICK/SEAL1,1,all_of,two_way,2026-01-01,no";
    assert!(!successor(split));
    assert!(successor(&format!("{split}\nN1,VESSICK/SHAFT1,TARNHOLT/X,1,all_of,two_way,2026-01-01,no")));
}

#[test]
fn kits_and_what_no_kit_covers() {
    insta::assert_snapshot!(found(|c| {
        c.kit_lines.clear();
        c.positions[0].renewal = Some(catalogue::Renewal::AlwaysAtOverhaul);
        c.kit_lines = rows("kit,line,part,quantity\nVESSICK/SHAFT1,1,VESSICK/SEAL1,1\n");
    }), @"
    warning kit_without_lines [parts NORRWALD/KIT1] kit NORRWALD/KIT1 has no list of what it holds
    warning lines_of_no_kit [parts VESSICK/SHAFT1] VESSICK/SHAFT1 has a list of contents and is no kit
    note positions_no_kit_covers [units BN228] no kit covers 1 of 2 positions of unit BN228 that every overhaul renews: SHAFT
    ");
}

#[test]
fn prices_rates_taxes_and_settings() {
    insta::assert_snapshot!(found(|c| {
        c.prices[0].valid_to = chrono::NaiveDate::from_ymd_opt(2026, 5, 31);
        c.prices[1].valid_from = chrono::NaiveDate::from_ymd_opt(2026, 6, 2).unwrap();
        c.prices.remove(3);
        c.exchange_rates.clear();
        c.tax_rates.clear();
        c.customers = rows("customer,name,tax\nNORTH,North,REDUCED\n");
        c.price_rules = rows("rule,price_group,markup\nR1,SOFTS,20\n");
        c.settings.extend(rows("setting,value\nSURPLUSS,charged\n"));
    }), @"
    error exchange_rate_missing [exchange_rates NOK] 1 row is in NOK, for which there is no rate to EUR
    warning position_without_supply [positions BN228 SHAFT] for position SHAFT of unit BN228 neither VESSICK/SHAFT1 nor a successor has a price, a piece on the shelf or a kit that brings it
    warning price_missing [parts NORRWALD/KIT1] NORRWALD/KIT1 is needed, and nobody sells it
    warning price_expired [parts VESSICK/SHAFT1] VESSICK/SHAFT1 is needed, and its last price ran out on 2026-05-31
    warning tax_unknown [customers NORTH] there is no rate of tax REDUCED on that day
    warning tax_unknown [settings TAX] there is no rate of tax STANDARD on that day
    warning price_group_unknown [price_rules R1] no part has the price group SOFTS
    warning setting_unknown [settings SURPLUSS] the service knows no setting SURPLUSS
    note price_not_yet_valid [parts VESSICK/SEAL1] VESSICK/SEAL1 is needed, and its first price begins on 2026-06-02
    ");
    insta::assert_snapshot!(found(|c| c.settings.clear()), @"error base_currency_missing [settings BASE-CURRENCY] the setting BASE-CURRENCY is missing");
}

#[test]
fn joints_and_their_faces() {
    insta::assert_snapshot!(found(|c| c.features.clear()), @"
    warning joint_feature_missing [joints J1] joint J1 rests on face LIP at position SEAL of unit BN228, and VESSICK/SEAL1 does not describe that face
    warning joint_feature_missing [joints J1] joint J1 rests on face SEAT at position SHAFT of unit BN228, and VESSICK/SHAFT1 does not describe that face
    ");
    insta::assert_snapshot!(found(|c| {
        c.features[0].kind = catalogue::FeatureKind::Journal;
        c.features.extend(rows("part,feature,kind,basis\nVESSICK/SHAFT1,TIP,journal,stated\nNORRWALD/KIT1,X,bore,stated\n"));
    }), @"
    warning joint_feature_unsuited [joints J1] joint J1 is a seal, and its faces are seal and journal
    note orphan_feature [features VESSICK/SHAFT1 TIP] no joint uses face TIP of VESSICK/SHAFT1 at any position where it may stand
    ");
    let gears_of_a_set_run_with_each_other = found(|c| {
        c.parts[0].kind = catalogue::PartKind::Set;
        c.features.extend(rows("part,feature,kind,basis\nVESSICK/SHAFT1,CROWN,gear,stated\n"));
    });
    assert_eq!(gears_of_a_set_run_with_each_other, "");
    let successor_uses_the_joints_of_the_old = found(|c| {
        c.features.extend(rows(
            "part,feature,kind,basis\nNORRWALD/KIT1,SEAT,seal_seat,stated\nNORRWALD/KIT1,TIP,bore,stated\n",
        ));
        c.supersessions =
            rows(&format!("{NOTICES}\nN1,VESSICK/SHAFT1,NORRWALD/KIT1,1,one_to_one,two_way,2030-01-01,no\n"));
    });
    insta::assert_snapshot!(successor_uses_the_joints_of_the_old, @"note orphan_feature [features NORRWALD/KIT1 TIP] no joint uses face TIP of NORRWALD/KIT1 at any position where it may stand");
}

#[test]
fn the_order_of_the_rows_does_not_matter() {
    let mut catalogue = sound();
    catalogue.features.clear();
    catalogue.kit_lines.clear();
    catalogue.prices.clear();
    let findings = check(&catalogue, today());
    assert!(findings.len() > 4);
    catalogue.parts.reverse();
    catalogue.candidates.reverse();
    catalogue.positions.reverse();
    catalogue.joints.reverse();
    assert_eq!(check(&catalogue, today()), findings);
}

#[test]
fn a_finding_is_data() {
    let mut catalogue = sound();
    catalogue.prices.remove(0);
    let findings = check(&catalogue, today());
    let json = serde_json::to_string(&findings).unwrap();
    assert_eq!(serde_json::from_str::<Vec<super::Finding>>(&json).unwrap(), findings);
    insta::assert_snapshot!(json, @r#"[{"severity":"warning","fact":{"code":"position_without_supply","unit":"BN228","position":"SHAFT","candidates":["VESSICK/SHAFT1"]},"subject":{"sheet":"positions","key":["BN228","SHAFT"]}},{"severity":"warning","fact":{"code":"price_missing","part":"VESSICK/SHAFT1","available":false},"subject":{"sheet":"parts","key":["VESSICK/SHAFT1"]}}]"#);
}
