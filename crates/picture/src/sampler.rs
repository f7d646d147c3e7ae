//! Numbers spread evenly: the Sobol' sequence in pairs, scrambled and shuffled by hashes.
//!
//! - In: pixel (or replicate), sample, dimension. Out: a point of the unit square.
//! - Every pair of dimensions is the first two of the sequence under its own nested uniform scrambling
//!   and its own shuffle, so that pairs do not know one another.
//! - The same numbers on any machine and for any count of threads: nothing is drawn, all is hashed.
//!
//! # Source
//! Sobol' 1967; nested scrambling Owen 1995; by hashing Laine and Karras 2011 and Burley 2020.

/// Dimensions of one sample.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sampler {
    seed: u32,
    sample: u32,
    dimension: u32,
}

impl Sampler {
    /// Begins a sample.
    pub(crate) fn new(seed: u32, sample: u32) -> Self {
        Self { seed: mixed(seed ^ 0x9e37_79b9), sample, dimension: 0 }
    }

    /// The next two numbers, each in [0, 1).
    pub(crate) fn pair(&mut self) -> [f32; 2] {
        let key = mixed(self.seed ^ self.dimension.wrapping_mul(0x85eb_ca6b));
        self.dimension += 1;
        let index = scrambled(self.sample, key);
        [scrambled(index.reverse_bits(), mixed(key ^ 1)), scrambled(second(index), mixed(key ^ 2))].map(share)
    }

    /// The next number in [0, 1); the other of its pair is left.
    pub(crate) fn one(&mut self) -> f32 {
        self.pair()[0]
    }
}

/// The second dimension of the sequence: its directions follow from one another by x ^ x >> 1.
fn second(index: u32) -> u32 {
    let (mut rest, mut direction, mut sum) = (index, 1u32 << 31, 0u32);
    while rest != 0 {
        if rest & 1 == 1 {
            sum ^= direction;
        }
        rest >>= 1;
        direction ^= direction >> 1;
    }
    sum
}

/// Nested uniform scrambling of the bits, the highest first.
fn scrambled(value: u32, seed: u32) -> u32 {
    let mut x = value.reverse_bits();
    x = x.wrapping_add(seed);
    x ^= x.wrapping_mul(0x6c50_b47c);
    x ^= x.wrapping_mul(0xb82f_1e52);
    x ^= x.wrapping_mul(0xc7af_e638);
    x ^= x.wrapping_mul(0x8d22_f6e6);
    x.reverse_bits()
}

/// A hash of 32 bits (finaliser of a public-domain hash, Appleby 2011).
pub(crate) fn mixed(value: u32) -> u32 {
    let mut x = value;
    x ^= x >> 16;
    x = x.wrapping_mul(0x85eb_ca6b);
    x ^= x >> 13;
    x = x.wrapping_mul(0xc2b2_ae35);
    x ^ (x >> 16)
}

fn share(bits: u32) -> f32 {
    // 24 bits, so that the largest stays below 1.
    (bits >> 8) as f32 * (1.0 / 16_777_216.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_elementary_interval_holds_one_point() {
        // 64 points of a (0, 2)-sequence: one in every box of 1/64 whatever its shape.
        for seed in 0..20 {
            for across in [1u32, 2, 4, 8, 16, 32, 64] {
                let mut boxes = [0u32; 64];
                for sample in 0..64 {
                    let [u, v] = Sampler::new(seed, sample).pair();
                    let (i, j) = ((u * across as f32) as u32, (v * (64 / across) as f32) as u32);
                    boxes[(j * across + i) as usize] += 1;
                }
                assert!(boxes.iter().all(|count| *count == 1), "seed {seed}, {across} across: {boxes:?}");
            }
        }
    }

    #[test]
    fn pairs_do_not_know_one_another() {
        let n = 4096;
        let mut sum = 0.0;
        for sample in 0..n {
            let mut sampler = Sampler::new(7, sample);
            let (a, b) = (sampler.one(), sampler.one());
            sum += f64::from(a - 0.5) * f64::from(b - 0.5);
        }
        // Independent numbers give 1/144/√n = 0.0013 as standard deviation.
        assert!((sum / f64::from(n)).abs() < 0.005, "{sum}");
    }
}
