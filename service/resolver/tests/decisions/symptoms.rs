//! From what the driver notices to likely findings.

use catalogue::{Hazard, UnitKey};
use resolver::{RequestFaultKind, known_symptoms, symptom};

use crate::world::{World, ask};

fn told(unit: &str, text: &str) -> resolver::SymptomAnswer {
    let input = World::demo().input(ask(unit, "OVERHAUL"));
    symptom(&input.snapshot, &[UnitKey::parse(unit).unwrap()], text).unwrap()
}

fn findings(answer: &resolver::SymptomAnswer) -> Vec<String> {
    let line = |f: &resolver::LikelyFinding| {
        format!("{} {:.4} {:.4} {}", f.weak_point, f.likelihood, f.with_symptom, f.shows_it)
    };
    answer.findings.iter().map(line).collect()
}

#[test]
fn a_symptom_ranks_its_findings_by_how_likely_they_are_with_it() {
    // The hub is worn in 0.28 of all; the sleeve in 0.28 x 0.8 + 0.72 x 0.1 = 0.296; either in 1 - 0.72 x 0.9 = 0.352.
    let answer = told("BN-552", "jumps out of fifth");
    assert_eq!(
        findings(&answer),
        ["SLEEVE-45 0.2960 0.8409 true", "HUB-45 0.2800 0.7955 true"],
        "own calculation: 0.296 / 0.352 and 0.28 / 0.352"
    );
    assert_eq!(answer.checks.len(), 1);
    assert_eq!(answer.checks[0].weak_points.len(), 2);
    assert!(answer.cautions.iter().any(|caution| caution.hazard == Hazard::VehicleOnStands));
    assert_eq!(answer.deferral, resolver::DEFERRAL);
}

#[test]
fn what_comes_along_with_the_likely_finding_is_told_too() {
    // A growl in every gear comes from the layshaft; a pitted layshaft makes a pitted third gear likely.
    let answer = told("BN-552", "LAY-PITTED");
    assert_eq!(findings(&answer), ["LAY-PITTED 0.2200 1.0000 true", "GEAR-3-PITTED 0.1490 0.5000 false"]);
}

#[test]
fn mistyped_and_loosely_said_symptoms_are_understood() {
    for text in ["oil at pinion", "Oil at the pinoin!", "OIL PINION", "FLANGE-GROOVED"] {
        assert_eq!(told("BN-228", text).symptoms, ["Oil at the pinion."], "{text}");
    }
    let answer = told("BN-228", "squeaks on Sundays");
    assert!(answer.findings.is_empty());
    assert!(!answer.suggestions.is_empty());
}

#[test]
fn the_list_of_symptoms_is_searched_however_it_is_mistyped() {
    let input = World::demo().input(ask("BN-228", "OVERHAUL"));
    let unit = [UnitKey::parse("BN-228").unwrap()];
    let all = known_symptoms(&input.snapshot, &unit, None);
    assert_eq!(all.len(), 5);
    let found = known_symptoms(&input.snapshot, &unit, Some("clonk"));
    assert_eq!(
        found.iter().map(|known| known.symptom.as_str()).collect::<Vec<_>>(),
        ["A clunk when the drive changes direction."]
    );
    assert_eq!(found[0].weak_points.len(), 2);
}

#[test]
fn silence_is_no_symptom() {
    let input = World::demo().input(ask("BN-228", "OVERHAUL"));
    let fault = symptom(&input.snapshot, &[UnitKey::parse("BN-228").unwrap()], " at the ").unwrap_err();
    assert_eq!((fault.kind, fault.pointer.as_str()), (RequestFaultKind::BadValue, "/symptom"));
}

#[test]
fn what_one_unit_of_a_vehicle_explains_another_need_not() {
    // Own calculation: each is found in 0.1 of all, one of the two in 1 - 0.9 x 0.9 = 0.19, and 0.1 / 0.19 = 0.5263.
    let units = ["BN-143", "BN-701"];
    let request = crate::world::ask_all(
        units.iter().map(|unit| crate::world::unit_request(unit, "OVERHAUL")).collect(),
    );
    let input = World::demo().input(request);
    let units = units.map(|unit| UnitKey::parse(unit).unwrap());
    let answer = symptom(&input.snapshot, &units, "whine").unwrap();
    assert_eq!(
        findings(&answer),
        ["MID-GEAR-PITTED 0.1000 0.5263 true", "FIRST-STAGE-PITTED 0.1000 0.5263 true"]
    );
}
