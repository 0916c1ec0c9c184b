//! Chance that is the same in every run.

/// SplitMix64 (Steele, Lea, Flood: Fast splittable pseudorandom number generators, 2014).
pub(crate) struct Chance(u64);

impl Chance {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// Between 0 and 1.
    pub(crate) fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// From 0 to below.
    pub(crate) fn below(&mut self, bound: usize) -> usize {
        (self.share() * bound as f64) as usize
    }

    /// From one to the other, both included.
    pub(crate) fn within(&mut self, from: usize, to: usize) -> usize {
        from + self.below(to - from + 1)
    }

    /// Log-normal with a median and a sigma.
    pub(crate) fn log_normal(&mut self, median: f64, sigma: f64) -> f64 {
        // Box and Muller, 1958.
        let (one, other) = (1.0 - self.share(), self.share());
        median * (sigma * (-2.0 * one.ln()).sqrt() * (std::f64::consts::TAU * other).cos()).exp()
    }

    /// Log-normal, whole, within bounds.
    pub(crate) fn count(&mut self, median: f64, sigma: f64, from: usize, to: usize) -> usize {
        (self.log_normal(median, sigma).round() as usize).clamp(from, to)
    }
}
