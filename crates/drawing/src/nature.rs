//! Natural variation: numbers that differ from specimen to specimen and never for one specimen.
//!
//! SplitMix64 (Steele, Lea & Flood 2014, *Fast splittable pseudorandom number generators*,
//! OOPSLA '14), written out because its numbers must stay the same for as long as a practice
//! specimen is kept; it is eight lines.

/// A stream of numbers for one specimen.
#[derive(Debug, Clone)]
pub struct Nature(u64);

impl Nature {
    /// The stream of a specimen.
    pub fn of(specimen: u64) -> Nature {
        Nature(specimen)
    }

    /// A stream of its own for one part, so that a change to one part of a drawing leaves the
    /// others as they were.
    pub fn part(&self, name: &str) -> Nature {
        let name = name.bytes().fold(self.0, |hash, byte| {
            (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
        });
        Nature(Nature(name).next())
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly between two numbers.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        // 53 bits: every double in 0..1 that has them.
        let unit = (self.next() >> 11) as f64 / (1_u64 << 53) as f64;
        low + unit * (high - low)
    }

    /// A number near `middle`, at most `by` off.
    pub fn near(&mut self, middle: f64, by: f64) -> f64 {
        self.between(middle - by, middle + by)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first numbers for 1234567, as published with the generator's reference code (Vigna,
    /// splitmix64.c; values as listed at Rosetta Code, "Pseudo-random numbers/Splitmix64").
    #[test]
    fn the_published_numbers() {
        let mut nature = Nature::of(1_234_567);
        let first: Vec<u64> = (0..5).map(|_| nature.next()).collect();
        assert_eq!(
            first,
            [
                6_457_827_717_110_365_317,
                3_203_168_211_198_807_973,
                9_817_491_932_198_370_423,
                4_593_380_528_125_082_431,
                16_408_922_859_458_223_821,
            ]
        );
    }
}
