//! The order in which the rows of an input come does not matter, for any answer.

use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use resolver::{
    AlternativesRequest, Condition, FitAlternative, FitCheckRequest, Input, WantedPart, alternatives,
    fit_check, price_range, resolve, symptom,
};

use crate::joint_optimum::small_worlds;
use crate::world::{World, ask, ask_all, unit_request};

/// Puts a list into an order that a number tells (the linear congruential generator of Knuth, MMIX).
fn shuffle<T>(list: &mut [T], state: &mut u64) {
    for at in (1..list.len()).rev() {
        *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let other = usize::try_from(*state >> 33).unwrap() % (at + 1);
        list.swap(at, other);
    }
}

/// The same rows in another order.
fn shuffled(input: &Input, seed: u64) -> Input {
    let mut input = input.clone();
    let mut state = seed;
    macro_rules! lists {
        ($of:expr; $($list:ident),+ $(,)?) => {{ $(shuffle(&mut $of.$list, &mut state);)+ }};
    }
    lists!(input.snapshot;
        vehicles, engine_points, vehicle_units, makers, parts, features, variants, positions, bench_values,
        bench_renewals, candidates, set_positions, joints, fit_statements, companions, kit_lines, supersessions,
        supersession_needs, operations, operation_scope, fluids, outside_work, weak_points, cautions,
    );
    lists!(input.prices; suppliers, prices, exchange_rates, tax_rates, customers, price_rules, settings);
    lists!(input.stock; lots);
    input
}

fn all_answers(overhaul: &Input, top_gear: &Input, seal: &Input) -> Vec<Vec<u8>> {
    let wanted = |part: &str| FitAlternative {
        parts: vec![WantedPart { part: catalogue::PartKey::parse(part).unwrap(), position: None, unit: 0 }],
    };
    let check = FitCheckRequest {
        alternatives: vec![wanted("VESSICK/VK 552-5 S"), wanted("NORRWALD/N55.OD")],
        ways: 5,
    };
    let others = AlternativesRequest {
        next: 2,
        conditions: vec![Condition::OnlyOriginal, Condition::NoUnverifiedJoints],
    };
    let units: Vec<_> = overhaul.request.units.iter().map(|unit| unit.unit.clone()).collect();
    vec![
        serde_json::to_vec(&resolve(overhaul).unwrap()).unwrap(),
        serde_json::to_vec(&alternatives(overhaul, &others).unwrap()).unwrap(),
        serde_json::to_vec(&price_range(seal).unwrap()).unwrap(),
        serde_json::to_vec(&symptom(&overhaul.snapshot, &units, "play").unwrap()).unwrap(),
        serde_json::to_vec(&resolve(top_gear).unwrap()).unwrap(),
        serde_json::to_vec(&fit_check(top_gear, &check).unwrap()).unwrap(),
    ]
}

fn demo() -> (Input, Input, Input) {
    let world = World::demo();
    let mut units = unit_request("BN-228", "OVERHAUL");
    units.serial = Some("700".into());
    let overhaul = world.input(ask_all(vec![units]));
    let top_gear = world.input(ask("BN-552", "TOP-GEAR"));
    let seal = world.input(ask("BN-229", "PINION-SEAL"));
    (overhaul, top_gear, seal)
}

fn cases(cases: u32) -> TestRunner {
    TestRunner::new(Config { cases, failure_persistence: None, ..Config::default() })
}

#[test]
fn no_order_of_the_rows_changes_a_byte_of_any_answer() {
    let (overhaul, top_gear, seal) = demo();
    let first = all_answers(&overhaul, &top_gear, &seal);
    let holds = cases(3).run(&any::<u64>(), |seed| {
        let turned = |input: &Input| shuffled(input, seed).in_order();
        let others = all_answers(&turned(&overhaul), &turned(&top_gear), &turned(&seal));
        prop_assert!(shuffled(&overhaul, seed) != overhaul, "the rows were moved");
        for (at, (one, other)) in first.iter().zip(&others).enumerate() {
            prop_assert!(one == other, "answer {} differs with seed {}", at, seed);
        }
        Ok(())
    });
    holds.unwrap();
}

#[test]
fn no_order_of_the_rows_changes_a_byte_of_any_overhaul_of_the_demo() {
    let world = World::demo();
    let units = ["BN-640", "BN-552", "BN-410", "BN-143", "BN-228", "BN-229", "BN-701"];
    let inputs: Vec<Input> = units.iter().map(|unit| world.input(ask(unit, "OVERHAUL"))).collect();
    let bytes = |input: &Input| serde_json::to_vec(&resolve(input).unwrap()).unwrap();
    let first: Vec<Vec<u8>> = inputs.iter().map(bytes).collect();
    let holds = cases(21).run(&(0..units.len(), any::<u64>()), |(at, seed)| {
        prop_assert!(bytes(&shuffled(&inputs[at], seed).in_order()) == first[at], "{} {}", units[at], seed);
        Ok(())
    });
    holds.unwrap();
}

#[test]
fn no_order_of_the_rows_changes_a_byte_of_the_answer_of_a_random_unit() {
    let holds = cases(200).run(&(small_worlds(), any::<u64>()), |(small, seed)| {
        let input = small.build().input(ask("U-1", "OVERHAUL"));
        let told = |input: &Input| match resolve(input) {
            Ok(answer) => serde_json::to_string(&answer).unwrap(),
            Err(fault) => format!("{fault:?}"),
        };
        prop_assert_eq!(told(&input), told(&shuffled(&input, seed).in_order()));
        Ok(())
    });
    holds.unwrap();
}

#[test]
fn ten_runs_on_one_or_many_threads_give_the_same_bytes() {
    let (overhaul, top_gear, seal) = demo();
    let first = all_answers(&overhaul, &top_gear, &seal);
    for threads in [1, 2, 7] {
        let runs: Vec<Vec<Vec<u8>>> = std::thread::scope(|scope| {
            let run = || scope.spawn(|| all_answers(&overhaul, &top_gear, &seal));
            let started: Vec<_> = (0..threads).map(|_| run()).collect();
            started.into_iter().map(|run| run.join().unwrap()).collect()
        });
        assert!(runs.iter().all(|run| *run == first), "{threads} threads");
    }
}
