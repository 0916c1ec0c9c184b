//! What a notice or a bad part touches.

use catalogue::{PartKey, Snapshot, Supersession};
use resolver::{Event, PathStep, notice_effects};

use crate::world::{World, ask_all, unit_request};

fn catalogue() -> Snapshot {
    let units = ["BN-640", "BN-552", "BN-410", "BN-143", "BN-228", "BN-229", "BN-701"];
    World::demo().input(ask_all(units.iter().map(|unit| unit_request(unit, "OVERHAUL")).collect())).snapshot
}

fn row(old: &str, new: &str) -> Supersession {
    let rows = World::demo().all::<Supersession>();
    let mut row = rows.into_iter().find(|row| row.notice.as_str() == "BR-1610").unwrap();
    row.notice = catalogue::Code::parse("BR-9999").unwrap();
    (row.old, row.new) = (PartKey::parse(old).unwrap(), PartKey::parse(new).unwrap());
    row
}

#[test]
fn a_bad_part_is_found_at_positions_by_notices_and_in_nested_kits() {
    let part = PartKey::parse("BRANNOCH/552-3113").unwrap();
    let effects = notice_effects(&catalogue(), &Event::BadPart { part });
    let places: Vec<String> =
        effects.positions.iter().map(|p| format!("{} {} {}", p.unit, p.position, p.path.len())).collect();
    assert_eq!(places, ["BN552 RING-1 2", "BN552 RING-2 2"]);
    assert_eq!(
        effects.positions[0].sentence,
        "BRANNOCH/5523110 is listed at RING-1 of BN552, BRANNOCH/5523110 gave way to BRANNOCH/5523112 by notice BR-0903, \
         BRANNOCH/5523112 gave way to BRANNOCH/5523113 by notice BR-1610"
    );
    let kits: Vec<String> = effects.kits.iter().map(|kit| format!("{} {}", kit.kit, kit.quantity)).collect();
    assert_eq!(kits, ["BRANNOCH/K55230 2"]);
    for key in ["BRANNOCH/5523110", "BRANNOCH/5523112", "BRANNOCH/5523113", "BRANNOCH/K55230"] {
        assert!(effects.parts.contains(&PartKey::parse(key).unwrap()), "{key}");
    }
}

#[test]
fn a_part_of_a_nested_kit_touches_the_outer_kits_too() {
    let part = PartKey::parse("BRANNOCH/552-0210").unwrap();
    let effects = notice_effects(&catalogue(), &Event::BadPart { part });
    let kits: Vec<String> =
        effects.kits.iter().map(|kit| format!("{} {}", kit.kit, kit.path.len())).collect();
    assert!(
        kits.contains(&"BRANNOCH/K55210 1".to_owned()) && kits.contains(&"BRANNOCH/K55230 2".to_owned()),
        "{kits:?}"
    );
    assert!(effects.kits.iter().all(|kit| matches!(kit.path.last(), Some(PathStep::KitLine { part, .. }) if part.as_str() == "BRANNOCH/5520210")));
}

#[test]
fn a_notice_touches_where_the_old_stood_whether_the_catalogue_holds_it_or_not() {
    let event = Event::Notice { row: Box::new(row("BRANNOCH/552-3310", "VESSICK/VK 552-313")) };
    let effects = notice_effects(&catalogue(), &event);
    let places: Vec<String> = effects
        .positions
        .iter()
        .map(|p| format!("{} {} {} -> {}", p.unit, p.position, p.listed, p.part))
        .collect();
    assert!(places.contains(&"BN552 RING-3 BRANNOCH/5523310 -> BRANNOCH/5523310".to_owned()), "{places:?}");
    assert!(places.contains(&"BN552 RING-3 BRANNOCH/5523310 -> VESSICK/VK552313".to_owned()), "{places:?}");
    assert!(effects.kits.iter().any(|kit| kit.kit.as_str() == "NORRWALD/N55OK"));
    assert!(effects.circle.is_empty());
}

#[test]
fn a_notice_that_closes_a_circle_is_told() {
    let event = Event::Notice { row: Box::new(row("BRANNOCH/552-3113", "BRANNOCH/552-3110")) };
    let circle: Vec<String> =
        notice_effects(&catalogue(), &event).circle.iter().map(ToString::to_string).collect();
    assert_eq!(circle, ["BRANNOCH/5523113", "BRANNOCH/5523110", "BRANNOCH/5523112", "BRANNOCH/5523113"]);
}

#[test]
fn the_needs_of_a_notice_come_along() {
    let rows = World::demo().all::<Supersession>();
    let row = rows.into_iter().find(|row| row.notice.as_str() == "BR-2009").unwrap();
    let effects = notice_effects(&catalogue(), &Event::Notice { row: Box::new(row) });
    assert!(effects.needs.iter().any(|need| need.position.as_str() == "SELECTOR-FINGER"));
}
