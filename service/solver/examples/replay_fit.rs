//! Replays fit instances, checks every answer against what the referee wrote into them, and says how long each took.
//!
//! `replay_fit FILE...`, or `replay_fit --list FILE` with a name a line; the referee's own times are read from the files.

#![expect(clippy::print_stdout, clippy::print_stderr, reason = "an example talks to the terminal")]

#[path = "../tests/fit_instances/mod.rs"]
mod fit_instances;
mod referee_files;

use std::collections::BTreeMap;
use std::process::ExitCode;
use std::time::Instant;

use fit_instances::{Instance, price};
use solver::fit::{
    Alternatives, Blame, Budget, Conflict, Outcome, Problem, SupportsOutcome, k_best, smallest_conflict,
    solve, supports,
};

/// How often all instances are gone through. The median of the passes counts, so that it matters less whether other work
/// slows the machine down for a while.
const PASSES: usize = 5;
/// How often each question is asked in a pass; the median counts.
const REPEATS: usize = 9;

/// Milliseconds of one size class, one entry an instance.
#[derive(Default)]
struct Times {
    solve: Vec<f64>,
    best: Vec<f64>,
    conflict: Vec<f64>,
    supports: Vec<f64>,
    referee_solve: Vec<f64>,
    referee_all: Vec<f64>,
    ratio: Vec<f64>,
}

/// Milliseconds of one instance, one entry a pass; nothing where a question has no answer.
#[derive(Default)]
struct Spent {
    solve: Vec<f64>,
    best: Vec<f64>,
    conflict: Vec<f64>,
    supports: Vec<f64>,
}

struct Replayed {
    instance: Instance,
    referee_ms: Option<(f64, f64)>,
    spent: Spent,
}

fn main() -> ExitCode {
    let mut all = Vec::new();
    for file in referee_files::named_files() {
        let text = match std::fs::read_to_string(&file) {
            Ok(text) => text,
            Err(error) => {
                eprintln!("{file}: {error}");
                return ExitCode::FAILURE;
            }
        };
        let referee_ms = referee_files::referee_ms(&text);
        all.push(Replayed { instance: fit_instances::read(&text), referee_ms, spent: Spent::default() });
    }
    let (mut wrong, mut unproven) = (0_usize, 0_usize);
    for pass in 0..PASSES {
        for Replayed { instance, spent, .. } in &mut all {
            let faults = replay(instance, spent);
            if pass > 0 {
                continue;
            }
            for fault in faults {
                wrong += usize::from(fault != UNPROVEN);
                unproven += usize::from(fault == UNPROVEN);
                println!("{}: {fault}", instance.id);
            }
        }
    }
    let mut sizes: BTreeMap<String, Times> = BTreeMap::new();
    for replayed in &all {
        note(replayed, sizes.entry(replayed.instance.size.clone()).or_default());
    }
    report(&sizes);
    let checked = all.iter().filter(|replayed| replayed.instance.expected.is_some()).count();
    println!(
        "{} instances, {checked} with a referee's answer, {wrong} wrong, {unproven} not proven",
        all.len()
    );
    if wrong == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

const UNPROVEN: &str = "not proven within the budget";

/// The median time of a question, in milliseconds, and its answer.
fn timed<T>(mut question: impl FnMut() -> T) -> (f64, T) {
    let mut times = Vec::new();
    loop {
        let start = Instant::now();
        let answer = question();
        times.push(start.elapsed().as_secs_f64() * 1e3);
        // What takes long is not repeated: the spread no longer matters.
        if times.len() == REPEATS || times[0] > 200.0 {
            return (median(&times).unwrap_or_default(), answer);
        }
    }
}

fn replay(instance: &Instance, times: &mut Spent) -> Vec<&'static str> {
    let problem = &instance.problem;
    let budget = Budget::default();
    let mut faults = Vec::new();
    let (time, outcome) = timed(|| solve(problem, &budget));
    let mut conflicting = false;
    match outcome {
        Err(_) => faults.push("refused as invalid"),
        Ok(Outcome::Bounded { .. }) => faults.push(UNPROVEN),
        Ok(Outcome::Optimal(best)) => {
            times.solve.push(time);
            if price(problem, &best.values) != Some(best.cost) {
                faults.push("the cost is not that of the assignment");
            }
            if let Some(expected) = &instance.expected {
                if expected.objective != Some((best.cost.changes, best.cost.money)) {
                    faults.push("not the least cost");
                }
                if expected.assignment.as_ref().is_some_and(|values| *values != best.values) {
                    faults.push("not the smallest assignment of least cost");
                }
            }
        }
        Ok(Outcome::Conflict(conflict)) => {
            conflicting = true;
            if instance.expected.as_ref().is_some_and(|expected| expected.possible) {
                faults.push("possible for the referee");
            }
            if !is_minimal(problem, &conflict) {
                faults.push("the conflict is not minimal");
            }
        }
    }
    if conflicting {
        times.conflict.push(timed(|| smallest_conflict(problem, Blame::All, &budget)).0);
        return faults;
    }
    let (time, alternatives) = timed(|| k_best(problem, 5, &budget));
    match alternatives {
        Ok(Alternatives::Proven(found)) => {
            times.best.push(time);
            let costs: Vec<(u32, i64)> = found.iter().map(|one| (one.cost.changes, one.cost.money)).collect();
            if instance
                .expected
                .as_ref()
                .and_then(|expected| expected.best.as_ref())
                .is_some_and(|best| *best != costs)
            {
                faults.push("not the five best");
            }
            let rising =
                found.windows(2).all(|two| (two[0].cost, &two[0].values) < (two[1].cost, &two[1].values));
            if !rising || found.iter().any(|one| price(problem, &one.values) != Some(one.cost)) {
                faults.push("the five best are not distinct, in order, or priced right");
            }
        }
        Ok(Alternatives::Bounded { .. }) => faults.push(UNPROVEN),
        _ => faults.push("no alternatives"),
    }
    let (time, support) = timed(|| supports(problem, &budget));
    match support {
        Ok(SupportsOutcome::Proven(_)) => times.supports.push(time),
        Ok(SupportsOutcome::Bounded { .. }) => faults.push(UNPROVEN),
        _ => faults.push("no supports"),
    }
    faults
}

/// Impossible alone, and possible without any one of its constraints.
fn is_minimal(problem: &Problem, conflict: &Conflict) -> bool {
    let possible = |left_out: Option<usize>| {
        let constraints = conflict.constraints.iter().filter(|&&index| Some(index) != left_out);
        let part = Problem {
            variables: problem.variables.clone(),
            constraints: constraints.map(|&index| problem.constraints[index].clone()).collect(),
            restrictions: Vec::new(),
        };
        matches!(solve(&part, &Budget::default()), Ok(Outcome::Optimal(_)))
    };
    conflict.minimal && !possible(None) && conflict.constraints.iter().all(|&index| possible(Some(index)))
}

/// Notes the medians of an instance and the referee's times.
fn note(replayed: &Replayed, times: &mut Times) {
    let spent = &replayed.spent;
    let solve = median(&spent.solve);
    times.solve.extend(solve);
    times.best.extend(median(&spent.best));
    times.conflict.extend(median(&spent.conflict));
    times.supports.extend(median(&spent.supports));
    let Some((referee, with_model)) = replayed.referee_ms else { return };
    times.referee_solve.push(referee);
    times.referee_all.push(with_model);
    if replayed.instance.expected.as_ref().is_some_and(|expected| expected.possible) {
        times.ratio.extend(solve.map(|own| referee / own));
    }
}

fn median(times: &[f64]) -> Option<f64> {
    let mut times = times.to_vec();
    times.sort_by(f64::total_cmp);
    times.get(times.len() / 2).copied()
}

fn report(sizes: &BTreeMap<String, Times>) {
    println!(
        "| size | solve | five best | supports | conflict | referee solve | referee with model | ratio, least and median |"
    );
    println!("|---|---|---|---|---|---|---|---|");
    for (size, times) in sizes {
        let cell = |list: &[f64]| {
            let mut list = list.to_vec();
            list.sort_by(f64::total_cmp);
            let at = |share: f64| list.get(((list.len() as f64 - 1.0) * share).round() as usize);
            match (at(0.5), at(0.99), list.last()) {
                (Some(median), Some(p99), Some(most)) => {
                    format!("{median:.3}/{p99:.3}/{most:.3} ({})", list.len())
                }
                _ => String::new(),
            }
        };
        let mut ratio = times.ratio.clone();
        ratio.sort_by(f64::total_cmp);
        let ratio = match (ratio.first(), ratio.get(ratio.len() / 2)) {
            (Some(least), Some(median)) => format!("{least:.0}, {median:.0}"),
            _ => String::new(),
        };
        println!(
            "| {size} | {} | {} | {} | {} | {} | {} | {ratio} |",
            cell(&times.solve),
            cell(&times.best),
            cell(&times.supports),
            cell(&times.conflict),
            cell(&times.referee_solve),
            cell(&times.referee_all),
        );
    }
}
