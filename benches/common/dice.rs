//! Dice that roll the same on every machine for the same seed.

/// Numbers by Vigna's splitmix64.
pub(crate) struct Dice(u64);

impl Dice {
    /// Dice of that seed.
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// 0 to `n` - 1.
    pub(crate) fn roll(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) % n as u64) as usize
    }
}
