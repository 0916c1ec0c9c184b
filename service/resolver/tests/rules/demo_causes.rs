//! The demo: every line rests on the cause that it names, and one changed row changes the lines it should and no others.

use std::collections::BTreeSet;

use catalogue::{
    Candidate, CandidateRole, Code, Companion, FitStatement, Fluid, Grade, Joint, Money, OperationScope,
    Part, PartClass, PartKey, Position, Price, Renewal, SetPosition, Supersession, SupersessionNeed, UnitKey,
};
use resolver::answer::{Action, RequirementLine};
use resolver::request::{StockUse, Unknowns};
use resolver::{Answer, Input, Reason, Request};

use crate::world::{World, ask, ask_all, chosen, found, inside, lines, unit_request};

const UNITS: [&str; 7] = ["BN-640", "BN-552", "BN-410", "BN-143", "BN-228", "BN-229", "BN-701"];

fn resolve(input: &Input) -> Option<Answer> {
    resolver::resolve(input).ok()
}

/// A line as far as its cause may change it.
fn told(line: &RequirementLine) -> String {
    let reasons: Vec<&str> = line.reasons.iter().map(|reason| reason.sentence.as_str()).collect();
    let position = line.position.as_ref().map_or("-", Code::as_str);
    format!("{} {position} {} {}: {}", line.action, line.part.part, line.quantity, reasons.join("; "))
}

fn all_told(answer: &Answer) -> BTreeSet<String> {
    answer.units[0].lines.iter().map(told).collect()
}

/// Takes away what the first reason of a line names.
fn take_away(input: &mut Input, line: &RequirementLine) {
    let unit = input.request.units[0].unit.clone();
    let snapshot = &mut input.snapshot;
    let on_condition = |part: &PartKey, parts: &mut Vec<Part>| {
        parts
            .iter_mut()
            .filter(|row| row.part == *part)
            .for_each(|row| row.renewal = Some(Renewal::OnCondition));
    };
    match &line.reasons[0].reason {
        Reason::AlwaysAtOverhaul { part: Some(part) }
        | Reason::SingleUseDisturbed { part: Some(part), .. } => {
            on_condition(part, &mut snapshot.parts);
        }
        Reason::SingleUseDisturbed { by_custom: true, .. } => {
            // Custom goes by the class of what is inside, which the listed candidates are.
            let here = snapshot
                .candidates
                .iter()
                .filter(|c| c.unit == unit && Some(&c.position) == line.position.as_ref());
            let parts: BTreeSet<PartKey> = here.map(|candidate| candidate.part.clone()).collect();
            let rows = snapshot.parts.iter_mut().filter(|row| parts.contains(&row.part));
            rows.for_each(|row| row.class = PartClass::Other);
        }
        Reason::AlwaysAtOverhaul { part: None } | Reason::SingleUseDisturbed { .. } => {
            let rows = snapshot
                .positions
                .iter_mut()
                .filter(|row| row.unit == unit && Some(&row.position) == line.position.as_ref());
            rows.for_each(|row| row.renewal = Some(Renewal::OnCondition));
        }
        Reason::OperationRenews { operation } => {
            snapshot
                .operation_scope
                .retain(|row| row.operation != *operation || Some(&row.position) != line.position.as_ref());
        }
        Reason::Finding { .. } | Reason::PastLimit { .. } => {
            input.request.units[0]
                .findings
                .retain(|finding| Some(&finding.position) != line.position.as_ref());
        }
        Reason::Asked { part } => input.request.units[0].chosen.retain(|wish| !wish.any_of.contains(part)),
        Reason::MatchedSet { set, .. } => {
            snapshot.set_positions.retain(|row: &SetPosition| row.part != *set && row.part != line.part.part);
        }
        Reason::NoMateFits { joint, .. } => snapshot.joints.retain(|row: &Joint| row.joint != *joint),
        Reason::Companion { of, .. } => snapshot.companions.retain(|row: &Companion| row.part != *of),
        Reason::OnlyWith { .. } => {
            let rows =
                snapshot.positions.iter_mut().filter(|row| Some(&row.position) == line.position.as_ref());
            rows.for_each(|row: &mut Position| row.only_with = None);
        }
        Reason::Merge { notice, .. } => {
            snapshot.supersessions.retain(|row: &Supersession| row.notice != *notice)
        }
        Reason::NoticeNeeds { notice } => {
            snapshot.supersession_needs.retain(|row: &SupersessionNeed| row.notice != *notice);
        }
        Reason::UsedByOperation { purpose, .. } => {
            snapshot.fluids.retain(|row: &Fluid| row.purpose != *purpose)
        }
        Reason::NothingAsks => {
            let position = line.position.as_ref().unwrap();
            input.request.units[0].findings.push(found(position.as_str(), Grade::Worn));
        }
        other => panic!("{other:?} is no first cause"),
    }
}

/// For every line of a request: without its cause it goes or changes. Kept lines all get a finding at once.
fn every_line_rests_on_its_cause(input: &Input) {
    let answer = resolver::resolve(input).unwrap();
    let (kept, worked_on): (Vec<_>, Vec<_>) =
        answer.units[0].lines.iter().partition(|line| line.action == Action::Keep);
    for line in worked_on {
        let mut without = input.clone();
        take_away(&mut without, line);
        let still = resolve(&without).is_some_and(|answer| all_told(&answer).contains(&told(line)));
        assert!(!still, "{} stands without its cause", told(line));
    }
    let mut all_worn = input.clone();
    kept.iter().for_each(|line| take_away(&mut all_worn, line));
    let after = all_told(&resolver::resolve(&all_worn).unwrap());
    for line in kept {
        assert!(!after.contains(&told(line)), "{} stands without its cause", told(line));
    }
}

macro_rules! every_line {
    ($($name:ident: $unit:literal $operation:literal $($variant:literal)*,)+) => {
        $(
            #[test]
            fn $name() {
                let mut request = ask($unit, $operation);
                request.units[0].variants = vec![$(code($variant)),*];
                every_line_rests_on_its_cause(&World::demo().input(request));
            }
        )+
    };
}

every_line! {
    every_line_of_the_overhaul_of_bn_640_early_rests_on_its_cause: "BN-640" "OVERHAUL" "BUILD-EARLY" "DRIVE-MECH",
    every_line_of_the_overhaul_of_bn_640_late_rests_on_its_cause: "BN-640" "OVERHAUL" "BUILD-LATE" "DRIVE-SENSOR",
    every_line_of_the_overhaul_of_bn_552_with_balls_rests_on_its_cause: "BN-552" "OVERHAUL" "BEARING-BALL",
    every_line_of_the_overhaul_of_bn_552_with_rollers_rests_on_its_cause: "BN-552" "OVERHAUL" "BEARING-ROLLER",
    every_line_of_the_overhaul_of_bn_410_rests_on_its_cause: "BN-410" "OVERHAUL",
    every_line_of_the_overhaul_of_bn_143_rests_on_its_cause: "BN-143" "OVERHAUL",
    every_line_of_the_overhaul_of_bn_228_with_the_small_flange_rests_on_its_cause: "BN-228" "OVERHAUL" "FLANGE-50",
    every_line_of_the_overhaul_of_bn_228_with_the_large_flange_rests_on_its_cause: "BN-228" "OVERHAUL" "FLANGE-55",
    every_line_of_the_overhaul_of_bn_229_rests_on_its_cause: "BN-229" "OVERHAUL",
    every_line_of_the_overhaul_of_bn_701_rests_on_its_cause: "BN-701" "OVERHAUL",
    every_line_of_a_pinion_seal_rests_on_its_cause: "BN-228" "PINION-SEAL",
}

#[test]
fn every_line_of_an_overdrive_change_rests_on_its_cause() {
    let mut request = ask("BN-552", "TOP-GEAR");
    request.units[0].chosen = vec![chosen("VESSICK/VK 552-5 S")];
    every_line_rests_on_its_cause(&World::demo().input(request));
}

#[test]
fn every_line_of_a_sixth_gear_change_with_a_worn_selector_shaft_rests_on_its_cause() {
    let mut request = ask("BN-640", "SIXTH-SET");
    request.units[0].chosen = vec![chosen("VESSICK/VK 640-660 S")];
    request.units[0].findings = vec![found("SELECTOR-SHAFT", Grade::Worn), found("SNAP-IN", Grade::Damaged)];
    every_line_rests_on_its_cause(&World::demo().input(request));
}

#[test]
fn every_line_of_a_differential_job_with_a_worn_pinion_rests_on_its_cause() {
    let mut request = ask("BN-228", "DIFF");
    request.units[0].findings = vec![found("PINION", Grade::Worn)];
    request.units[0].inside = vec![inside("PINION-SPACER", "VESSICK/VK 228-62")];
    every_line_rests_on_its_cause(&World::demo().input(request));
}

/// The demo without alternatives and stock, where no choice of the plan can move a line.
fn plain(unit: &str, operation: &str) -> Input {
    let mut world = World::demo();
    let all: Vec<Candidate> = world.all();
    let original = |c: &Candidate| c.role == CandidateRole::Original;
    world.retain::<Candidate>(|c| {
        let others = all.iter().any(|o| original(o) && o.unit == c.unit && o.position == c.position);
        c.role != CandidateRole::Alternative || !others
    });
    world.input(Request { stock: StockUse::None, ..ask(unit, operation) })
}

/// Positions (or parts without one) whose lines differ.
fn changed(input: &Input, change: impl FnOnce(&mut Input)) -> Vec<String> {
    let before = resolver::resolve(input).unwrap();
    let mut other = input.clone();
    change(&mut other);
    let after = resolver::resolve(&other).unwrap();
    let told = |answer: &Answer| -> BTreeSet<(String, String)> {
        let lines = &answer.units[0].lines;
        lines
            .iter()
            .map(|line| {
                (
                    line.position
                        .as_ref()
                        .unwrap_or(&Code::from_stored(line.part.number.as_str()))
                        .to_string(),
                    told(line),
                )
            })
            .collect()
    };
    let names: BTreeSet<String> =
        told(&before).symmetric_difference(&told(&after)).map(|(name, _)| name.clone()).collect();
    names.into_iter().collect()
}

fn code(text: &str) -> Code {
    Code::parse(text).unwrap()
}

#[test]
fn the_renewal_rule_of_one_position_changes_its_line_alone() {
    let input = plain("BN-640", "OVERHAUL");
    let answer = resolver::resolve(&input).unwrap();
    let renewed: Vec<Code> = answer.units[0]
        .lines
        .iter()
        .filter(|line| matches!(line.reasons[0].reason, Reason::AlwaysAtOverhaul { part: None }))
        .filter_map(|line| line.position.clone())
        .collect();
    assert!(renewed.len() > 5);
    for position in renewed.iter().take(5) {
        let moved = changed(&input, |input| {
            let rows = input.snapshot.positions.iter_mut().filter(|row| row.position == *position);
            rows.for_each(|row| row.renewal = Some(Renewal::OnCondition));
        });
        assert_eq!(moved, [position.to_string()]);
    }
}

#[test]
fn the_quantity_of_one_fluid_changes_its_line_alone() {
    let moved = changed(&plain("BN-143", "OVERHAUL"), |input| {
        let fluids = input.snapshot.fluids.iter_mut();
        fluids
            .filter(|row| row.operation.as_str() == "OVERHAUL" && row.purpose.starts_with("Oil"))
            .for_each(|row| row.quantity = catalogue::Quantity::parse("4.3").unwrap());
    });
    assert_eq!(moved, ["GL5-85W90"]);
}

#[test]
fn a_row_of_an_operations_scope_changes_its_line_alone() {
    let moved = changed(&plain("BN-228", "PINION-SEAL"), |input| {
        input.snapshot.operation_scope.retain(|row| row.position != code("PINION-SPACER"));
    });
    assert_eq!(moved, ["PINION-SPACER"]);
}

#[test]
fn a_notice_that_is_not_in_effect_yet_changes_the_lines_that_name_it_alone() {
    for (unit, notice) in [("BN-143", "SB-143-04"), ("BN-640", "BR-1406"), ("BN-552", "BR-1904")] {
        let input = plain(unit, "OVERHAUL");
        let answer = resolver::resolve(&input).unwrap();
        let names_it = |line: &&RequirementLine| {
            line.reasons.iter().any(|because| {
                matches!(&because.reason, Reason::Superseded { notice: named, .. } if named.as_str() == notice)
            })
        };
        let naming: BTreeSet<String> = answer.units[0]
            .lines
            .iter()
            .filter(names_it)
            .filter_map(|line| line.position.as_ref().map(Code::to_string))
            .collect();
        assert!(!naming.is_empty(), "{notice}");
        let moved = changed(&input, |input| {
            let rows = input.snapshot.supersessions.iter_mut().filter(|row| row.notice.as_str() == notice);
            rows.for_each(|row| row.effective_from = "2030-01-01".parse().unwrap());
        });
        assert_eq!(moved, naming.into_iter().collect::<Vec<_>>(), "{notice}");
    }
}

#[test]
fn a_price_changes_no_line_where_there_is_nothing_to_choose() {
    let moved = changed(&plain("BN-552", "OVERHAUL"), |input| {
        input.prices.prices.iter_mut().for_each(|row| row.price += Money::parse("1").unwrap());
    });
    assert!(moved.is_empty(), "{moved:?}");
}

fn overdrive(set: &str, statements: bool) -> Answer {
    let mut world = World::demo();
    if !statements {
        world.retain::<FitStatement>(|_| false);
    }
    let mut request = ask("BN-552", "TOP-GEAR");
    request.units[0].chosen = vec![chosen(set)];
    world.resolve(request)
}

fn third_gear(answer: &Answer) -> &RequirementLine {
    answer.units[0].lines.iter().find(|line| line.position == Some(code("GEAR-3"))).unwrap()
}

#[test]
fn by_its_figures_alone_one_makers_overdrive_forces_a_new_third_gear_and_the_others_keeps_it() {
    for statements in [true, false] {
        let answer = overdrive("VESSICK/VK 552-5 S", statements);
        let line = third_gear(&answer);
        assert_eq!((line.action, line.part.number.as_str()), (Action::Renew, "VK 552-330"));
        assert!(line.further_change);
        assert!(matches!(line.reasons[0].reason, Reason::NoMateFits { .. }), "{:?}", line.reasons);
        let answer = overdrive("NORRWALD/N55.OD", statements);
        assert_eq!(third_gear(&answer).action, Action::Keep);
    }
}

#[test]
fn before_strip_down_the_axle_is_covered_for_both_flanges_and_the_measurement_is_named() {
    let answer = World::demo().resolve(ask("BN-228", "OVERHAUL"));
    let [flange] = &answer.units[0].unknown[..] else { panic!("{:?}", answer.units[0].unknown) };
    assert!(flange.matters && flange.how_to_tell.iter().all(|how| how.starts_with("Measure the flange")));
    for variant in ["FLANGE-50", "FLANGE-55"] {
        let needed = answer.sourcing.coverage.iter().filter(|line| line.variants == [code(variant)]);
        let needed: Vec<_> = needed.collect();
        assert!(needed.len() >= 2, "{variant}");
        for line in needed {
            assert_eq!(
                line.needed,
                line.from_stock + line.from_kits + line.bought,
                "{variant} {:?}",
                line.position
            );
        }
    }
    assert!(answer.sourcing.not_to_be_had.is_empty());
    let apart: Vec<Money> = answer.sourcing.outcomes.iter().map(|outcome| outcome.cash).collect();
    assert_eq!(apart.len(), 2);
    assert!(apart.iter().all(|cash| *cash <= answer.sourcing.cash));
    let first =
        World::demo().resolve(Request { unknowns: Unknowns::MeasureFirst, ..ask("BN-228", "OVERHAUL") });
    assert_eq!(first.sourcing.cash, apart.into_iter().max().unwrap());
}

#[test]
fn the_combined_kit_of_gearbox_and_drop_box_is_bought_when_and_only_when_it_is_cheaper() {
    let combined = PartKey::parse("BRANNOCH/640-143-9500").unwrap();
    let settled = |unit: &str, variants: &[&str]| {
        let mut request = unit_request(unit, "OVERHAUL");
        request.variants = variants.iter().map(|variant| code(variant)).collect();
        request
    };
    let request = || {
        ask_all(vec![settled("BN-640", &["BUILD-LATE", "DRIVE-SENSOR"]), settled("BN-143", &["SPEED-PULSE"])])
    };
    let at = |price: Money| {
        let mut world = World::demo();
        world.change::<Price>(|row| {
            if row.part == combined {
                row.price = price;
                row.currency = catalogue::Currency::parse("EUR").unwrap();
            }
        });
        let answer = world.resolve(request());
        assert!(answer.sourcing.proven);
        let used = answer.sourcing.kits.iter().any(|kit| kit.kit.part == combined);
        (used, answer.sourcing.cash)
    };
    let without = World::demo().resolve(Request { without_parts: vec![combined.clone()], ..request() });
    let little = Money::parse("200").unwrap();
    let (used, cash) = at(little);
    assert!(used);
    let worth = little + (without.sourcing.cash - cash);
    let cent = Money::parse("0.01").unwrap();
    assert_eq!(at(worth - cent), (true, without.sourcing.cash - cent));
    assert_eq!(at(worth + cent), (false, without.sourcing.cash));
    // Nobody needs it for one of the two alone.
    let alone = World::demo().resolve(ask("BN-143", "OVERHAUL"));
    assert!(alone.sourcing.kits.iter().all(|kit| kit.kit.part != combined));
}

/// The demo as its makers built it, with nothing that could stand in for a calculation: original parts listed as mere
/// alternatives, no statements, no notices; and every position found worn, so that every joint is judged.
fn figures_alone(units: &[(&str, &[&str])]) -> Answer {
    let mut world = World::demo();
    world.retain::<FitStatement>(|_| false);
    world.retain::<Supersession>(|_| false);
    world.retain::<Candidate>(|candidate| candidate.role == CandidateRole::Original);
    world.change::<Candidate>(|candidate| candidate.role = CandidateRole::Alternative);
    let kept: BTreeSet<(UnitKey, Code)> =
        world.all::<Candidate>().into_iter().map(|candidate| (candidate.unit, candidate.position)).collect();
    world.retain::<OperationScope>(|_| false);
    let positions: Vec<Position> = world.all();
    let of = |(unit, variants): &(&str, &[&str])| {
        let mut request = unit_request(unit, "OVERHAUL");
        request.variants = variants.iter().map(|variant| code(variant)).collect();
        request.findings = positions
            .iter()
            .filter(|row| row.unit == request.unit && row.only_with.is_none())
            .filter(|row| kept.contains(&(row.unit.clone(), row.position.clone())))
            .filter(|row| {
                row.variant.as_ref().is_none_or(|v| variants.is_empty() || variants.contains(&v.as_str()))
            })
            .map(|row| found(row.position.as_str(), Grade::Worn))
            .collect();
        request
    };
    world.resolve(Request { stock: StockUse::None, ..ask_all(units.iter().map(of).collect()) })
}

#[test]
fn every_original_joint_of_the_demo_fits_by_its_figures_alone() {
    let mut judged = 0;
    for unit in UNITS {
        let answer = figures_alone(&[(unit, &[])]);
        let open: Vec<String> = answer.units[0]
            .unverified_joints
            .iter()
            .map(|note| format!("{}: {}", note.joint, note.note))
            .collect();
        assert!(open.is_empty(), "{unit}: {open:#?}");
        judged += World::demo()
            .all::<Joint>()
            .iter()
            .filter(|joint| joint.unit_a == UnitKey::parse(unit).unwrap())
            .count();
    }
    assert!(judged > 300);
}

#[test]
fn every_original_joint_between_units_fits_by_its_figures_alone() {
    let late: &[&str] = &["BUILD-LATE", "DRIVE-SENSOR"];
    let crossing: Vec<Joint> =
        World::demo().all::<Joint>().into_iter().filter(|joint| joint.unit_a != joint.unit_b).collect();
    assert!(!crossing.is_empty());
    let settled: &[(&str, &[&str])] =
        &[("BN640", late), ("BN143", &["SPEED-PULSE"]), ("BN410", &["TAKE-OFF-NONE"])];
    for joint in crossing {
        let variants = |unit: &UnitKey| {
            settled.iter().find(|(name, _)| *name == unit.as_str()).map_or(&[][..], |(_, v)| v)
        };
        let units = [&joint.unit_a, &joint.unit_b].map(|unit| (unit.as_str(), variants(unit)));
        let answer = figures_alone(&units);
        let open: Vec<&str> = answer
            .units
            .iter()
            .flat_map(|unit| &unit.unverified_joints)
            .map(|note| note.joint.as_str())
            .collect();
        assert!(open.is_empty(), "{open:?}");
    }
}

#[test]
fn a_solid_spacer_brings_its_shims_and_a_plain_seal_job_afterwards_needs_neither() {
    let mut request = ask("BN-228", "PINION-SEAL");
    request.units[0].variants = vec![code("FLANGE-50")];
    request.units[0].chosen = vec![chosen("VESSICK/VK 228-62")];
    let answer = World::demo().resolve(request);
    let told = lines(&answer, 0);
    assert!(told.contains(&"upgrade PINION-SPACER VESSICK/VK22862 1 asked".to_owned()), "{told:#?}");
    assert!(told.contains(&"renew PINION-SHIMS VESSICK/VK22863 1 companion".to_owned()), "{told:#?}");
}
