//! A small fixed generator: the same seed and item give the same numbers on every machine, forever.

/// Random numbers of one item of a search or an ensemble.
///
/// PCG XSL RR 128/64: items have sequences of their own, so their order and the thread count do not matter.
/// Not for secrets.
///
/// # Source
/// O'Neill (2014), PCG: a family of simple fast space-efficient statistically good algorithms for random number
/// generation, Harvey Mudd College HMC-CS-2014-0905.
///
/// ```
/// use dibble::num::random::Stream;
/// let mut dice = Stream::new(0, 7);
/// let first = dice.next_f64();
/// assert!((0.0..1.0).contains(&first));
/// assert_eq!(first, Stream::new(0, 7).next_f64());
/// assert_ne!(first, Stream::new(0, 8).next_f64());
/// ```
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stream {
    state: u128,
    increment: u128,
}

const MULTIPLIER: u128 = 47_026_247_687_942_121_848_144_207_491_837_523_525;

impl Stream {
    /// The numbers of `item` under `seed`.
    pub fn new(seed: u64, item: u64) -> Self {
        // State and sequence from the two words by SplitMix64, so that neighboring items start far apart.
        let mut words = Mixer(seed ^ Mixer(item).next());
        let mut wide = || (u128::from(words.next()) << 64) | u128::from(words.next());
        Self { state: wide(), increment: wide() | 1 }
    }

    /// 64 random bits.
    pub fn next_u64(&mut self) -> u64 {
        self.state = self.state.wrapping_mul(MULTIPLIER).wrapping_add(self.increment);
        let folded = (self.state >> 64) as u64 ^ self.state as u64;
        folded.rotate_right((self.state >> 122) as u32)
    }

    /// Uniform from 0 up to, not including, 1.
    pub fn next_f64(&mut self) -> f64 {
        (self.next_u64() >> 11) as f64 * (1.0 / 9_007_199_254_740_992.0)
    }

    /// Uniform whole number below `n`; 0 if `n` is 0.
    pub fn below(&mut self, n: u64) -> u64 {
        // Lemire's method: the low part tells when a draw would favor some numbers.
        loop {
            let wide = u128::from(self.next_u64()) * u128::from(n);
            let low = wide as u64;
            if low >= n || low >= n.wrapping_neg().checked_rem(n).unwrap_or(0) {
                return (wide >> 64) as u64;
            }
        }
    }

    /// Standard normal (Box and Muller, one of the pair).
    pub fn next_normal(&mut self) -> f64 {
        let (u, v) = (1.0 - self.next_f64(), self.next_f64());
        (-2.0 * super::ln(u)).sqrt() * super::cos(2.0 * std::f64::consts::PI * v)
    }
}

/// SplitMix64 (Steele, Lea and Flood 2014).
struct Mixer(u64);

impl Mixer {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn agrees_with_the_generator_of_numpy() {
        // numpy.random.PCG64 with state and increment set by hand: random_raw(4).
        let mut stream = Stream { state: 0x0123_4567_89ab_cdef_0f1e_2d3c_4b5a_6978, increment: 0xdead_beef_cafe_f00d_0000_0000_0000_002b };
        let drawn = [stream.next_u64(), stream.next_u64(), stream.next_u64(), stream.next_u64()];
        assert_eq!(drawn, NUMPY);
    }

    const NUMPY: [u64; 4] = [0x0033_0213_4090_910c, 0xdb5c_1bc5_e9a0_ce0a, 0x9e29_602f_2a35_85cf, 0xb101_660b_96d3_0382];

    #[test]
    fn whole_numbers_are_even_handed() {
        let mut stream = Stream::new(1, 2);
        let mut counts = [0u32; 6];
        for _ in 0..60_000 {
            counts[stream.below(6) as usize] += 1;
        }
        // Five standard deviations of a binomial count.
        assert!(counts.iter().all(|&c| c.abs_diff(10_000) < 460), "{counts:?}");
        assert_eq!((stream.below(1), stream.below(0)), (0, 0));
    }

    #[test]
    fn moments_are_those_of_the_distributions() {
        let (mut sum, mut squares, mut uniform) = (0.0, 0.0, 0.0);
        let n = 40_000;
        for item in 0..n {
            let mut stream = Stream::new(9, item);
            let z = stream.next_normal();
            sum += z;
            squares += z * z;
            uniform += stream.next_f64();
        }
        let n = n as f64;
        assert!((sum / n).abs() < 0.025 && (squares / n - 1.0).abs() < 0.04 && (uniform / n - 0.5).abs() < 0.008);
    }
}
