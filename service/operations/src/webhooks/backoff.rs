//! When an event that was not delivered is tried again.

use std::time::Duration;

/// How attempts follow each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Backoff {
    /// The longest wait after the first attempt; it doubles with each further one.
    pub first: Duration,
    /// The longest wait of all.
    pub longest: Duration,
    /// For how long an event may fail until its target is paused.
    pub give_up_after: Duration,
}

impl Default for Backoff {
    /// Five seconds, doubled up to six hours, for five days.
    fn default() -> Self {
        Self {
            first: Duration::from_secs(5),
            longest: Duration::from_secs(6 * 60 * 60),
            give_up_after: Duration::from_secs(5 * 24 * 60 * 60),
        }
    }
}

impl Backoff {
    /// The longest wait after so many attempts: doubled with each, up to the longest of all.
    pub fn most(&self, tries: u32) -> Duration {
        let doublings = tries.saturating_sub(1).min(63);
        let factor = 1_u64 << doublings;
        let doubled = u64::try_from(self.first.as_millis()).unwrap_or(u64::MAX).saturating_mul(factor);
        Duration::from_millis(doubled).min(self.longest)
    }

    /// The wait after so many attempts: half of the longest one, and of the other half as much as chance says, from none
    /// (0) to all (`u32::MAX`). So targets that failed together are not all tried again at the same moment.
    pub fn wait(&self, tries: u32, chance: u32) -> Duration {
        let half = self.most(tries) / 2;
        let share = u128::from(chance);
        let more = half.as_millis() * share / u128::from(u32::MAX);
        half + Duration::from_millis(u64::try_from(more).unwrap_or(u64::MAX))
    }

    /// When to try again: after the wait, or when the target asked for it, whichever is later.
    pub fn next(&self, tries: u32, chance: u32, asked: Option<Duration>) -> Duration {
        self.wait(tries, chance).max(asked.unwrap_or_default())
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn the_usual_waits_double_from_five_seconds_to_six_hours() {
        let most: Vec<u64> = (1..=14).map(|tries| Backoff::default().most(tries).as_secs()).collect();
        let doubled = [5, 10, 20, 40, 80, 160, 320, 640, 1_280, 2_560, 5_120, 10_240, 20_480, 21_600];
        assert_eq!(most, doubled);
        assert_eq!(Backoff::default().wait(1, 0), Duration::from_millis(2_500));
        assert_eq!(Backoff::default().wait(1, u32::MAX), Duration::from_secs(5));
        assert_eq!(Backoff::default().next(1, 0, Some(Duration::from_secs(60))), Duration::from_secs(60));
        assert_eq!(Backoff::default().next(4, 0, Some(Duration::from_secs(1))), Duration::from_secs(20));
    }

    proptest! {
        #[test]
        fn a_wait_lies_between_half_of_the_longest_and_the_longest(
            first in 1_u64..100_000, longest in 1_u64..100_000_000, tries: u32, chance: u32,
        ) {
            let (first, longest) = (Duration::from_millis(first), Duration::from_millis(longest));
            let backoff = Backoff { first, longest, ..Backoff::default() };
            let (wait, most) = (backoff.wait(tries, chance), backoff.most(tries));
            prop_assert!(most / 2 <= wait && wait <= most && most <= longest);
            prop_assert!(most >= first.min(longest));
        }

        #[test]
        fn waits_grow_with_the_attempts_and_with_chance(tries in 1_u32..100, one: u32, other: u32) {
            let backoff = Backoff::default();
            prop_assert!(backoff.most(tries) <= backoff.most(tries + 1));
            let (less, more) = (one.min(other), one.max(other));
            prop_assert!(backoff.wait(tries, less) <= backoff.wait(tries, more));
        }
    }
}
