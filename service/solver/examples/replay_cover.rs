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
mod processor_time;
mod referee_files;

use cover_instance::{Expected, Instance, values};
use narrowed::Narrowed;

/// Steps of each search, as in a request that says nothing of them.
const STEPS: u64 = 40_000;

/// How often each is solved: every run has to give the same answer, and the least time counts.
const RUNS: usize = 10;

/// Milliseconds of one size class, one entry an instance.
#[derive(Default)]
struct Times {
    own: Vec<f64>,
    /// The referee's times where it proved everything, and those of its instances that it did not, at its limit.
    referee_solve: Vec<f64>,
    referee_all: Vec<f64>,
    /// How many times as long the referee took to solve what it proved.
    ratio: Vec<f64>,
    referee_unproven: usize,
    /// The second referee's times for those, and how many times as long they are.
    second: Vec<f64>,
    second_ratio: Vec<f64>,
    unproven: usize,
}

/// Milliseconds that the referees took for an instance.
struct Referees {
    /// The first without and with the building of its model, and whether it proved everything.
    solve: f64,
    all: f64,
    proven: bool,
    /// The second, with its model, where it was asked.
    second: Option<f64>,
}

impl Referees {
    /// What a file tells of them.
    fn of(text: &str) -> Option<Self> {
        let (solve, all) = referee_files::referee_ms(text)?;
        let json: serde_json::Value = serde_json::from_str(text).ok()?;
        let expect = &json["expect"];
        let proven = expect["status"] != "unknown";
        Some(Self { solve, all, proven, second: expect["second"]["ms"].as_f64() })
    }
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
        if let Some(fault) = replay(&instance, Referees::of(&text), sizes.entry(size).or_default()) {
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
fn replay(instance: &Instance, referees: Option<Referees>, times: &mut Times) -> Option<String> {
    let (mut found, mut least) = (None, f64::INFINITY);
    for run in 0..RUNS {
        let (spent, again) = processor_time::timed(|| answer(instance));
        least = least.min(spent);
        if run > 0 && found != again {
            return Some("another run gives another answer".to_owned());
        }
        found = again;
    }
    times.own.push(least);
    if let Some(referees) = referees {
        if referees.proven {
            times.referee_solve.push(referees.solve);
            times.referee_all.push(referees.all);
            times.ratio.push(referees.solve / least);
        } else {
            times.referee_unproven += 1;
        }
        if let Some(second) = referees.second {
            times.second.push(second);
            times.second_ratio.push(second / least);
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
    println!(
        "| size | own | not proven | CP-SAT solve | CP-SAT with model | ratio, least and median | CP-SAT unfinished | SCIP \
         with model | ratio, least and median |"
    );
    println!("|---|---|---|---|---|---|---|---|---|");
    for (size, times) in sizes {
        println!(
            "| {size} | {} | {} | {} | {} | {} | {} | {} | {} |",
            cell(&times.own),
            times.unproven,
            cell(&times.referee_solve),
            cell(&times.referee_all),
            ratio(&times.ratio),
            times.referee_unproven,
            cell(&times.second),
            ratio(&times.second_ratio),
        );
    }
}

/// The least and the median.
fn ratio(list: &[f64]) -> String {
    let mut list = list.to_vec();
    list.sort_by(f64::total_cmp);
    match (list.first(), list.get(list.len() / 2)) {
        (Some(least), Some(median)) => format!("{least:.1}, {median:.0}"),
        _ => String::new(),
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
