//! The demo's hand-written expectations against the answer.
//!
//! They name original parts and what follows them, so they are held against an answer that may fit nothing else and takes
//! nothing off the shelf: which of several accepted parts is cheapest is for sourcing to say, not for them.

#![expect(clippy::unwrap_used, reason = "a broken expectation file should stop the test")]

mod world;

use std::collections::BTreeSet;
use std::path::Path;

use catalogue::{Candidate, CandidateRole, Code};
use resolver::answer::Action;
use resolver::request::StockUse;
use resolver::{Answer, Request};
use world::{World, ask, chosen, inside};

/// Lines of an expectation file: variant, position, part, quantity, reason.
fn expected(file: &str) -> BTreeSet<String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../seed-data/expected").join(file);
    let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let mut rows = text.lines();
    let header: Vec<&str> = rows.next().unwrap().split(',').collect();
    let column = |name: &str| header.iter().position(|column| *column == name);
    rows.filter(|row| !row.is_empty())
        .map(|row| {
            let cells: Vec<&str> = row.split(',').collect();
            let cell = |name: &str| column(name).map_or("", |at| cells[at]);
            let part = catalogue::PartKey::parse(cell("part")).unwrap();
            format!("{} {} {part} {} {}", cell("variant"), cell("position"), cell("quantity"), cell("reason"))
        })
        .collect()
}

fn answered(answer: &Answer) -> BTreeSet<String> {
    let lines =
        answer.units[0].lines.iter().filter(|line| matches!(line.action, Action::Renew | Action::Upgrade));
    lines
        .map(|line| {
            let variants: Vec<&str> = line.variants.iter().map(Code::as_str).collect();
            let rule =
                serde_json::to_value(&line.reasons[0].reason).unwrap()["rule"].as_str().unwrap().to_owned();
            let position = line.position.as_ref().map_or("", Code::as_str);
            format!("{} {position} {} {} {rule}", variants.join(" "), line.part.part, line.quantity)
        })
        .collect()
}

fn hold(file: &str, answer: &Answer) {
    let (expected, answered) = (expected(file), answered(answer));
    let missing: Vec<&String> = expected.difference(&answered).collect();
    let unexpected: Vec<&String> = answered.difference(&expected).collect();
    assert!(
        missing.is_empty() && unexpected.is_empty(),
        "{file}\nexpected and not answered: {missing:#?}\nanswered and not expected: {unexpected:#?}"
    );
}

/// The demo without the alternatives of original parts, except at the positions named.
fn originals_but_at(positions: &[&str]) -> World {
    let mut world = World::demo();
    let original = |c: &Candidate| c.role == CandidateRole::Original;
    let all: Vec<Candidate> = world.all();
    let has_original =
        |c: &Candidate| all.iter().any(|o| original(o) && o.unit == c.unit && o.position == c.position);
    world.retain::<Candidate>(|c| {
        c.role != CandidateRole::Alternative || !has_original(c) || positions.contains(&c.position.as_str())
    });
    world
}

fn originals() -> World {
    originals_but_at(&[])
}

fn without_stock(request: Request) -> Request {
    Request { stock: StockUse::None, ..request }
}

macro_rules! overhauls {
    ($($name:ident: $unit:literal,)+) => {
        $(
            #[test]
            fn $name() {
                let answer = originals().resolve(without_stock(ask($unit, "OVERHAUL")));
                hold(concat!($unit, "-OVERHAUL.csv"), &answer);
            }
        )+
    };
}

overhauls! {
    the_overhaul_of_bn_640_is_as_written_by_hand: "BN-640",
    the_overhaul_of_bn_552_is_as_written_by_hand: "BN-552",
    the_overhaul_of_bn_410_is_as_written_by_hand: "BN-410",
    the_overhaul_of_bn_143_is_as_written_by_hand: "BN-143",
    the_overhaul_of_bn_228_is_as_written_by_hand: "BN-228",
    the_overhaul_of_bn_229_is_as_written_by_hand: "BN-229",
    the_overhaul_of_bn_701_is_as_written_by_hand: "BN-701",
}

#[test]
fn a_pinion_seal_with_the_crush_spacer_is_as_written_by_hand() {
    hold("BN-228-PINION-SEAL.csv", &originals().resolve(without_stock(ask("BN-228", "PINION-SEAL"))));
}

#[test]
fn a_pinion_seal_with_the_solid_spacer_needs_seal_and_nut_only() {
    let mut request = without_stock(ask("BN-228", "PINION-SEAL"));
    request.units[0].inside = vec![inside("PINION-SPACER", "VESSICK/VK 228-62")];
    hold("BN-228-PINION-SEAL-SOLID.csv", &originals().resolve(request));
}

#[test]
fn the_overdrive_set_of_one_maker_changes_the_third_gear_as_written_by_hand() {
    let mut request = without_stock(ask("BN-552", "TOP-GEAR"));
    request.units[0].chosen = vec![chosen("VESSICK/VK 552-5 S")];
    // The third gear that the set asks for is listed as an alternative to the original one.
    let world = originals_but_at(&["GEAR-3"]);
    hold("BN-552-TOP-GEAR-VESSICK.csv", &world.resolve(request));
}
