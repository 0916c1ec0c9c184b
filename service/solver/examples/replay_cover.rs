//! Solves cover instances from JSON files: `replay_cover [--nodes N] FILE...`; prints each with its time, then the
//! median by size. Wrong values are marked and end in failure.
#![expect(clippy::print_stdout, reason = "a command line tool")]

use std::collections::BTreeMap;
use std::process::ExitCode;
use std::time::Instant;

use solver::cover::{Aim, Budget, Outcome, Plan, solve};

#[path = "../tests/cover_instance/mod.rs"]
mod cover_instance;

fn values(aims: &[Aim], plan: &Plan) -> Vec<i64> {
    let value = |aim: &Aim| match aim {
        Aim::Cash => plan.cash,
        Aim::JobCost => plan.job_cost,
        Aim::Surplus => plan.surplus,
        Aim::Days => i64::from(plan.days),
        Aim::Suppliers => plan.suppliers as i64,
    };
    aims.iter().map(value).collect()
}

fn main() -> ExitCode {
    let mut files: Vec<String> = std::env::args().skip(1).collect();
    let mut max_nodes = u64::MAX;
    if files.first().is_some_and(|first| first == "--nodes") && files.len() > 1 {
        max_nodes = files[1].parse().unwrap_or(u64::MAX);
        files.drain(..2);
    }
    let mut times: BTreeMap<String, Vec<f64>> = BTreeMap::new();
    let mut wrong = 0;
    for file in &files {
        let Ok(text) = std::fs::read_to_string(file) else {
            println!("{file}: cannot be read");
            wrong += 1;
            continue;
        };
        let instance = cover_instance::read(&text);
        let budget = Budget { max_nodes, stop: None };
        let start = Instant::now();
        let outcome = solve(&instance.problem, &budget);
        let first = start.elapsed();
        let start = Instant::now();
        let again = solve(&instance.problem, &budget);
        let spent = start.elapsed().min(first).as_secs_f64() * 1e3;
        let said = match &outcome {
            Ok(Outcome::Optimal(plan)) => {
                let values = values(&instance.problem.aims, plan);
                let right = instance.expected.as_ref().is_none_or(|expected| *expected == values);
                wrong += usize::from(!right || outcome != again);
                format!("{values:?} {}", if right { "right" } else { "WRONG" })
            }
            Ok(Outcome::Bounded { plan, bounds }) => {
                format!("{:?} bounded {bounds:?}", values(&instance.problem.aims, plan))
            }
            other => {
                wrong += usize::from(instance.expected.is_some());
                format!("{other:?}")
            }
        };
        println!("{} {spent:.3} ms: {said}", instance.id);
        let size = instance.id.rsplit_once('-').map_or("", |(size, _)| size).to_owned();
        times.entry(size).or_default().push(spent);
    }
    for (size, mut times) in times {
        times.sort_by(f64::total_cmp);
        let at = |part: f64| times[((times.len() - 1) as f64 * part).round() as usize];
        println!(
            "{size}: {} instances, median {:.3}, p90 {:.3}, max {:.3} ms",
            times.len(),
            at(0.5),
            at(0.9),
            at(1.0)
        );
    }
    println!("{wrong} wrong");
    if wrong == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
