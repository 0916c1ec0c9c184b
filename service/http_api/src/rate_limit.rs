//! How many requests a key may send: a bucket of tokens for each key, in the memory of this instance.

use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// How many requests a key may send.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RateLimit {
    /// So many at once, and so many again within the window.
    pub requests: u32,
    /// How long an empty bucket takes to fill up.
    pub window: Duration,
}

impl Default for RateLimit {
    /// A hundred requests a second for a minute: what no person and no careful program reaches.
    fn default() -> Self {
        Self { requests: 6000, window: Duration::from_secs(60) }
    }
}

/// The buckets of all keys. Only keys that are known have one, so there are no more than there are keys.
#[derive(Debug)]
pub(crate) struct RateLimiter {
    limit: RateLimit,
    buckets: Mutex<HashMap<String, Bucket>>,
}

#[derive(Debug, Clone, Copy)]
struct Bucket {
    tokens: f64,
    at: Instant,
}

/// What became of one request.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Standing {
    /// Whether it may be answered.
    pub(crate) allowed: bool,
    /// How many more may be sent at once.
    pub(crate) remaining: u32,
    /// Seconds until the bucket is full again.
    pub(crate) full_in_s: u64,
    /// Seconds until one request may be sent.
    pub(crate) next_in_s: u64,
}

impl RateLimiter {
    /// Full buckets.
    pub(crate) fn new(limit: RateLimit) -> Self {
        Self { limit, buckets: Mutex::default() }
    }

    /// Takes a token out of a key's bucket at an instant.
    pub(crate) fn take(&self, key: &str, now: Instant) -> Standing {
        let full = f64::from(self.limit.requests);
        let a_second = full / self.limit.window.as_secs_f64().max(f64::MIN_POSITIVE);
        // A thread that panicked while it held the buckets has left them as good as they were.
        let mut buckets = self.buckets.lock().unwrap_or_else(PoisonError::into_inner);
        let bucket = buckets.entry(key.to_owned()).or_insert(Bucket { tokens: full, at: now });
        let passed = now.saturating_duration_since(bucket.at).as_secs_f64();
        bucket.tokens = (bucket.tokens + passed * a_second).min(full);
        bucket.at = bucket.at.max(now);
        let allowed = bucket.tokens >= 1.0;
        if allowed {
            bucket.tokens -= 1.0;
        }
        Standing {
            allowed,
            remaining: whole(bucket.tokens.floor()),
            full_in_s: u64::from(whole(((full - bucket.tokens) / a_second).ceil())),
            next_in_s: u64::from(whole(((1.0 - bucket.tokens) / a_second).ceil())).max(1),
        }
    }

    /// The header fields that tell a client where it stands (draft-ietf-httpapi-ratelimit-headers).
    pub(crate) fn headers(&self, standing: Standing) -> [(&'static str, String); 2] {
        let RateLimit { requests, window } = self.limit;
        [
            ("ratelimit-policy", format!("\"default\";q={requests};w={}", window.as_secs())),
            ("ratelimit", format!("\"default\";r={};t={}", standing.remaining, standing.full_in_s)),
        ]
    }
}

/// A count of no sign; a cast cuts at the ends of the type, which is what is wanted here.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "cut at the ends of the type")]
fn whole(value: f64) -> u32 {
    value as u32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bucket_empties_and_fills_again() {
        let limiter = RateLimiter::new(RateLimit { requests: 3, window: Duration::from_secs(30) });
        let start = Instant::now();
        let remaining: Vec<u32> = (0..3).map(|_| limiter.take("K-1", start).remaining).collect();
        assert_eq!(remaining, [2, 1, 0]);
        let refused = limiter.take("K-1", start);
        assert_eq!(refused, Standing { allowed: false, remaining: 0, full_in_s: 30, next_in_s: 10 });
        assert!(limiter.take("K-2", start).allowed, "each key has a bucket of its own");
        assert!(!limiter.take("K-1", start + Duration::from_secs(9)).allowed);
        assert!(limiter.take("K-1", start + Duration::from_secs(10)).allowed);
        let later = limiter.take("K-1", start + Duration::from_secs(3600));
        assert_eq!((later.remaining, later.full_in_s), (2, 10), "no more than a full bucket");
    }

    #[test]
    fn a_clock_that_lags_takes_nothing_back() {
        let limiter = RateLimiter::new(RateLimit { requests: 1, window: Duration::from_secs(10) });
        let start = Instant::now() + Duration::from_secs(100);
        assert!(limiter.take("K-1", start).allowed);
        assert!(!limiter.take("K-1", start - Duration::from_secs(50)).allowed);
        assert!(!limiter.take("K-1", start + Duration::from_secs(9)).allowed);
    }

    #[test]
    fn the_headers_say_policy_and_standing() {
        let limiter = RateLimiter::new(RateLimit::default());
        let standing = limiter.take("K-1", Instant::now());
        let [policy, limit] = limiter.headers(standing);
        assert_eq!(policy, ("ratelimit-policy", "\"default\";q=6000;w=60".to_owned()));
        assert_eq!(limit, ("ratelimit", "\"default\";r=5999;t=1".to_owned()));
    }
}
