//! The generator behind seeded choices: SplitMix64 of G. L. Steele, D. Lea and C. H. Flood, "Fast
//! splittable pseudorandom number generators", OOPSLA 2014. Every slot of a tune draws from a
//! stream of its own, so that a lock in one bar leaves the dice of the others as they fell.
//! Integers only: the same seed gives the same line on every machine.

/// A stream of 64-bit numbers.
#[derive(Clone, Debug)]
pub struct SplitMix64(u64);

/// The odd number next to 2^64 divided by the golden ratio: the paper's increment.
const GOLDEN: u64 = 0x9E37_79B9_7F4A_7C15;

impl SplitMix64 {
    /// The stream of a seed.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The stream of one slot of a tune.
    #[must_use]
    pub fn of_slot(seed: u64, bar: u64, ticks: u32) -> Self {
        let mut by_seed = Self::new(seed);
        let mut by_bar = Self::new(by_seed.next_u64() ^ bar);
        let mut by_place = Self::new(by_bar.next_u64() ^ u64::from(ticks));
        Self::new(by_place.next_u64())
    }

    /// The next number.
    pub const fn next_u64(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(GOLDEN);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number below `n`, each as likely as the others; 0 if `n` is 0.
    pub fn below(&mut self, n: u64) -> u64 {
        if n == 0 {
            return 0;
        }
        // Numbers from the last whole multiple of n on would favour the small ones.
        let fair = u64::MAX - u64::MAX % n;
        loop {
            let drawn = self.next_u64();
            if drawn < fair {
                return drawn % n;
            }
        }
    }

    /// A place in a list of weights, as likely as its weight; `None` if all are 0.
    pub fn pick(&mut self, weights: &[u64]) -> Option<usize> {
        let mut drawn = self.below(weights.iter().sum());
        for (index, weight) in weights.iter().enumerate() {
            if drawn < *weight {
                return Some(index);
            }
            drawn -= weight;
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first five numbers of seed 1234567, as published on Rosetta Code ("Pseudo-random
    /// numbers/Splitmix64").
    #[test]
    fn the_stream_is_the_published_one() {
        let mut stream = SplitMix64::new(1_234_567);
        for expected in [
            6_457_827_717_110_365_317,
            3_203_168_211_198_807_973,
            9_817_491_932_198_370_423,
            4_593_380_528_125_082_431,
            16_408_922_859_458_223_821,
        ] {
            assert_eq!(stream.next_u64(), expected);
        }
    }

    #[test]
    fn choices_follow_their_weights() {
        let mut counts = [0u32; 4];
        let mut stream = SplitMix64::new(7);
        for _ in 0..10_000 {
            let picked = stream.pick(&[1, 0, 3, 6]).expect("a choice");
            counts[picked] += 1;
        }
        assert_eq!(counts[1], 0);
        // Within five standard deviations (about 30, 46 and 49) of 1,000, 3,000 and 6,000.
        for (count, expected) in [(counts[0], 1000), (counts[2], 3000), (counts[3], 6000)] {
            assert!(count.abs_diff(expected) < 250, "{counts:?}");
        }
        assert_eq!(stream.pick(&[0, 0]), None);
        assert_eq!(stream.pick(&[]), None);
    }
}
