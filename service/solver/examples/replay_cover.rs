//! Replays cover and joint instances, checks every answer against what the referee wrote into them, and says how long each
//! took.
//!
//! `replay_cover FILE...`, or `replay_cover --list FILE` with a name a line. Each search has the service's own limit; what it
//! does not prove by then is counted, and its bound must not pass the referee's optimum.
#![expect(clippy::print_stdout, reason = "a command line tool")]

use std::collections::BTreeMap;
use std::process::ExitCode;

use solver::cover::{Budget, Invalid, Outcome, solve};

#[path = "../tests/cover_instance/mod.rs"]
mod cover_instance;
#[path = "../tests/cover_instance/narrowed.rs"]
mod narrowed;
mod referee_files;

use cover_instance::{Expected, Instance, values};
use narrowed::Narrowed;

/// Steps of each search, as in a request that says nothing of them.
const STEPS: u64 = 40_000;

/// How often each is solved; the least time counts.
const RUNS: usize = 3;

/// Milliseconds of one size class, one entry an instance.
#[derive(Default)]
struct Times {
    own: Vec<f64>,
    /// The referee's times where it proved everything, and those of its instances that it did not, at its limit.
    referee_solve: Vec<f64>,
    referee_all: Vec<f64>,
    referee_unproven: usize,
    unproven: usize,
}

fn main() -> ExitCode {
    let mut sizes: BTreeMap<String, Times> = BTreeMap::new();
    let (mut count, mut checked, mut wrong) = (0, 0, 0);
    for file in referee_files::named_files() {
        let Ok(text) = std::fs::read_to_string(&file) else {
            println!("{file}: cannot be read");
            return ExitCode::FAILURE;
        };
        let instance = cover_instance::read(&text);
        let size = instance.id.rsplit_once('-').map_or("", |(size, _)| size).to_owned();
        count += 1;
        checked += usize::from(instance.expected.is_some());
        if let Some(fault) =
            replay(&instance, referee_files::referee_ms(&text), sizes.entry(size).or_default())
        {
            println!("{}: {fault}", instance.id);
            wrong += 1;
        }
    }
    report(&sizes);
    let unproven: usize = sizes.values().map(|times| times.unproven).sum();
    println!("{count} instances, {checked} with a referee's answer, {wrong} wrong, {unproven} not proven");
    if wrong == 0 && count > 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// What came out, and how many further changes fit left; `None` where nothing goes together.
fn answer(instance: &Instance) -> Option<(u32, Vec<i64>, Result<Outcome, Invalid>)> {
    let Narrowed::Left(problem, changes) = instance.narrowed() else { return None };
    let outcome = solve(&problem, &Budget { max_nodes: STEPS, stop: None });
    let values = match &outcome {
        Ok(Outcome::Optimal(plan) | Outcome::Bounded { plan, .. }) => values(&problem, plan),
        _ => Vec::new(),
    };
    Some((changes, values, outcome))
}

/// What is wrong with the answer, if anything.
fn replay(instance: &Instance, referee_ms: Option<(f64, f64)>, times: &mut Times) -> Option<String> {
    let (mut found, mut least) = (None, f64::INFINITY);
    for run in 0..RUNS {
        let (spent, again) = referee_files::timed(|| answer(instance));
        least = least.min(spent);
        if run > 0 && found != again {
            return Some("another run gives another answer".to_owned());
        }
        found = again;
    }
    times.own.push(least);
    if let Some((solve, all)) = referee_ms {
        let aims = instance.problem.aims.len();
        let whole = match &instance.expected {
            Some(Expected::Best { values, .. }) => values.len() == aims,
            Some(Expected::Impossible) => true,
            None => false,
        };
        if whole {
            times.referee_solve.push(solve);
            times.referee_all.push(all);
        } else {
            times.referee_unproven += 1;
        }
    }
    let Some((changes, values, outcome)) = found else {
        let possible = !matches!(instance.expected, Some(Expected::Impossible) | None);
        return possible.then(|| "possible for the referee".to_owned());
    };
    let (least, expected) = match &instance.expected {
        Some(Expected::Best { changes, values }) => (Some(*changes), values.as_slice()),
        Some(Expected::Impossible) => return Some("impossible for the referee".to_owned()),
        None => (None, [].as_slice()),
    };
    if least.is_some_and(|least| least != changes) {
        return Some(format!("{changes} changes, the referee has {least:?}"));
    }
    match outcome {
        Ok(Outcome::Optimal(_)) => (!values.starts_with(expected))
            .then(|| format!("proven {values:?}, the referee has {expected:?}")),
        Ok(Outcome::Bounded { bounds, .. }) => {
            times.unproven += 1;
            let first = bounds.first().copied().flatten().zip(expected.first());
            let passed = first.is_some_and(|(bound, best)| bound > *best);
            let better = values.iter().zip(expected).next().is_some_and(|(own, best)| own < best);
            (passed || better).then(|| format!("{values:?} with bounds {bounds:?} against {expected:?}"))
        }
        other => Some(format!("{other:?}")),
    }
}

fn report(sizes: &BTreeMap<String, Times>) {
    println!("| size | own | not proven | referee solve | referee with model | not proven by the referee |");
    println!("|---|---|---|---|---|---|");
    for (size, times) in sizes {
        println!(
            "| {size} | {} | {} | {} | {} | {} |",
            cell(&times.own),
            times.unproven,
            cell(&times.referee_solve),
            cell(&times.referee_all),
            times.referee_unproven,
        );
    }
}

/// Median, 99th percentile and most, and how many.
fn cell(list: &[f64]) -> String {
    let mut list = list.to_vec();
    list.sort_by(f64::total_cmp);
    let at = |share: f64| list.get(((list.len() as f64 - 1.0) * share).round() as usize);
    match (at(0.5), at(0.99), list.last()) {
        (Some(median), Some(p99), Some(most)) => format!("{median:.2}/{p99:.2}/{most:.2} ({})", list.len()),
        _ => String::new(),
    }
}
