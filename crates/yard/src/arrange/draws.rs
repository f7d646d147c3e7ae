//! Draws of chance that come out the same every time.
//!
//! - In: a seed. Out: a sequence of numbers that only the seed decides.
//! - Method: splitmix64 (Steele, Lea and Flood 2014; constants recalled, checked below).

/// A sequence of draws.
#[derive(Debug, Clone)]
pub(super) struct Draws(u64);

impl Draws {
    /// Starts the sequence of a seed.
    pub(super) const fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        bits ^ (bits >> 31)
    }

    /// Evenly from 0 to below 1.
    pub(super) fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Evenly between two numbers.
    pub(super) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// First numbers of the seed 1234567 as printed on a page that compares implementations;
    /// recalled.
    #[test]
    fn the_sequence_is_splitmix64() {
        let mut draws = Draws::new(1_234_567);
        let first: Vec<u64> = (0..3).map(|_| draws.next()).collect();
        assert_eq!(first, [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]);
    }
}
