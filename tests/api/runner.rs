//! Runs every test once for each database, and counts.

#![expect(clippy::print_stdout, reason = "a test run tells what ran")]

use std::collections::BTreeMap;
use std::future::Future;
use std::pin::Pin;
use std::process::ExitCode;
use std::sync::Arc;

use tokio::sync::Semaphore;

use crate::harness::{DatabaseKind, Service};

/// Tests that run at the same time; more would only wait for the two or so cores.
const AT_ONCE: usize = 4;

/// A test under way.
type Running = Pin<Box<dyn Future<Output = ()> + Send>>;

/// One test.
#[derive(Clone, Copy)]
pub(crate) struct Test {
    /// Its module and name.
    pub(crate) name: &'static str,
    /// Runs it against a service of its own.
    pub(crate) run: fn(Arc<Service>) -> Running,
}

/// Lists the tests of a module: functions that take an `Arc<Service>`.
macro_rules! tests {
    ($($name:ident),+ $(,)?) => {
        pub(crate) fn tests() -> Vec<crate::runner::Test> {
            vec![$(crate::runner::Test {
                name: concat!(module_path!(), "::", stringify!($name)),
                run: |service| Box::pin($name(service)),
            }),+]
        }
    };
}

/// Runs all tests whose name holds one of the words of the command line.
pub(crate) fn run(modules: Vec<Vec<Test>>) -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let exact = arguments.iter().any(|argument| argument == "--exact");
    let words: Vec<&String> = arguments.iter().filter(|argument| !argument.starts_with('-')).collect();
    let wanted = |name: &str| {
        words.is_empty()
            || words.iter().any(|word| if exact { name == *word } else { name.contains(word.as_str()) })
    };
    let tests: Vec<Test> = modules.into_iter().flatten().filter(|test| wanted(test.name)).collect();
    let databases = [DatabaseKind::Sqlite, DatabaseKind::Postgres];
    if arguments.iter().any(|argument| argument == "--list") {
        for (test, database) in tests.iter().flat_map(|test| databases.map(|database| (test, database))) {
            println!("{} on {}: test", test.name, database.word());
        }
        return ExitCode::SUCCESS;
    }
    if std::env::var_os("RUST_LOG").is_some() {
        let filter = tracing_subscriber::EnvFilter::from_default_env();
        tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr).init();
    }
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap();
    let outcomes = runtime.block_on(run_all(tests, &databases));
    report(&outcomes)
}

struct Outcome {
    name: &'static str,
    database: DatabaseKind,
    passed: bool,
}

async fn run_all(tests: Vec<Test>, databases: &[DatabaseKind]) -> Vec<Outcome> {
    let turns = Arc::new(Semaphore::new(AT_ONCE));
    let mut running = Vec::new();
    for database in databases {
        for test in &tests {
            let (test, database, turns) = (*test, *database, turns.clone());
            running.push(tokio::spawn(async move {
                let _turn = turns.acquire_owned().await.unwrap();
                // A task of its own, so that a panic ends the test and not the run.
                let passed = tokio::spawn(async move {
                    let service = Arc::new(Service::start(database).await);
                    (test.run)(service.clone()).await;
                    service.stop().await;
                })
                .await
                .is_ok();
                let word = if passed { "ok" } else { "FAILED" };
                println!("test {} on {} ... {word}", test.name, database.word());
                Outcome { name: test.name, database, passed }
            }));
        }
    }
    let mut outcomes = Vec::new();
    for task in running {
        outcomes.push(task.await.unwrap());
    }
    outcomes
}

fn report(outcomes: &[Outcome]) -> ExitCode {
    let mut ran: BTreeMap<&str, usize> = BTreeMap::new();
    for outcome in outcomes {
        *ran.entry(outcome.database.word()).or_default() += 1;
    }
    let failed: Vec<String> = outcomes
        .iter()
        .filter(|outcome| !outcome.passed)
        .map(|outcome| format!("{} on {}", outcome.name, outcome.database.word()))
        .collect();
    println!(
        "\nover HTTP: {} tests on sqlite, {} tests on postgres",
        count(&ran, "sqlite"),
        count(&ran, "postgres")
    );
    let equal = count(&ran, "sqlite") == count(&ran, "postgres");
    if !equal {
        println!("the databases did not run the same number of tests");
    }
    for name in &failed {
        println!("failed: {name}");
    }
    let word = if failed.is_empty() && equal { "ok" } else { "FAILED" };
    println!("test result: {word}. {} passed; {} failed\n", outcomes.len() - failed.len(), failed.len());
    if failed.is_empty() && equal { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

fn count(ran: &BTreeMap<&str, usize>, database: &str) -> usize {
    ran.get(database).copied().unwrap_or(0)
}
