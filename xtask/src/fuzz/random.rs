//! Numbers that look random and come again with the same seed.
//!
//! SplitMix64: a counter in steps of the golden ratio, mixed by shifts and multiplications.
//! Source: Steele, Lea and Flood, Fast splittable pseudorandom number generators, 2014; constants
//! from memory. Nothing but variety is asked of it.

/// A source of numbers.
#[derive(Debug, Clone)]
pub struct Random(u64);

impl Random {
    /// Begins at a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number of 64 bits.
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A whole number below `end`; 0 where there is none.
    pub fn below(&mut self, end: usize) -> usize {
        match end {
            0 => 0,
            end => (self.next() % end as u64) as usize,
        }
    }

    /// One of a list that is not empty.
    pub fn pick<'l, T>(&mut self, list: &'l [T]) -> Option<&'l T> {
        list.get(self.below(list.len()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_value_comes_about_as_often() {
        let mut random = Random::new(42);
        let mut counts = [0_u32; 10];
        for _ in 0..10_000 {
            counts[random.below(10)] += 1;
        }
        // Ten standard deviations of a fair draw: 10 √(10000 · 0.1 · 0.9) = 300.
        assert!(counts.iter().all(|&count| count.abs_diff(1000) < 300), "{counts:?}");
        assert_eq!(random.below(0), 0);
    }
}
