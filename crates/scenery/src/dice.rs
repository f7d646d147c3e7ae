//! Numbers for chance from a seed: SplitMix64 (Steele, Lea and Flood 2014).

/// A source of chance; the same seed gives the same numbers anywhere.
#[derive(Debug, Clone)]
pub(crate) struct Dice(u64);

impl Dice {
    /// Seeded by words.
    pub(crate) fn of(words: &str, more: u64) -> Self {
        let seed = words.bytes().fold(0xcbf2_9ce4_8422_2325u64, |hash, byte| {
            (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
        });
        Self(seed ^ more.wrapping_mul(0x9e37_79b9_7f4a_7c15))
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// In [0, 1).
    pub(crate) fn share(&mut self) -> f32 {
        (self.next() >> 40) as f32 / 16_777_216.0
    }

    /// Between two numbers.
    pub(crate) fn between(&mut self, low: f32, high: f32) -> f32 {
        low + (high - low) * self.share()
    }

    /// A direction, all alike.
    pub(crate) fn direction(&mut self) -> glam::Vec3A {
        let z = self.between(-1.0, 1.0);
        let turn = self.between(0.0, std::f32::consts::TAU);
        let across = (1.0 - z * z).max(0.0).sqrt();
        glam::Vec3A::new(across * turn.cos(), across * turn.sin(), z)
    }

    /// A place in a ball of radius 1, thicker in the middle.
    pub(crate) fn in_ball(&mut self) -> glam::Vec3A {
        let radius = self.share().sqrt();
        self.direction() * radius
    }
}
