//! The rear axle before it is taken apart, its flange not measured: with the shelf, and with the shelf left to other work.

use catalogue::{Money, PartKey, Price};
use resolver::Request;
use resolver::answer::Sourcing;
use resolver::request::{StockUse, Unknowns};

use crate::world::{World, ask};

const KIT: &str = "VESSICK/VK228AK";

fn unmeasured() -> Request {
    Request { stock: StockUse::None, ..ask("BN-228", "OVERHAUL") }
}

/// For each flange the cash, and whether the axle kit is bought.
fn by_flange(sourcing: &Sourcing) -> Vec<(&str, String, bool)> {
    sourcing
        .outcomes
        .iter()
        .map(|outcome| {
            let with_kit = outcome.kits.iter().any(|kit| kit.kit.part.as_str() == KIT);
            (outcome.variants[0].as_str(), outcome.cash.to_string(), with_kit)
        })
        .collect()
}

#[test]
fn with_what_the_shelf_gives_the_axle_kit_is_bought_for_both_flanges() {
    let sourcing = World::demo().resolve(ask("BN-228", "OVERHAUL")).sourcing;
    let [kit] = sourcing.kits.as_slice() else { panic!("{:#?}", sourcing.kits) };
    assert_eq!(kit.kit.part.as_str(), KIT);
    assert_eq!(
        by_flange(&sourcing),
        [("FLANGE-50", "374.3075".to_owned(), true), ("FLANGE-55", "369.2075".to_owned(), true)]
    );
    assert!(sourcing.proven);
}

#[test]
fn the_axle_kit_covers_both_flanges_and_the_measurement_and_the_price_of_each_are_told() {
    let answer = World::demo().resolve(unmeasured());
    let unknown = &answer.units[0].unknown;
    let measured: Vec<(&str, bool)> =
        unknown.iter().map(|unknown| (unknown.option_group.as_str(), unknown.matters)).collect();
    assert_eq!(measured, [("FLANGE", true)]);
    let told: Vec<&str> = unknown[0].how_to_tell.iter().map(String::as_str).collect();
    assert!(
        told.iter().all(|told| told.starts_with("Measure the flange where the seal's lip runs")),
        "{told:?}"
    );
    // One box serves both: its seals and nuts of the two sizes, and its solid spacer in place of the crush spacer.
    let [kit] = answer.sourcing.kits.as_slice() else { panic!("{:#?}", answer.sourcing.kits) };
    assert_eq!(kit.kit.part.as_str(), KIT);
    assert!(
        kit.contents.iter().all(|content| content.used > catalogue::Quantity::ZERO),
        "{:#?}",
        kit.contents
    );
    for position in ["PINION-SEAL", "PINION-NUT"] {
        let lines = answer.units[0]
            .lines
            .iter()
            .filter(|line| line.position.as_ref().is_some_and(|p| p.as_str() == position));
        let fitted: Vec<(&str, &str)> =
            lines.map(|line| (line.variants[0].as_str(), line.part.part.as_str())).collect();
        assert_eq!(fitted.len(), 2, "{fitted:?}");
        assert!(fitted.iter().all(|(_, part)| part.starts_with("VESSICK/")), "{fitted:?}");
    }
    assert_eq!(
        by_flange(&answer.sourcing),
        [("FLANGE-50", "378.9075".to_owned(), true), ("FLANGE-55", "379.2575".to_owned(), true)]
    );
    assert!(answer.sourcing.proven);
    let worst = answer.sourcing.outcomes.iter().map(|outcome| outcome.cash).max().unwrap();
    assert!(answer.sourcing.cash >= worst, "one purchase for both is no cheaper than the dearer of them");
}

#[test]
fn the_axle_kit_wins_on_money_and_no_longer_once_it_costs_more_than_what_it_saves() {
    let best = World::demo().resolve(unmeasured()).sourcing;
    let kit = PartKey::parse(KIT).unwrap();
    let without =
        World::demo().resolve(Request { without_parts: vec![kit.clone()], ..unmeasured() }).sourcing;
    let saved = without.cash - best.cash;
    assert!(saved > Money::ZERO, "{saved}");
    for (more, bought) in
        [(saved - Money::parse("0.01").unwrap(), true), (saved + Money::parse("0.01").unwrap(), false)]
    {
        let mut world = World::demo();
        world.change::<Price>(|row| {
            if row.part == kit {
                row.price += more;
            }
        });
        let kits = world.resolve(unmeasured()).sourcing.kits;
        assert_eq!(kits.iter().any(|bought| bought.kit.part == kit), bought, "{more} dearer");
    }
}

#[test]
fn measured_first_the_dearer_outcome_is_what_is_planned() {
    let answer = World::demo().resolve(Request { unknowns: Unknowns::MeasureFirst, ..unmeasured() });
    let dearest = answer.sourcing.outcomes.iter().max_by_key(|outcome| outcome.cash).unwrap();
    assert_eq!((answer.sourcing.cash, dearest.variants[0].as_str()), (dearest.cash, "FLANGE-55"));
}
