//! How long the fit questions take on instances of each size.

#[path = "../tests/fit_instances/problem.rs"]
mod problem;

use criterion::{Criterion, criterion_group, criterion_main};
use solver::fit::{Blame, Budget, Problem, k_best, smallest_conflict, solve, supports};

/// One possible instance of each size, by name.
const POSSIBLE: [&str; 5] = ["A-small-1", "A-medium-1", "A-large-1", "A-extreme-1", "A-wide8x60-0"];
/// One impossible instance of some sizes.
const IMPOSSIBLE: [&str; 2] = ["A-medium-9", "A-extreme-4"];

fn problem(name: &str) -> Problem {
    let file = format!("{}/tests/fit_instances/{name}.json", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(file).expect("the instance is in the repository");
    problem::read(&serde_json::from_str(&text).expect("JSON"))
}

fn questions(criterion: &mut Criterion) {
    let budget = Budget::default();
    for name in POSSIBLE {
        let asked = problem(name);
        let mut group = criterion.benchmark_group(name);
        group.bench_function("solve", |bencher| bencher.iter(|| solve(&asked, &budget)));
        group.bench_function("five_best", |bencher| bencher.iter(|| k_best(&asked, 5, &budget)));
        group.bench_function("supports", |bencher| bencher.iter(|| supports(&asked, &budget)));
        group.finish();
    }
    for name in IMPOSSIBLE {
        let asked = problem(name);
        criterion.benchmark_group(name).bench_function("conflict", |bencher| {
            bencher.iter(|| smallest_conflict(&asked, Blame::All, &budget));
        });
    }
}

criterion_group!(benches, questions);
criterion_main!(benches);
