//! A small generator of our own, so that the same seed gives the same plan on every machine and in every release.

/// xorshift64* (Vigna 2016, "An experimental exploration of Marsaglia's xorshift generators, scrambled"; constants
/// from memory, not checked: the search needs variety, not quality).
#[derive(Clone, Debug)]
pub(super) struct Random(u64);

impl Random {
    /// A generator; every seed is good, also 0.
    pub(super) fn new(seed: u64) -> Self {
        // One step of splitmix64 spreads seeds that differ in one bit.
        let mut z = seed.wrapping_add(0x9E37_79B9_7F4A_7C15);
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        Self((z ^ (z >> 31)) | 1)
    }

    /// The next 64 bits.
    pub(super) fn bits(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }

    /// A number below `bound`, which is at least 1. The bias of at most bound / 2³² does not matter here.
    pub(super) fn below(&mut self, bound: usize) -> usize {
        (((self.bits() >> 32) * bound as u64) >> 32) as usize
    }

    /// About -log2 of a uniform number in (0, 1], in 1/256: exponentially spread, without floats.
    pub(super) fn exponential(&mut self) -> i64 {
        let bits = self.bits() | 1;
        let zeros = bits.leading_zeros();
        let fraction = ((bits << zeros) << 1) >> 56;
        i64::from(zeros + 1) * 256 - fraction as i64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_spread_and_repeatable() {
        let mut counts = [0; 10];
        let (mut random, mut sum) = (Random::new(0), 0);
        for _ in 0..100_000 {
            counts[random.below(10)] += 1;
            sum += random.exponential();
        }
        assert!(counts.iter().all(|count| (9_500..10_500).contains(count)), "{counts:?}");
        // By hand: 1 leading zero in the mean, plus 1, less half: 1.5 (the true mean is 1 / ln 2 = 1.44); here in 1/256.
        assert!((381..387).contains(&(sum / 100_000)), "{sum}");
        assert_eq!(Random::new(7).bits(), Random::new(7).bits());
        assert_ne!(Random::new(7).bits(), Random::new(8).bits());
    }
}
