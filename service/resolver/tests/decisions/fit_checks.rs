//! What else must change when something is fitted.

use std::collections::BTreeSet;

use catalogue::{Code, PartKey};
use resolver::{
    ConflictFact, FitAlternative, FitCheck, FitCheckRequest, FitVerdict, JointOutcome, Request,
    RequestFaultKind, VerdictSource, WantedPart, fit_check,
};

use crate::small_world::{Candidate, Position, SmallWorld};
use crate::world::{World, ask, inside};

pub(crate) fn wanted(part: &str) -> FitAlternative {
    let part = PartKey::parse(part).unwrap();
    FitAlternative { parts: vec![WantedPart { part, position: None, unit: 0 }] }
}

fn check(world: &World, request: Request, alternatives: Vec<FitAlternative>) -> FitCheck {
    fit_check(&world.input(request), &FitCheckRequest { alternatives, ways: 5 })
        .unwrap_or_else(|fault| panic!("{}: {fault}", fault.pointer))
}

fn top_gear() -> Request {
    ask("BN-552", "TOP-GEAR")
}

#[test]
fn one_makers_overdrive_set_needs_a_matching_intermediate_gear_and_the_figures_say_why() {
    let found = check(&World::demo(), top_gear(), vec![wanted("VESSICK/VK 552-5 S")]);
    let [case] = found.alternatives[0].cases.as_slice() else {
        panic!("what is not known makes no difference here")
    };
    assert_eq!(case.verdict, FitVerdict::FitsWithChanges);
    let way = &case.ways[0];
    assert_eq!(way.further_changes, 1);
    let [change] = way.changes.as_slice() else { panic!("{:#?}", way.changes) };
    assert_eq!((change.position.as_str(), change.to[0].part.as_str()), ("GEAR-3", "VESSICK/VK552330"));
    let [joint] = change.forced_by.as_slice() else { panic!("{:#?}", change.forced_by) };
    assert_eq!(joint.joint.as_str(), "552.MESH.LAYSHAFT.GEAR-3");
    assert_eq!((joint.verdict, joint.source), (JointOutcome::DoesNotFit, VerdictSource::Calculated));
    let tests: BTreeSet<&str> = joint.faults.iter().map(|fault| fault.test.as_str()).collect();
    assert!(tests.contains("normal_base_pitch") && tests.contains("helix_angle"), "{tests:?}");
    assert!(joint.sentence.contains("normal base pitch 7.3803 mm against 8.1184 mm"), "{}", joint.sentence);
    assert_eq!(way.along.iter().map(|l| l.part.part.as_str()).collect::<Vec<_>>(), ["VESSICK/VK55258"]);
    insta::assert_snapshot!(
        format!("{} + {} = {}, job cost of the gear {}", way.cost.wanted_cash, way.cost.further_cash, way.cost.cash,
            way.cost.further_job_cost),
        @"1019.79 + 0.00 = 1019.79, job cost of the gear 153.90"
    );
}

#[test]
fn the_other_makers_set_keeps_the_gear_and_both_stand_side_by_side() {
    let both = vec![wanted("VESSICK/VK 552-5 S"), wanted("NORRWALD/N55.OD")];
    let found = check(&World::demo(), top_gear(), both);
    assert_eq!(found.alternatives[1].cases[0].verdict, FitVerdict::FitsAsItIs);
    let rows: Vec<String> = found
        .side_by_side
        .iter()
        .map(|row| {
            let changes: Vec<&str> = row.changes.iter().map(Code::as_str).collect();
            format!(
                "{} {} changes [{}] parts {} unverified {} cash {} (+{}) job cost {} days {}",
                row.text,
                row.verdict,
                changes.join(" "),
                row.parts.unwrap(),
                row.unverified_joints.unwrap(),
                row.cash.unwrap(),
                row.cash_more.unwrap(),
                row.job_cost.unwrap(),
                row.days.unwrap()
            )
        })
        .collect();
    insta::assert_snapshot!(rows.join("\n"), @r"
    VESSICK VK 552-5 S fits_with_changes changes [GEAR-3] parts 3 unverified 0 cash 1019.79 (+0.00) job cost 1173.69 days 13
    NORRWALD N55.OD fits_as_it_is changes [] parts 1 unverified 0 cash 1141.6834 (+121.8934) job cost 1141.6834 days 17
    ");
    assert!(found.cautions.iter().any(|caution| caution.hazard == catalogue::Hazard::ChangedGearing));
    assert_eq!(found.deferral, resolver::DEFERRAL);
}

#[test]
fn with_the_matching_gear_inside_the_set_fits_as_it_is() {
    let mut request = top_gear();
    request.units[0].inside = vec![inside("GEAR-3", "VESSICK/VK 552-330")];
    let found = check(&World::demo(), request, vec![wanted("VESSICK/VK 552-5 S"), wanted("NORRWALD/N55.OD")]);
    assert_eq!(found.alternatives[0].cases[0].verdict, FitVerdict::FitsAsItIs);
    let other = &found.alternatives[1].cases[0];
    assert_eq!(other.verdict, FitVerdict::FitsWithChanges, "{}", other.sentence);
    assert_eq!(other.ways[0].changes[0].to[0].part.as_str(), "BRANNOCH/5523300");
}

#[test]
fn without_the_matching_gear_the_set_cannot_fit_and_no_fact_of_the_group_can_be_left_out() {
    let mut world = World::demo();
    world.retain::<catalogue::Candidate>(|c| c.part.as_str() != "VESSICK/VK552330");
    let found = check(&world, top_gear(), vec![wanted("VESSICK/VK 552-5 S")]);
    let case = &found.alternatives[0].cases[0];
    assert_eq!(case.verdict, FitVerdict::CannotFit);
    assert!(case.conflict_is_smallest);
    let joint = case.conflict.iter().find_map(|fact| match &fact.fact {
        ConflictFact::Joint { joint, refused } => Some((joint.clone(), refused.clone().unwrap())),
        _ => None,
    });
    let (joint, refused) = joint.expect("a joint takes part");
    assert_eq!(joint.as_str(), "552.MESH.LAYSHAFT.GEAR-3");
    assert!(refused.faults.iter().any(|fault| fault.test == "normal_base_pitch"));
    let wants = |fact: &ConflictFact| matches!(fact, ConflictFact::Wanted { .. });
    assert!(case.conflict.iter().any(|fact| wants(&fact.fact)));
    assert_eq!(case.conflict.len(), 2, "{:#?}", case.conflict);
    // Without the joint it fits; without the wish there is nothing to fit.
    world.retain::<catalogue::Joint>(|row| row.joint != joint);
    let found = check(&world, top_gear(), vec![wanted("VESSICK/VK 552-5 S")]);
    assert_eq!(found.alternatives[0].cases[0].verdict, FitVerdict::FitsAsItIs);
    assert!(world.try_resolve(top_gear()).is_ok());
}

fn candidates(numbers: &[&str]) -> Vec<Candidate> {
    let role = |at: usize| if at == 0 { "original" } else { "alternative" };
    numbers.iter().enumerate().map(|(at, n)| Candidate { number: (*n).to_owned(), role: role(at) }).collect()
}

/// A shaft whose longer alternative needs other nuts at two places, or one other hub that both nuts fit through.
fn chain(threads: &[(&str, usize, Option<u32>)]) -> SmallWorld {
    let numbers = ["A0", "A1", "B0", "B1", "B2", "C0", "C1"];
    SmallWorld {
        positions: [&["A0", "A1"][..], &["B0", "B1", "B2"], &["C0", "C1"]]
            .iter()
            .map(|numbers| Position { renewed: false, candidates: candidates(numbers) })
            .collect(),
        threads: threads.iter().map(|(n, j, t)| ((*n).to_owned(), *j, *t)).collect(),
        joints: vec![(0, 1), (1, 2)],
        suppliers: vec![5],
        prices: numbers.iter().enumerate().map(|(at, n)| (0, (*n).to_owned(), 10 + at as i64)).collect(),
        ..SmallWorld::default()
    }
}

#[test]
fn all_smallest_sets_are_told_and_none_is_pruned_by_the_order_of_aims() {
    // B1 goes with A1 and with C0; B2 goes with A1, its joint to C0 has no figures; B0 does not go with A1.
    let world = chain(&[
        ("A0", 0, Some(1)),
        ("A1", 0, Some(2)),
        ("B0", 0, Some(1)),
        ("B1", 0, Some(2)),
        ("B2", 0, Some(2)),
        ("B0", 1, Some(1)),
        ("B1", 1, Some(3)),
        ("B2", 1, None),
        ("C0", 1, Some(1)),
        ("C1", 1, Some(3)),
    ])
    .build();
    let found = check(&world, ask("U-1", "OVERHAUL"), vec![wanted("M/A1")]);
    let case = &found.alternatives[0].cases[0];
    let ways: Vec<String> = case
        .ways
        .iter()
        .map(|way| {
            let to: Vec<&str> =
                way.changes.iter().flat_map(|change| &change.to).map(|part| part.part.as_str()).collect();
            format!(
                "{} {} {} {}",
                way.further_changes,
                way.unverified_joints.len(),
                way.cost.cash,
                to.join(" ")
            )
        })
        .collect();
    // One change with a joint unverified, two changes with none.
    assert_eq!(ways, ["1 1 30.00 M/B2", "2 0 45.00 M/B1 M/C1"]);
    assert!(!case.more_ways);
}

#[test]
fn an_impossible_chain_names_every_joint_that_takes_part() {
    let world = chain(&[
        ("A0", 0, Some(1)),
        ("A1", 0, Some(2)),
        ("B0", 0, Some(1)),
        ("B1", 0, Some(2)),
        ("B2", 0, Some(1)),
        ("B0", 1, Some(1)),
        ("B1", 1, Some(3)),
        ("B2", 1, Some(1)),
        ("C0", 1, Some(1)),
        ("C1", 1, Some(1)),
    ])
    .build();
    let verdict = |world: &World| {
        check(world, ask("U-1", "OVERHAUL"), vec![wanted("M/A1")]).alternatives[0].cases[0].clone()
    };
    let case = verdict(&world);
    assert_eq!(case.verdict, FitVerdict::CannotFit);
    let joints: Vec<Code> = case
        .conflict
        .iter()
        .filter_map(|fact| match &fact.fact {
            ConflictFact::Joint { joint, .. } => Some(joint.clone()),
            _ => None,
        })
        .collect();
    assert_eq!(joints.iter().map(Code::as_str).collect::<Vec<_>>(), ["J0", "J1"]);
    assert_eq!(case.conflict.len(), 3, "{:#?}", case.conflict);
    for joint in joints {
        let mut without = world.clone();
        without.retain::<catalogue::Joint>(|row| row.joint != joint);
        assert_ne!(verdict(&without).verdict, FitVerdict::CannotFit, "{joint} can be left out");
    }
}

#[test]
fn a_check_points_at_what_is_wrong_with_it() {
    let world = World::demo();
    let fault = |alternatives: Vec<FitAlternative>, ways: usize| {
        let fault = fit_check(&world.input(top_gear()), &FitCheckRequest { alternatives, ways }).unwrap_err();
        (fault.kind, fault.pointer)
    };
    assert_eq!(fault(Vec::new(), 5), (RequestFaultKind::BadValue, "/alternatives".into()));
    assert_eq!(fault(vec![wanted("NORRWALD/N55.OD")], 0), (RequestFaultKind::BadValue, "/ways".into()));
    let nowhere = vec![wanted("NORRWALD/N55.OD"), wanted("BRANNOCH/228-2001")];
    assert_eq!(fault(nowhere, 5), (RequestFaultKind::UnknownReference, "/alternatives/1/parts".into()));
    let mut elsewhere = wanted("NORRWALD/N55.OD");
    elsewhere.parts[0].unit = 1;
    assert_eq!(
        fault(vec![elsewhere], 5),
        (RequestFaultKind::BadValue, "/alternatives/0/parts/0/unit".into())
    );
}

#[test]
fn the_same_check_gives_the_same_bytes() {
    let input = World::demo().input(top_gear());
    let asked = FitCheckRequest { alternatives: vec![wanted("VESSICK/VK 552-5 S")], ways: 5 };
    let text = || serde_json::to_string(&fit_check(&input, &asked).unwrap()).unwrap();
    let first = text();
    assert!((0..3).all(|_| text() == first));
    let back: FitCheck = serde_json::from_str(&first).unwrap();
    assert_eq!(serde_json::to_string(&back).unwrap(), first);
}

#[test]
fn a_measured_gear_takes_its_uncertainty_into_the_verdict() {
    let mut world = World::demo();
    world.change::<catalogue::Feature>(|row| {
        if row.part.as_str() == "VESSICK/VK5525S" && row.feature.as_str() == "L3-TEETH" {
            row.basis = catalogue::Basis::Measured;
            row.uncertainty_mm = Some(0.012);
        }
    });
    let found = check(&world, top_gear(), vec![wanted("VESSICK/VK 552-5 S")]);
    let joint = &found.alternatives[0].cases[0].ways[0].changes[0].forced_by[0];
    assert_eq!(joint.verdict, JointOutcome::DoesNotFit, "the doubt is far smaller than the difference");
    let doubt = joint.warnings.iter().find(|warning| warning.warning == "measured_figure").unwrap();
    assert_eq!((doubt.side.as_str(), doubt.value), ("a", 0.012));
    assert!(doubt.sentence.contains("uncertain by ±0.012 mm"), "{}", doubt.sentence);
}

#[test]
fn a_change_that_the_planned_operation_does_not_reach_calls_for_a_larger_one_with_its_labour_fluids_and_outside_work()
 {
    let planned = |operation: &str| {
        let found = check(
            &World::demo(),
            ask("BN-552", operation),
            vec![wanted("VESSICK/VK 552-5 S"), wanted("NORRWALD/N55.OD")],
        );
        found.alternatives.into_iter().map(|mut of| of.cases.remove(0).ways.remove(0)).collect::<Vec<_>>()
    };
    let (reached, beyond) = (planned("TOP-GEAR"), planned("OUTPUT-SEAL"));
    for (reached, beyond) in reached.iter().zip(&beyond) {
        assert!(reached.larger_operations.is_empty());
        assert_eq!(reached.cost.labour_more, catalogue::Money::ZERO);
        let [larger] = beyond.larger_operations.as_slice() else { panic!("{:#?}", beyond.larger_operations) };
        assert_eq!(larger.operation.as_ref().map(Code::as_str), Some("TOP-GEAR"));
        assert!(larger.positions.iter().any(|position| position.as_str() == "LAYSHAFT"));
        // 15.5 h for 1.5 h, at 68 an hour; the fill of 3.1 l for 0.4 l, and the sealant.
        assert_eq!(
            (larger.hours_more.to_string(), larger.labour_more.to_string()),
            ("14".into(), "952.00".into())
        );
        let fluids: Vec<String> = larger
            .fluids_more
            .iter()
            .map(|fluid| format!("{} {}", fluid.part.part, fluid.quantity))
            .collect();
        assert_eq!(fluids, ["NORRWALD/FS51 20", "TARNHOLT/GL480W 2.7"]);
        assert_eq!(larger.outside_work_more, catalogue::Money::ZERO);
    }
    // What the overhaul reaches costs its outside work too: the hot wash at 52.
    let mut world = World::demo();
    world.retain::<catalogue::Operation>(|row| row.operation.as_str() != "TOP-GEAR");
    let found = check(&world, ask("BN-552", "OUTPUT-SEAL"), vec![wanted("NORRWALD/N55.OD")]);
    let way = &found.alternatives[0].cases[0].ways[0];
    let larger = &way.larger_operations[0];
    assert_eq!(larger.operation.as_ref().map(Code::as_str), Some("OVERHAUL"));
    assert_eq!(larger.outside_work_more.to_string(), "52.00");
    world.retain::<catalogue::OutsideWork>(|row| row.unit.as_str() != "BN552");
    let found = check(&world, ask("BN-552", "OUTPUT-SEAL"), vec![wanted("NORRWALD/N55.OD")]);
    assert_eq!(way.cost.cash - found.alternatives[0].cases[0].ways[0].cost.cash, larger.outside_work_more);
}
