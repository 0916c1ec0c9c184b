//! A search that is cut short ends in an answer with its proven bound, or in a clear refusal.

use std::cell::Cell;

use catalogue::Money;
use resolver::{Answer, RequestFaultKind, resolve, resolve_until};

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

/// What no plan can go below, as money.
fn bound(answer: &Answer) -> Option<Money> {
    answer.sourcing.bound.as_ref().map(|bound| Money::parse(bound).unwrap())
}
