//! Random numbers of which each path has its own: the same seed gives the same path, whoever works on it and in what order.
//!
//! SplitMix64 (Steele, Lea and Flood 2014, "Fast splittable pseudorandom number generators"; constants of the public-domain
//! C version by Vigna): a counter goes up by a fixed odd step and is mixed. It is written here rather than taken from a
//! library so that a printed seed gives the same figures with every later version.

/// 2^64 over the golden ratio, odd.
const STEP: u64 = 0x9E37_79B9_7F4A_7C15;

/// A stream of numbers.
#[derive(Debug, Clone)]
pub struct Stream(u64);

impl Stream {
    pub fn new(seed: u64) -> Stream {
        Stream(seed)
    }

    /// The stream of one path of a simulation.
    pub fn of_path(seed: u64, path: u64) -> Stream {
        // Seeds and paths one apart start far from one another.
        Stream(mixed(mixed(seed.wrapping_add(STEP)) ^ path.wrapping_add(1).wrapping_mul(0xD1B5_4A32_D192_ED03)))
    }

    /// Any of 2^64 numbers.
    pub fn number(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(STEP);
        mixed(self.0)
    }

    /// From 0 up to, but never, 1; 53 bits.
    pub fn unit(&mut self) -> f64 {
        (self.number() >> 11) as f64 * (1.0 / (1_u64 << 53) as f64)
    }
}

fn mixed(counter: u64) -> u64 {
    let z = (counter ^ (counter >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::Stream;

    #[test]
    fn the_numbers_are_those_published_for_the_method() {
        // The first five of seed 1234567 as printed for SplitMix64 in the public collection of tasks Rosetta Code,
        // "Pseudo-random numbers/Splitmix64".
        let mut stream = Stream::new(1_234_567);
        let five: Vec<u64> = (0..5).map(|_| stream.number()).collect();
        assert_eq!(
            five,
            [
                6_457_827_717_110_365_317,
                3_203_168_211_198_807_973,
                9_817_491_932_198_370_423,
                4_593_380_528_125_082_431,
                16_408_922_859_458_223_821,
            ]
        );
    }

    #[test]
    fn paths_do_not_hang_together() {
        // Means of the first, second and third number over many paths: 0.5 within 5 of 1 / sqrt(12 n); the product of two
        // neighbours' first numbers: 0.25 within 5 of sqrt(7 / 144 / n).
        let n = 100_000_u64;
        let mut sums = [0.0; 3];
        let (mut product, mut before) = (0.0, 0.5);
        for path in 0..n {
            let mut stream = Stream::of_path(1, path);
            let first = stream.unit();
            product += first * before;
            before = first;
            for (sum, u) in sums.iter_mut().zip([first, stream.unit(), stream.unit()]) {
                *sum += u;
            }
        }
        let n = n as f64;
        for sum in sums {
            assert!((sum / n - 0.5).abs() < 5.0 / (12.0 * n).sqrt(), "{sums:?}");
        }
        assert!((product / n - 0.25).abs() < 5.0 * (7.0 / 144.0 / n).sqrt(), "{product}");
    }
}
