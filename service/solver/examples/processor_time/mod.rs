//! Time that leaves out, as far as the system tells, what other work on a shared machine takes.

use std::time::Instant;

/// From here on processor time counts; the system keeps it too coarsely for less.
const LONG_MS: f64 = 10.0;

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
