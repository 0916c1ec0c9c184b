//! How long the work on an answer may go on.

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// Whether work has to end: nobody waits for it any more, or its time is over. Time counts from when the work's turn comes.
pub(crate) struct TimeBudget<'a> {
    left: &'a AtomicBool,
    started: Instant,
    time: Option<Duration>,
}

impl<'a> TimeBudget<'a> {
    /// Starts the clock; `left` tells that nobody waits any more, no time means no limit.
    pub(crate) fn start(left: &'a AtomicBool, milliseconds: Option<u64>) -> Self {
        Self { left, started: Instant::now(), time: milliseconds.map(Duration::from_millis) }
    }

    /// Whether the work has to end.
    pub(crate) fn is_over(&self) -> bool {
        self.left.load(Ordering::Relaxed) || self.time.is_some_and(|time| self.started.elapsed() >= time)
    }
}
