//! Time to a proven cover, by size of the instance.

use criterion::{Criterion, criterion_group, criterion_main};
use solver::cover::{Budget, solve};

#[path = "../tests/cover_instance/mod.rs"]
#[expect(dead_code, reason = "the bench asks for the problem alone")]
mod cover_instance;

fn cover(criterion: &mut Criterion) {
    for id in ["small-1", "small-8", "medium-4", "medium-18", "large-22"] {
        let file = format!("{}/tests/cover_instances/{id}.json", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(&file).expect("the instance is in the repository");
        let instance = cover_instance::read(&text);
        assert!(instance.expected.is_some(), "{id} has an optimum");
        criterion.bench_function(&format!("cover/{}", instance.id), |bencher| {
            bencher.iter(|| solve(&instance.problem, &Budget::UNLIMITED));
        });
    }
}

criterion_group! { name = benches; config = Criterion::default().sample_size(20); targets = cover }
criterion_main!(benches);
