//! The files that a command line names, and the times that the referee wrote into them.

use std::time::Instant;

use serde_json::Value;

/// From here on processor time counts; the system keeps it too coarsely for less.
const LONG_MS: f64 = 10.0;

/// The arguments, or the lines of the file behind `--list`.
pub(crate) fn named_files() -> Vec<String> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.as_slice() {
        [flag, list] if flag == "--list" => {
            let text = std::fs::read_to_string(list).unwrap_or_default();
            text.lines().map(ToOwned::to_owned).collect()
        }
        _ => arguments,
    }
}

/// Milliseconds of processor time that the referee took to solve the instance of a file, without and with the building of its model.
pub(crate) fn referee_ms(text: &str) -> Option<(f64, f64)> {
    let json: Value = serde_json::from_str(text).ok()?;
    json["expect"]["solve_ms"].as_f64().zip(json["expect"]["ms"].as_f64())
}

/// Milliseconds for which this thread has had a processor, where the system tells (`/proc` of Linux): what other work on a
/// shared machine takes is not in them.
pub(crate) fn processor_ms() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    let nanoseconds: u64 = text.split_whitespace().next()?.parse().ok()?;
    Some(nanoseconds as f64 / 1e6)
}

/// The milliseconds that work took, and what came of it: by the clock, or, where it took so long that other work may have come
/// between, for how long it had a processor.
pub(crate) fn timed<T>(work: impl FnOnce() -> T) -> (f64, T) {
    let had = processor_ms();
    let start = Instant::now();
    let made = work();
    let clock = start.elapsed().as_secs_f64() * 1e3;
    let busy = processor_ms().zip(had).map(|(now, before)| now - before);
    (busy.filter(|_| clock >= LONG_MS).unwrap_or(clock), made)
}
