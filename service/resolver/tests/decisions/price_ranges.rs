//! What a job may cost before strip-down.

use std::collections::BTreeMap;

use catalogue::{Grade, Money, WeakPoint};
use resolver::{OUTCOMES_MAX, PriceRange, Request, price_range};

use crate::small_world::{Candidate, Position, SmallWorld};
use crate::world::{World, ask, ask_all, found, unit_request};

fn range(world: &World, request: Request) -> PriceRange {
    price_range(&world.input(request)).unwrap_or_else(|fault| panic!("{}: {fault}", fault.pointer))
}

/// Every way in which the weak points turn out, answered by itself, without any of the engine's short cuts.
fn by_hand(world: &World, request: &Request) -> BTreeMap<Money, f64> {
    let points: Vec<WeakPoint> =
        world.all::<WeakPoint>().into_iter().filter(|point| point.unit == request.units[0].unit).collect();
    let mut amounts: BTreeMap<Money, f64> = BTreeMap::new();
    for way in 0..1_usize << points.len() {
        let is = |at: usize| way >> at & 1 == 1;
        let mut likelihood = 1.0;
        let mut request = request.clone();
        for (at, point) in points.iter().enumerate() {
            let given =
                point.given.as_ref().map(|code| points.iter().position(|p| p.weak_point == *code).unwrap());
            let likely = match given {
                Some(other) if !is(other) => point.likelihood_otherwise.unwrap_or(0.0),
                _ => point.likelihood,
            };
            likelihood *= if is(at) { likely } else { 1.0 - likely };
            if is(at) {
                request.units[0].findings.push(found(point.position.as_str(), point.finding));
            }
        }
        if likelihood > 0.0 {
            *amounts.entry(world.resolve(request).sourcing.cash).or_default() += likelihood;
        }
    }
    amounts
}

fn percentile(amounts: &BTreeMap<Money, f64>, share: f64) -> Money {
    let mut below = 0.0;
    *amounts
        .iter()
        .find(|(_, p)| {
            below += **p;
            below >= share - 1e-9
        })
        .unwrap()
        .0
}

#[test]
fn a_range_is_what_all_outcomes_come_to() {
    let world = World::demo();
    let mut request = ask("BN-228", "OVERHAUL");
    request.units[0].serial = Some("700".into());
    request.units[0].variants = vec![catalogue::Code::parse("FLANGE-50").unwrap()];
    let range = range(&world, request.clone());
    let amounts = by_hand(&world, &request);
    assert!(range.exact, "{}", range.note);
    let mean: f64 = amounts.iter().map(|(amount, p)| amount.raw() as f64 * p).sum();
    assert_eq!(range.cash.expected.lower, range.cash.expected.upper);
    assert!((range.cash.expected.lower.raw() as f64 - mean).abs() <= 1.0);
    assert_eq!(range.cash.certain, *amounts.first_key_value().unwrap().0);
    assert_eq!(range.cash.median.lower, percentile(&amounts, 0.5));
    assert_eq!(range.cash.ninetieth.lower, percentile(&amounts, 0.9));
    assert_eq!(range.cash.worst.upper, *amounts.last_key_value().unwrap().0);
    assert!(range.outcomes <= amounts.len().max(64));
    // The findings that move the price most come first.
    let sizes: Vec<i64> = range
        .findings
        .iter()
        .map(|effect| effect.net_difference.as_ref().unwrap().lower.raw().abs())
        .collect();
    assert!(sizes.is_sorted_by(|a, b| a >= b), "{sizes:?}");
    insta::assert_snapshot!(
        format!(
            "certain {} expected {} median {} ninetieth {} worst {}",
            range.cash.certain,
            range.cash.expected.lower,
            range.cash.median.lower,
            range.cash.ninetieth.lower,
            range.cash.worst.upper
        ),
        @"certain 374.3075 expected 410.8717 median 374.3075 ninetieth 455.9331 worst 581.8864"
    );
}

#[test]
fn what_is_known_already_settles_its_weak_points() {
    let world = World::demo();
    let mut request = ask("BN-552", "TOP-GEAR");
    request.units[0].serial = Some("9001".into());
    let before = range(&world, request.clone());
    let likelihood = |range: &PriceRange, code: &str| {
        range.findings.iter().find(|effect| effect.weak_point.as_str() == code).unwrap().likelihood
    };
    assert!((likelihood(&before, "GEAR-3-PITTED") - 0.149).abs() < 1e-9);
    request.units[0].findings = vec![found("LAYSHAFT", Grade::Good)];
    let after = range(&world, request);
    assert!(likelihood(&after, "LAY-PITTED").abs() < 1e-12);
    assert!((likelihood(&after, "GEAR-3-PITTED") - 0.05).abs() < 1e-9);
    assert!(after.cash.expected.lower < before.cash.expected.lower);
}

/// Independent positions of which each may be found worn; the first is renewed anyway.
fn many(points: usize) -> World {
    let number = |at: usize| format!("N{at}");
    let candidate = |at: usize| Candidate { number: number(at), role: "original" };
    let mut rows = String::from(
        "[weak_points]\nunit,weak_point,position,finding,likelihood,given,likelihood_otherwise,symptom,vehicle_check\n",
    );
    for at in 0..points {
        rows.push_str(&format!("U-1,W{at},P{at},worn,0.{},,,Noise {at},Listen.\n", 1 + at % 5));
    }
    let small = SmallWorld {
        positions: (0..points)
            .map(|at| Position { renewed: at == 0, candidates: vec![candidate(at)] })
            .collect(),
        suppliers: vec![7],
        prices: (0..points).map(|at| (0, number(at), 1 << at)).collect(),
        extra: rows,
        ..SmallWorld::default()
    };
    small.build()
}

#[test]
fn past_the_limit_the_figures_are_bounds_that_hold_and_it_says_so() {
    let points = 11;
    let world = many(points);
    let range = range(&world, ask("U-1", "OVERHAUL"));
    // The first position is renewed anyway, so half of the 2048 ways ask for the same.
    assert!(!range.exact && range.note.contains("bounds"), "{}", range.note);
    assert_eq!(range.outcomes, OUTCOMES_MAX);
    assert!(range.covered > 0.5 && range.covered < 1.0);
    // Own calculation: order cost 7, the first part 1, and each other part by its likelihood.
    let mean: f64 =
        8.0 + (1..points).map(|at| f64::from(1_u32 << at) * (1 + at % 5) as f64 / 10.0).sum::<f64>();
    let (low, high) = (range.cash.expected.lower.raw() as f64, range.cash.expected.upper.raw() as f64);
    assert!(low <= mean * 1e4 && mean * 1e4 <= high, "{low} {mean} {high}");
    assert!(range.cash.median.lower <= range.cash.median.upper);
    let all: i64 = 7 + (0..points).map(|at| 1_i64 << at).sum::<i64>();
    assert!(range.cash.worst.upper >= Money::from_raw(all * Money::SCALE));
    assert!(range.net.expected.lower <= range.net.expected.upper);
    let exact = self::range(&many(9), ask("U-1", "OVERHAUL"));
    assert!(exact.exact, "256 outcomes are all answered: {}", exact.note);
}

#[test]
fn weak_points_that_rest_on_each_other_in_a_circle_are_a_fault_of_the_catalogue() {
    let mut world = World::demo();
    world.change::<WeakPoint>(|row| {
        if row.weak_point.as_str() == "HUB-45" {
            row.given = Some(catalogue::Code::parse("SLEEVE-45").unwrap());
        }
    });
    let fault = price_range(&world.input(ask("BN-552", "OVERHAUL"))).unwrap_err();
    assert_eq!(fault.kind, resolver::RequestFaultKind::CatalogueFault);
    assert!(fault.detail.contains("circle"), "{fault}");
}

#[test]
fn two_units_have_one_range() {
    let mut units = vec![unit_request("BN-640", "OVERHAUL"), unit_request("BN-143", "OVERHAUL")];
    units[0].serial = Some("9001".into());
    units[1].serial = Some("9001".into());
    units[0].findings = vec![
        found("MAIN-SHAFT", Grade::Good),
        found("GEAR-2", Grade::Good),
        found("FORK-PADS", Grade::Worn),
        found("IDLER", Grade::Good),
        found("SLEEVE-12", Grade::Good),
    ];
    units[1].findings = vec![
        found("FRONT-FORK-PAD", Grade::Worn),
        found("MID-GEAR", Grade::Good),
        found("OUTPUT-FLANGE", Grade::Good),
        found("TAKE-OFF-SHAFT", Grade::Good),
        found("TAKE-OFF-SLEEVE", Grade::Good),
    ];
    let range = range(&World::demo(), ask_all(units));
    assert!(range.exact);
    let open: Vec<&str> = range
        .findings
        .iter()
        .filter(|effect| effect.cash_difference.is_some())
        .map(|effect| effect.unit.as_str())
        .collect();
    assert!(open.contains(&"BN640") && open.contains(&"BN143"), "{open:?}");
}
