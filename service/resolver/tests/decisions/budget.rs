//! A search that is cut short ends in an answer with its proven bound, or in a clear refusal.

use std::cell::Cell;

use catalogue::Money;
use resolver::{
    Answer, FitCheckRequest, RequestFaultKind, fit_check, fit_check_until, price_range, price_range_until,
    resolve, resolve_until,
};

use crate::fit_checks::wanted;
use crate::world::{World, ask};

#[test]
fn a_search_of_few_steps_says_what_it_could_not_prove() {
    let world = World::demo();
    for unit in ["BN640", "BN552", "BN228", "BN410"] {
        let whole = world.resolve(ask(unit, "OVERHAUL"));
        assert!(whole.sourcing.proven, "{unit}");
        for steps in [0, 1, 5, 50] {
            let mut request = ask(unit, "OVERHAUL");
            request.search_steps = Some(steps);
            match world.try_resolve(request) {
                Ok(answer) if answer.sourcing.proven => {
                    assert_eq!(answer.sourcing.cash, whole.sourcing.cash, "{unit} {steps}");
                }
                Ok(answer) => {
                    assert!(answer.sourcing.cash >= whole.sourcing.cash, "{unit} {steps}");
                    if let Some(bound) = bound(&answer) {
                        assert!(bound <= whole.sourcing.cash, "{unit} {steps}: {bound}");
                    }
                }
                Err(fault) => {
                    assert_eq!(fault.kind, RequestFaultKind::TooManyUnknowns, "{unit} {steps}");
                    assert!(fault.detail.contains("search_steps"), "{}", fault.detail);
                }
            }
        }
    }
}

#[test]
fn a_search_that_is_stopped_ends() {
    let input = World::demo().input(ask("BN552", "OVERHAUL"));
    let whole = resolve(&input).unwrap();
    let asked = Cell::new(0);
    let after = |limit: u32| {
        asked.set(0);
        resolve_until(&input, &|| {
            asked.set(asked.get() + 1);
            asked.get() > limit
        })
    };
    for limit in [0, 1, 3] {
        match after(limit) {
            Ok(answer) => {
                assert!(answer.sourcing.cash >= whole.sourcing.cash, "{limit}");
                assert!(bound(&answer).is_none_or(|bound| bound <= whole.sourcing.cash), "{limit}");
            }
            Err(fault) => assert_eq!(fault.kind, RequestFaultKind::TooManyUnknowns, "{limit}"),
        }
    }
    assert_eq!(after(u32::MAX).unwrap(), whole);
}

fn two_sets() -> FitCheckRequest {
    FitCheckRequest { alternatives: vec![wanted("VESSICK/VK 552-5 S"), wanted("NORRWALD/N55.OD")], ways: 5 }
}

#[test]
fn a_fit_check_of_few_steps_ends_in_its_price_or_in_a_bound() {
    let world = World::demo();
    let whole = fit_check(&world.input(ask("BN-552", "TOP-GEAR")), &two_sets()).unwrap();
    let mut bounded = 0;
    for steps in [0, 1, 3, 10, 100] {
        let mut request = ask("BN-552", "TOP-GEAR");
        request.search_steps = Some(steps);
        match fit_check(&world.input(request), &two_sets()) {
            Ok(check) => {
                for (found, best) in check.alternatives.iter().zip(&whole.alternatives) {
                    let (found, best) = (&found.cases[0], &best.cases[0]);
                    assert_eq!(found.verdict, best.verdict, "{steps}");
                    let (found, best) = (&found.ways[0].cost, &best.ways[0].cost);
                    assert!(best.proven && best.bound.is_none());
                    if found.proven {
                        assert_eq!(found.cash, best.cash, "{steps}");
                    } else {
                        bounded += 1;
                        assert!(found.cash >= best.cash, "{steps}");
                        assert!(
                            found.bound.is_none_or(|bound| bound <= best.cash),
                            "{steps}: {:?}",
                            found.bound
                        );
                    }
                }
            }
            Err(fault) => {
                bounded += 1;
                assert_eq!(fault.kind, RequestFaultKind::TooManyUnknowns, "{steps}");
                assert!(fault.detail.contains("search_steps"), "{}", fault.detail);
            }
        }
    }
    assert!(bounded > 0, "no steps are not enough");
}

#[test]
fn a_fit_check_that_is_stopped_ends() {
    let input = World::demo().input(ask("BN-552", "TOP-GEAR"));
    match fit_check_until(&input, &two_sets(), &|| true) {
        Ok(check) => {
            let costs = check.alternatives.iter().flat_map(|alternative| &alternative.cases[0].ways);
            assert!(costs.clone().count() > 0);
            let whole = fit_check(&input, &two_sets()).unwrap();
            for (way, best) in costs.zip(whole.alternatives.iter().flat_map(|one| &one.cases[0].ways)) {
                assert!(!way.cost.proven || way.cost.cash == best.cost.cash);
            }
        }
        Err(fault) => assert_eq!(fault.kind, RequestFaultKind::TooManyUnknowns, "{}", fault.detail),
    }
}

#[test]
fn a_price_range_is_exact_or_refused() {
    let world = World::demo();
    let whole = price_range(&world.input(ask("BN-229", "PINION-SEAL"))).unwrap();
    let mut refused = 0;
    for steps in [0, 1, 10, 1000] {
        let mut request = ask("BN-229", "PINION-SEAL");
        request.search_steps = Some(steps);
        match price_range(&world.input(request)) {
            Ok(range) => assert_eq!(range, whole, "{steps}"),
            Err(fault) => {
                refused += 1;
                assert_eq!(fault.kind, RequestFaultKind::TooManyUnknowns, "{steps}");
                assert!(fault.detail.contains("search_steps"), "{}", fault.detail);
            }
        }
    }
    assert!(refused > 0, "no steps are not enough");
    let stopped = price_range_until(&world.input(ask("BN-229", "PINION-SEAL")), &|| true);
    match stopped {
        Ok(range) => assert_eq!(range, whole),
        Err(fault) => assert_eq!(fault.kind, RequestFaultKind::TooManyUnknowns, "{}", fault.detail),
    }
}

/// What no plan can go below, as money.
fn bound(answer: &Answer) -> Option<Money> {
    answer.sourcing.bound.as_ref().map(|bound| Money::parse(bound).unwrap())
}
