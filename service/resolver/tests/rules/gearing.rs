//! What a changed gear does to every speed, and what a changed axle asks of the other.

use std::collections::BTreeSet;

use catalogue::{Candidate, Code, Feature, FitStatement, Joint, PartKey, PriceBook, Setting};
use resolver::answer::Action;
use resolver::gearing::{GRADE_SETTING, RoadGapKind, UnitGearing};
use resolver::request::Chosen;
use resolver::{Answer, Reason, Request};

use crate::world::{World, ask, ask_all, chosen, unit_request};

fn gearing(answer: &Answer, unit: usize) -> &UnitGearing {
    answer.units[unit].gearing.as_ref().unwrap_or_else(|| panic!("no gearing of {}", answer.units[unit].code))
}

fn overdrive(set: &str) -> Request {
    let mut request = ask("BN-552", "TOP-GEAR");
    request.units[0].chosen = vec![chosen(set)];
    request
}

fn assert_near(found: f64, wanted: f64) {
    assert!((found / wanted - 1.0).abs() < 1e-9, "{found} is not {wanted}");
}

#[test]
fn an_overdrive_set_lengthens_fifth_and_every_speed_is_told() {
    let mut world = World::demo();
    world.retain::<FitStatement>(|_| false);
    let answer = world.resolve(overdrive("VESSICK/VK 552-5 S"));
    let found = gearing(&answer, 0);
    let names: Vec<&str> = found.speeds.iter().map(|speed| speed.name.as_str()).collect();
    assert_eq!(names.len(), 6, "five speeds and reverse: {names:?}");
    assert_eq!(names[3..5], ["direct", "Fifth gear"]);
    let tooth = |part: &str, feature: &str| -> f64 {
        let all = world.all::<catalogue::Feature>();
        let row =
            all.iter().find(|row| row.part.as_str() == part && row.feature.as_str() == feature).unwrap();
        row.tooth_count.unwrap() as f64
    };
    let constant = tooth("BRANNOCH/5524000", "LC-TEETH") / tooth("BRANNOCH/5522010", "C-TEETH");
    let fifth = &found.speeds[4];
    let before = constant * tooth("BRANNOCH/5523500", "G5-TEETH") / tooth("BRANNOCH/5524000", "L5-TEETH");
    let after = constant * tooth("VESSICK/VK5525S", "G5-TEETH") / tooth("VESSICK/VK5525S", "L5-TEETH");
    assert_near(fifth.ratio_before, before);
    assert_near(fifth.ratio_after, after);
    assert_near(fifth.slower_percent, (1.0 - after / before) * 100.0);
    assert_near(fifth.engine_speed_after_per_min, found.compared_at_per_min * after / before);
    assert_near(fifth.step_after.unwrap(), 1.0 / after);
    let reverse = found.speeds.last().unwrap();
    assert!(reverse.reverse && reverse.step_before.is_none());
    let idler = tooth("BRANNOCH/5523230", "S12-TEETH") / tooth("BRANNOCH/5524000", "LR-TEETH");
    assert_near(reverse.ratio_before, constant * idler);
    assert_near(reverse.ratio_after, reverse.ratio_before);
    // The new third gear of the set's own tooth form is recomputed too.
    let third = &found.speeds[2];
    let new_third = tooth("VESSICK/VK552330", "G3-TEETH") / tooth("VESSICK/VK5525S", "L3-TEETH");
    assert_near(third.ratio_after, constant * new_third);
    // Every joint of the new layshaft and of the changed gears (meshes with input pair and idler, dogs, cones, seats) is
    // judged by its figures.
    assert!(answer.units[0].unverified_joints.is_empty(), "{:?}", answer.units[0].unverified_joints);
    assert!(answer.units[0].contradictions.is_empty(), "{:?}", answer.units[0].contradictions);
    // Drop box and axle are not in the request, so there is no road speed to tell, and it is said what lacks.
    assert!(found.road.is_none() && found.top_gear.is_none());
    let lacks: Vec<_> = found.road_lacks.iter().map(|gap| (gap.lacks, gap.unit.clone())).collect();
    let unit = |code: &str| Some(catalogue::UnitKey::parse(code).unwrap());
    assert_eq!(lacks, [(RoadGapKind::DropBox, unit("BN-143")), (RoadGapKind::Axle, unit("BN-228"))]);
    assert!(found.road_lacks.iter().all(|gap| gap.sentence.contains("ask for it too")));
}

#[test]
fn every_mesh_dog_cone_and_seat_of_a_new_layshaft_is_judged_by_its_figures() {
    let mut world = World::demo();
    world.retain::<FitStatement>(|_| false);
    // The set and the third gear that comes with it: input pair, four speeds and the idler in mesh, dogs, cones, seats.
    let mut asked_for = BTreeSet::new();
    for part in ["VESSICK/VK5525S", "VESSICK/VK552330"] {
        let faces = world.all::<Feature>().into_iter().filter(|row| row.part.as_str() == part);
        for face in faces {
            let mut blind = World::demo();
            blind.retain::<FitStatement>(|_| false);
            blind.retain::<Feature>(|row| row.part != face.part || row.feature != face.feature);
            let answer = blind.try_resolve(overdrive("VESSICK/VK 552-5 S")).unwrap();
            let open: Vec<String> =
                answer.units[0].unverified_joints.iter().map(|note| note.joint.to_string()).collect();
            let joints = world.all::<Joint>().into_iter().filter(|joint| {
                let face = &face.feature;
                joint.unit_a == joint.unit_b && (joint.feature_a == *face || joint.feature_b == *face)
            });
            let of_unit = joints.map(|joint| joint.joint.to_string()).filter(|name| name.starts_with("552."));
            let judged: Vec<String> = of_unit.filter(|name| open.contains(name)).collect();
            assert!(!judged.is_empty(), "{part} {}: without it {open:?} stay open", face.feature);
            asked_for.extend(judged);
        }
    }
    for joint in [
        "552.MESH.INPUT-SHAFT.LAYSHAFT",
        "552.MESH.LAYSHAFT.GEAR-1",
        "552.MESH.LAYSHAFT.GEAR-2",
        "552.MESH.LAYSHAFT.GEAR-3",
        "552.MESH.LAYSHAFT.GEAR-5",
        "552.MESH.LAYSHAFT.IDLER",
        "552.DOG.SLEEVE-3.GEAR-3",
        "552.DOG.SLEEVE-45.GEAR-5",
        "552.CONE.RING-3.GEAR-3",
        "552.CONE.RING-5.GEAR-5",
    ] {
        assert!(asked_for.contains(joint), "{joint}: {asked_for:?}");
    }
}

#[test]
fn where_an_open_fact_decides_what_gear_is_fitted_each_outcome_tells_its_gearing() {
    let sets = ["VESSICK/VK 552-5 S", "NORRWALD/N55.OD"].map(|set| PartKey::parse(set).unwrap());
    let bearings = ["BEARING-BALL", "BEARING-ROLLER"].map(|variant| Code::parse(variant).unwrap());
    let mut world = World::demo();
    // One maker's set is for the boxes with one input bearing, the other's for those with the other.
    world.change::<Candidate>(|row| {
        if let Some(at) = sets.iter().position(|set| *set == row.part) {
            row.variant = Some(bearings[at].clone());
        }
    });
    let mut request = ask("BN-552", "TOP-GEAR");
    request.units[0].chosen = vec![Chosen { any_of: sets.to_vec(), position: None }];
    let answer = world.resolve(request);
    let apart = &answer.units[0].gearing_by_outcome;
    assert_eq!(apart.len(), 2, "{apart:#?}");
    for (set, bearing) in sets.iter().zip(&bearings) {
        let told: Vec<_> = apart.iter().map(|one| &one.outcomes).collect();
        let outcome = apart.iter().find(|one| one.outcomes.iter().all(|named| named.contains(bearing)));
        let outcome = outcome.unwrap_or_else(|| panic!("{bearing}: {told:?}"));
        let fifth = &outcome.gearing.as_ref().unwrap().speeds[4];
        let mut settled = ask("BN-552", "TOP-GEAR");
        settled.units[0].chosen = vec![Chosen { any_of: vec![set.clone()], position: None }];
        settled.units[0].variants = vec![bearing.clone()];
        let alone = world.resolve(settled);
        assert_eq!(*fifth, gearing(&alone, 0).speeds[4], "{set}");
        assert!(alone.units[0].gearing_by_outcome.is_empty());
    }
    // Where the open fact changes no gear, the gearing is told once.
    let once = World::demo().resolve(overdrive("VESSICK/VK 552-5 S"));
    assert!(once.units[0].gearing.is_some() && once.units[0].gearing_by_outcome.is_empty());
}

#[test]
fn a_job_that_changes_no_gear_tells_no_gearing() {
    let answer = World::demo().resolve(ask("BN-552", "TOP-GEAR"));
    assert!(answer.units.iter().all(|unit| unit.gearing.is_none()));
}

#[test]
fn gears_shrunk_on_a_layshaft_turn_with_it() {
    let mut request = ask("BN-640", "OVERHAUL");
    request.units[0].chosen = vec![chosen("VESSICK/VK 640-660 S")];
    let answer = World::demo().resolve(request);
    let found = gearing(&answer, 0);
    assert_eq!(found.speeds.len(), 7, "six speeds and reverse: {:#?}", found.speeds);
    let sixth = &found.speeds[5];
    assert!(sixth.ratio_after < sixth.ratio_before, "{sixth:?}");
    let changed: Vec<&str> =
        found.speeds.iter().filter(|s| s.ratio_after != s.ratio_before).map(|s| s.name.as_str()).collect();
    assert_eq!(changed, [sixth.name.as_str()]);
}

/// The gearbox with drop box and rear axle of the one vehicle that carries them, as one job.
fn laden(grade: Option<&str>) -> Answer {
    let mut gearbox = unit_request("BN-552", "TOP-GEAR");
    gearbox.chosen = vec![chosen("VESSICK/VK 552-5 S")];
    let request =
        ask_all(vec![gearbox, unit_request("BN-143", "OVERHAUL"), unit_request("BN-228", "PINION-SEAL")]);
    let mut input = World::demo().input(request);
    let settings: &mut PriceBook = &mut input.prices;
    if let Some(grade) = grade {
        let setting = catalogue::Code::parse(GRADE_SETTING).unwrap();
        settings.settings.push(Setting { setting, value: grade.to_owned() });
    }
    resolver::resolve(&input).unwrap()
}

#[test]
fn with_drop_box_and_axle_in_the_job_road_speed_and_pull_are_told() {
    let answer = laden(None);
    let found = gearing(&answer, 0);
    let road = found.road.as_ref().unwrap();
    assert_eq!(road.vehicle.as_str(), "BR-9");
    assert_near(road.axle_ratio, 41.0 / 9.0);
    let fifth = &found.speeds[4];
    let total = fifth.ratio_before * road.transfer_ratio * road.axle_ratio;
    let wanted = found.compared_at_per_min * 60.0 * road.rolling_circumference_m / 1000.0 / total;
    assert_near(fifth.road_speed_kmh.unwrap(), wanted);
    let top = found.top_gear.as_ref().unwrap();
    assert!(top.grade_after_percent < top.grade_before_percent, "{top:?}");
    assert!(top.holds.is_none() && top.danger.is_none());
}

#[test]
fn a_longer_top_gear_that_does_not_hold_the_stated_grade_is_cautioned() {
    let told = laden(None);
    let top = gearing(&told, 0).top_gear.clone().unwrap();
    let between = (top.grade_before_percent + top.grade_after_percent) / 2.0;
    let answer = laden(Some(&format!("{between:.4}")));
    assert_eq!(gearing(&answer, 0).top_gear.as_ref().unwrap().holds, Some(false));
    let caution = answer.cautions.iter().find(|caution| caution.text.contains("will hold"));
    assert!(caution.unwrap().text.contains("7100 kg"), "{:?}", answer.cautions);
    // A grade that it holds after as before needs no caution.
    let holds = laden(Some(&format!("{:.4}", top.grade_after_percent - 0.5)));
    assert!(holds.cautions.iter().all(|caution| !caution.text.contains("will hold")));
}

fn both_axles(rear: &str, front: Option<&str>) -> Result<Answer, resolver::RequestFault> {
    let mut first = unit_request("BN-228", "OVERHAUL");
    first.variants = vec![catalogue::Code::parse("FLANGE-50").unwrap()];
    first.chosen = vec![chosen(rear)];
    let mut second = unit_request("BN-229", "OVERHAUL");
    second.chosen.extend(front.map(chosen));
    World::demo().try_resolve(ask_all(vec![first, second]))
}

#[test]
fn a_changed_axle_ratio_drags_the_other_driven_axle_along() {
    let world = World::demo();
    let ratio = |part: &str| {
        let all = world.all::<catalogue::Feature>();
        let mut teeth: Vec<i64> = all
            .iter()
            .filter(|row| row.part == catalogue::PartKey::parse(part).unwrap())
            .filter(|row| row.kind == catalogue::FeatureKind::Gear)
            .filter_map(|row| row.tooth_count)
            .collect();
        teeth.sort_unstable();
        teeth[1] as f64 / teeth[0] as f64
    };
    let sets = ["VESSICK/VK 228-39.30", "VESSICK/VK 228-39.33", "BRANNOCH/228-2001", "BRANNOCH/228-2002"];
    let rear = sets.iter().find(|set| (ratio(set) - 41.0 / 9.0).abs() > 0.1).copied().unwrap();
    let answer = both_axles(rear, None).unwrap();
    let front = answer.units[1]
        .lines
        .iter()
        .find(|line| line.position.as_ref().is_some_and(|at| at.as_str() == "CROWN-WHEEL"))
        .unwrap();
    assert!(matches!(front.action, Action::Renew | Action::Upgrade), "{front:#?}");
    assert!((ratio(front.part.part.as_str()) / ratio(rear) - 1.0).abs() <= 0.01, "{front:#?}");
    let because = |line: &resolver::answer::RequirementLine| {
        line.reasons.iter().any(|reason| matches!(reason.reason, Reason::AxleRatio { .. }))
    };
    assert!(answer.units[1].lines.iter().any(because), "{front:#?}");
    let axle = gearing(&answer, 0).axle.as_ref().unwrap();
    assert_near(axle.ratio_after, ratio(rear));
    assert_eq!(axle.others.iter().map(|other| other.matches).collect::<Vec<_>>(), [Some(true)]);
    assert!(axle.danger.is_none() && axle.to_check.iter().any(|what| what.contains("speedometer")));
}

#[test]
fn a_changed_axle_ratio_alone_is_a_danger_that_names_the_other_axle() {
    let mut request = ask("BN-228", "OVERHAUL");
    request.units[0].variants = vec![catalogue::Code::parse("FLANGE-55").unwrap()];
    request.units[0].chosen = vec![chosen("VESSICK/VK 228-39.33")];
    let answer = World::demo().resolve(request);
    let axle = gearing(&answer, 0).axle.as_ref().unwrap();
    assert!(axle.danger.as_ref().unwrap().contains("BN229"), "{axle:?}");
    assert!(answer.cautions.iter().any(|caution| caution.text.contains("Change both axles or none")));
}
