//! What the deliveries of this process have done so far.

use std::sync::atomic::{AtomicU64, Ordering};

/// Counts that the deliverer adds to.
#[derive(Debug, Default)]
pub(crate) struct Counters {
    delivered: AtomicU64,
    failed: AtomicU64,
    paused: AtomicU64,
    under_way: AtomicU64,
}

/// What the deliveries of this process have done so far.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DeliveryFigures {
    /// Events that targets took.
    pub delivered: u64,
    /// Attempts that failed.
    pub failed: u64,
    /// Targets that were paused because they failed or are gone.
    pub paused: u64,
    /// Attempts that are under way.
    pub under_way: u64,
}

impl Counters {
    pub(super) fn begin(&self) {
        self.under_way.fetch_add(1, Ordering::Relaxed);
    }

    pub(super) fn end(&self, delivered: bool) {
        self.under_way.fetch_sub(1, Ordering::Relaxed);
        let count = if delivered { &self.delivered } else { &self.failed };
        count.fetch_add(1, Ordering::Relaxed);
    }

    pub(super) fn pause(&self) {
        self.paused.fetch_add(1, Ordering::Relaxed);
    }

    pub(crate) fn figures(&self) -> DeliveryFigures {
        DeliveryFigures {
            delivered: self.delivered.load(Ordering::Relaxed),
            failed: self.failed.load(Ordering::Relaxed),
            paused: self.paused.load(Ordering::Relaxed),
            under_way: self.under_way.load(Ordering::Relaxed),
        }
    }
}
