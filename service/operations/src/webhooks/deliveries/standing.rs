//! What this process knows of a target from one worker to the next.

use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use chrono::{DateTime, Utc};
use tokio::time::Instant;

/// So many failures in a row make a target doubtful: it gets one message at a time, and what it has failed before only after a
/// pause, until it takes one again. So a dead target with much that waits costs no more than one with little.
const DOUBTFUL: u32 = 5;

/// How a target stands with this process.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Standing {
    /// Until when this process holds the lease.
    pub(super) lease_until: Option<DateTime<Utc>>,
    failures_in_a_row: u32,
    not_before: Option<Instant>,
}

/// How all targets stand.
#[derive(Debug, Default)]
pub(super) struct Standings(Mutex<BTreeMap<String, Standing>>);

impl Standing {
    /// Whether it has failed so often that it is probably dead.
    pub(super) fn is_doubtful(&self) -> bool {
        self.failures_in_a_row >= DOUBTFUL
    }

    /// Whether what it has failed before may be tried again now.
    pub(super) fn may_retry(&self, now: Instant) -> bool {
        !self.is_doubtful() || self.not_before.is_none_or(|at| at <= now)
    }

    /// Notes how a message ended.
    pub(super) fn note(&mut self, delivered: bool, now: Instant, pause: Duration) {
        if delivered {
            (self.failures_in_a_row, self.not_before) = (0, None);
        } else {
            self.failures_in_a_row = self.failures_in_a_row.saturating_add(1);
            self.not_before = Some(now + pause);
        }
    }
}

impl Standings {
    /// How a target stands.
    pub(super) fn of(&self, id: &str) -> Standing {
        self.lock().get(id).copied().unwrap_or_default()
    }

    /// Changes how a target stands.
    pub(super) fn change(&self, id: &str, change: impl FnOnce(&mut Standing)) {
        change(self.lock().entry(id.to_owned()).or_default());
    }

    fn lock(&self) -> MutexGuard<'_, BTreeMap<String, Standing>> {
        // A standing is whole after each change, whoever panicked.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_target_that_fails_again_and_again_is_doubtful_until_it_takes_a_message() {
        let (now, pause) = (Instant::now(), Duration::from_secs(5));
        let standings = Standings::default();
        let failed = |standing: &mut Standing| standing.note(false, now, pause);
        for _ in 1..DOUBTFUL {
            standings.change("w", failed);
            assert!(!standings.of("w").is_doubtful() && standings.of("w").may_retry(now));
        }
        standings.change("w", failed);
        assert!(standings.of("w").is_doubtful() && !standings.of("w").may_retry(now));
        assert!(standings.of("w").may_retry(now + pause), "after a pause");
        assert!(!standings.of("other").is_doubtful());
        standings.change("w", |standing| standing.note(true, now, pause));
        assert!(!standings.of("w").is_doubtful() && standings.of("w").may_retry(now));
    }
}
